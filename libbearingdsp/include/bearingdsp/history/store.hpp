#pragma once
/// The history of all machines in one file (SQLite). Schema and meanings: docs/history.md
#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/history/record.hpp"

namespace bearingdsp {

enum class Access : std::uint8_t { read_only, read_write };

enum class Added : std::uint8_t {
  stored,         ///< a recording that was not there
  analysed_anew,  ///< it was there, but analysed with other settings
  was_there,      ///< the same recording with the same settings: nothing was written
};

/// What `History::check` found; sound() if nothing is wrong.
struct HistoryCheck {
  std::size_t machines{0}, points{0}, captures{0}, analyses{0}, events{0};
  int schema{0};
  std::vector<std::string> wrong;    ///< damage of the store, a sentence each
  std::vector<std::string> missing;  ///< recordings that are no longer where they were
  [[nodiscard]] bool sound() const noexcept { return wrong.empty(); }
};

/// One store, opened. Several processes may have it open at once, one writing at a time; each
/// add() is one transaction, so that a process killed at any instant leaves whole recordings only.
/// Not to be used from two threads at once.
///
/// Errors of all: database with the store's path, what SQLite said and what to do; bad_argument for
/// empty names.
class History {
 public:
  /// Opens, for writing also makes and migrates, the store. Errors: not_found if it is not there
  /// and may only be read; corrupt_file if it is no history, or one of a newer version; io;
  /// database
  [[nodiscard]] static Result<History> open(const std::string& path, Access access);
  History(History&&) noexcept;
  History& operator=(History&&) noexcept;
  ~History();

  /// Whether this recording of this point is there, analysed with these settings.
  [[nodiscard]] Result<bool> holds(const PointKey& at, const std::string& hash,
                                   const std::string& settings);
  /// Adds a recording with its analysis; the machine and the point are made if they are new.
  [[nodiscard]] Result<Added> add(const PointKey& at, const Reading& reading);
  /// Keeps what the machine may vibrate, from its nameplate; nothing happens where the machine is
  /// not in the history, or this is kept already.
  [[nodiscard]] Result<void> keep_limits(const std::string& machine, const KnownLimits& limits);
  /// Keeps which bearing sits at the point, as PointHistory::bearing; nothing happens where the
  /// point is not in the history, or this is kept already.
  [[nodiscard]] Result<void> keep_bearing(const PointKey& at, const std::string& bearing);
  /// Adds an event. The machine has to be there, and the point unless it is empty: a slip of the
  /// pen would else be a new machine. Errors: not_found
  [[nodiscard]] Result<void> add(const std::string& machine, const Event& event);

  /// Every point, by machine and name.
  [[nodiscard]] Result<std::vector<PointKey>> points();
  /// Readings and events of one point, oldest first; of each recording the latest analysis.
  /// Errors: not_found
  [[nodiscard]] Result<PointHistory> point(const PointKey& at);
  /// Fills in the spectra of its readings, of those recordings that were analysed since stores keep
  /// them. Errors: not_found
  [[nodiscard]] Result<void> read_spectra(PointHistory& history);
  /// Each reading of every point, point by point, oldest first, without holding them all. `take`
  /// returning false ends it.
  [[nodiscard]] Result<void> each(const std::function<bool(const PointKey&, const Reading&)>& take);
  /// Every event with its machine, oldest first.
  [[nodiscard]] Result<std::vector<std::pair<std::string, Event>>> events();

  /// A text kept for each point, derived from its history (its standing in the worst-first list);
  /// empty where none was kept, or where the history changed since.
  [[nodiscard]] Result<std::vector<std::pair<PointKey, std::string>>> notes();
  /// Keeps it, unless the history changed since `seen` readings and events were read: two processes
  /// may do this at once.
  [[nodiscard]] Result<void> keep_note(const PointHistory& seen, const std::string& text);

  /// Whether the file and its contents are whole; with files also whether each recording is still
  /// where it was.
  [[nodiscard]] Result<HistoryCheck> check(bool files);

 private:
  struct Store;
  explicit History(std::unique_ptr<Store> store);
  std::unique_ptr<Store> store_;
};

}  // namespace bearingdsp
