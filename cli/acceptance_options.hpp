#pragma once
/// Options of `acceptance`, and what a machine file adds to it.
#include <CLI/CLI.hpp>
#include <optional>
#include <string>
#include <vector>

#include "bearing_options.hpp"
#include "bearingdsp/comparison/acceptance.hpp"
#include "bearingdsp/verdict/at_machine.hpp"
#include "known_recording.hpp"
#include "machine_option.hpp"
#include "options.hpp"
#include "page_file.hpp"
#include "reading_options.hpp"
#include "show.hpp"

namespace cli {

struct AcceptanceCommand {
  std::vector<std::string> files, channels_from;
  MachineOptions at;
  BearingOptions bearing;
  ReadingOptions reading;
  bearingdsp::AcceptanceOptions limits;
  WorkshopOptions workshop;
  std::optional<double> rpm, shaft_height, synchronous;
  std::string store, time;
  PageOptions page;
  bool json{false};
  Printing printing;
};

/// What the machine file and the options say together; options win.
struct AcceptancePlan {
  std::string title;
  bearingdsp::PointKey key;
  bearingdsp::PointSetup setup;
  std::optional<bearingdsp::KnownPoint> at;
  bearingdsp::AcceptanceOptions limits;
  std::vector<KnownRecording> recordings;
};

/// Shape: files [n], the recordings that the command names.
/// Errors: those of known_recordings() and of the bearing
[[nodiscard]] bearingdsp::Result<AcceptancePlan> acceptance_plan(
    const AcceptanceCommand& command, const std::vector<std::string>& files);
void add_limit_options(CLI::App& command, AcceptanceCommand& options);

}  // namespace cli
