#pragma once
/// A survey of measuring: every recording of a folder finds its point, is analysed and stored.
#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/token.hpp"
#include "bearingdsp/history/store.hpp"
#include "bearingdsp/machine/route.hpp"

namespace bearingdsp {

enum class RecordOutcome : std::uint8_t {
  stored,      ///< new, analysed
  reanalysed,  ///< was there, analysed with other settings
  was_there,   ///< nothing to do
  grown,       ///< new, in place of a half-copied one
  cut_short,   ///< not stored: the history has the whole of it
  left_out,    ///< not stored: a person removed it, or moved it off the route
  failed,      ///< could not be read or analysed; error says why
};
/// "stored", "re-analysed", "was there", "grown", "cut short", "left out", "failed"
[[nodiscard]] std::string_view token(RecordOutcome outcome) noexcept;

/// What became of one recording at one point.
struct RouteRecord {
  std::string file;  ///< relative to the folder
  PointKey at;
  RecordOutcome outcome{RecordOutcome::failed};
  std::optional<Reading> reading;  ///< of those analysed in this run
  std::optional<Error> error;
};

/// Copies within the folder of a round would be recordings of the next one.
/// Errors: bad_argument where `copies` is the folder or lies in it, also through links; none for
///         an empty name
[[nodiscard]] Result<void> check_copies(const std::string& folder, const std::string& copies);

struct RouteRunOptions {
  std::size_t jobs{0};          ///< recordings at a time; 0: as many as there are cores
  std::optional<UtcTime> time;  ///< when they were recorded, for all of them
  /// Folder that keeps a copy of every recording that is stored, named by its hash; the history
  /// then refers to the copy. Empty: recordings stay where they are. Made if it is not there; not
  /// within the folder of the round (check_copies).
  std::string copies;
  /// Called one at a time, from several threads.
  std::function<void(std::size_t done, std::size_t all)> progress;
  std::function<void(const RouteRecord&)> each;
};

struct RouteRun {
  std::size_t recordings{0};  ///< that belong to a point
  std::size_t stored{0}, reanalysed{0}, were_there{0};
  std::size_t left_out{0};             ///< removed by a person, or moved off the route
  std::vector<std::string> notes;      ///< what a person should know of single recordings
  std::vector<Error> failures;         ///< a recording each, in the order of the files
  std::vector<std::string> unmatched;  ///< recordings that belong to no point, relative
  std::vector<PointKey>
      without_recording;  ///< points of the route that the folder holds nothing of
};

/// Recordings of the folder and the folders in it, in the order of their paths; which point each
/// belongs to is said by a list that lies beside it (recording_list_name), else by the patterns of
/// the route. A file is hashed, and only analysed where the store does not hold it with the same
/// settings: a run that was ended goes on where it was. They are stored in the order of their
/// paths, each as soon as those before it are analysed, so that the result does not depend on the
/// jobs; memory is bounded by the jobs, not by the recordings. Two runs may write one store at
/// once. Recordings from before a noted replacement of the bearing are analysed with the bearing of
/// their time (History::bearing_between). When it was recorded: options.time, else the date (and
/// time) that the pattern took out of the name, else capture_time().
/// Errors: io if the folder cannot be read; those of read_recording_list() and History::add. A
/// recording that cannot be read
///         or analysed is no error of the run but one of its failures
[[nodiscard]] Result<RouteRun> run_route(const Route& route, const std::string& folder,
                                         History& history, const RouteRunOptions& options = {});

}  // namespace bearingdsp
