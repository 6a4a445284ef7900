#pragma once
/// Options of `compare`.
#include <CLI/CLI.hpp>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bearing_options.hpp"
#include "bearingdsp/comparison/before_after.hpp"
#include "bearingdsp/verdict/at_machine.hpp"
#include "known_recording.hpp"
#include "machine_option.hpp"
#include "options.hpp"
#include "page_file.hpp"
#include "show.hpp"

namespace cli {

/// What is said of one side alone; it wins over what is said of both.
struct SideOptions {
  std::vector<std::string> files;          ///< recordings or folders of them
  std::vector<std::string> channels_from;  ///< of the only recording
  std::optional<double> rpm, load, full_scale;
  std::string unit, channel, sensor, fixing;
};

struct CompareCommand {
  std::vector<std::string> given;  ///< BEFORE AFTER, or MACHINE with a store
  SideOptions before, after;
  std::string store, event;
  PageOptions page;
  MachineOptions at;  ///< its point also chooses one of the history
  BearingOptions bearing;
  ReadingOptions reading;
  std::optional<double> rpm, line_hz;
  bool json{false};
  Printing printing;
};

void add_compare_options(CLI::App& command, CompareCommand& options);

/// What the machine file or the plant says, with what was typed in its place.
struct CompareSetup {
  bearingdsp::PointSetup point;  ///< of both sides
  std::optional<bearingdsp::KnownPoint> at;
  bearingdsp::CompareOptions options;  ///< with the limits of the machine's vibration
  std::vector<KnownRecording> before, after;
};
/// Shape: before, after [n] recordings.
/// Errors: those of known_recordings() and of the bearing
[[nodiscard]] bearingdsp::Result<CompareSetup> compare_setup(const CompareCommand& command,
                                                             const std::vector<std::string>& before,
                                                             const std::vector<std::string>& after);
/// The recordings that the words of a side name: files as they are, of a folder all that look like
/// recordings, by name.
/// Errors: io; not_found for a folder without one
[[nodiscard]] bearingdsp::Result<std::vector<std::string>> recordings_in(
    const std::vector<std::string>& words);

/// The exit code of what is to be done.
[[nodiscard]] Exit exit_of(bearingdsp::FollowUp follow_up) noexcept;
/// Prints a comparison, writes its page, and gives the exit code. `source`: the point; empty for
/// files. `pretty`: indented JSON, for one document
Exit show_comparison(const bearingdsp::BeforeAfter& result, const CompareCommand& command,
                     bool pretty, const std::string& source, PageFile& page);
/// Compares the readings around the work on a machine of a history.
Exit compare_history(const CompareCommand& command);

}  // namespace cli
