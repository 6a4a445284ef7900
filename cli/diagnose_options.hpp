#pragma once
/// What `diagnose` can be given.
#include <CLI/CLI.hpp>
#include <optional>
#include <string>
#include <vector>

#include "bearing_options.hpp"
#include "bearingdsp/verdict/at_machine.hpp"
#include "machine_option.hpp"
#include "options.hpp"
#include "page_file.hpp"
#include "show.hpp"

namespace cli {

struct DiagnoseCommand {
  std::vector<std::string> files;
  MachineOptions at;
  std::vector<std::string> points;  ///< one for all files, or one a file
  std::vector<std::string> channels_from;
  BearingOptions bearing;
  ReadingOptions reading;
  std::optional<double> rpm, line_hz, pulses;
  double tolerance_percent{5};
  double prior_percent{100 * bearingdsp::default_prior};
  std::string rpm_range, tacho, model;
  PageOptions page;
  bool together{false}, json{false}, curves{false};
  Printing printing;
};

void add_diagnose_options(CLI::App& command, DiagnoseCommand& options);
/// Those of them that say what was recorded and how to read it; the files may be left out.
void add_source_options(CLI::App& command, DiagnoseCommand& options);
/// The same without the files: of what, where and how it was recorded.
void add_recorded_options(CLI::App& command, DiagnoseCommand& options);
/// The command `diagnose` itself.
[[nodiscard]] Exit run_diagnose(const DiagnoseCommand& command);
/// What is done with a file: from the machine file, where one is named, or the plant folder, and
/// from the options, which win.
struct DiagnosePlan {
  std::optional<bearingdsp::Machine> machine;
  bearingdsp::MeasuringPoint point;  ///< of the machine
  bearingdsp::PointSetup setup;
  std::string bearing;                     ///< as the user or the machine file names it
  bool tacho_typed{false};                 ///< not from the machine file
  std::vector<std::string> channels_from;  ///< other files of the same recording
  std::string sensor;                      ///< of the plant folder, by name; may be empty
  std::string taken;              ///< what came from the plant folder, in words; may be empty
  bearingdsp::Findings recorded;  ///< what the recorder noticed, in the sidecar
};
/// One for each recording of the command: the files in turn, or one file for each of its points.
/// Errors: bad_argument for a range that is none, for points that do not match the files; those of
/// the machine file, the plant folder and the bearing
struct PlannedFile {
  std::string file;
  std::size_t plan;  ///< index
};
struct DiagnosePlans {
  std::vector<DiagnosePlan> plans;
  std::vector<PlannedFile> files;
};
[[nodiscard]] bearingdsp::Result<DiagnosePlans> diagnose_plans(const DiagnoseCommand& command);

}  // namespace cli
