#pragma once
/// What `record` can be given, and what it makes of it and of the plant folder.
#include <CLI/CLI.hpp>
#include <optional>
#include <string>
#include <vector>

#include "bearing_options.hpp"
#include "diagnose_options.hpp"
#include "record_take.hpp"

namespace cli {

struct RecordCommand {
  std::string out, input, gain, note, sensor;
  PageOptions page;  ///< its rules are those of every output of the command
  MachineOptions at;
  BearingOptions bearing;
  std::vector<std::string> units;
  std::optional<double> full_scale, sensitivity, rpm, load_percent, rate_hz, seconds;
  double listen_seconds{1};
  std::optional<int> channels;
  bool list{false}, repeat{false}, only_record{false}, json{false};
  Printing printing;
};
void add_record_options(CLI::App& command, RecordCommand& options);

/// A recording to be made, and the command that diagnoses it.
struct PlannedTake {
  Take take;
  DiagnoseCommand diagnose;
  std::string place;  ///< "planer-feed, DE horizontal"; empty where no machine is named
};
/// The place of a recording: names of the plant, or as typed; both may be empty.
struct RecordPlace {
  std::string machine, point;
};
/// The stops of the route, with --repeat; else the place that was typed, or the only one of the
/// plant.
/// Errors: not_found without a plant folder or machine; bad_argument for several points
[[nodiscard]] bearingdsp::Result<std::vector<RecordPlace>> places_to_record(
    const RecordCommand& command);
/// What is recorded at a place; the time is part of its name.
/// Errors: those of diagnose_plans(), input_devices() and choose_input()
[[nodiscard]] bearingdsp::Result<PlannedTake> plan_take(const RecordCommand& command,
                                                        const RecordPlace& place);

}  // namespace cli
