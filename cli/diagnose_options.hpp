#pragma once
/// What `diagnose` can be told.
#include <CLI/CLI.hpp>
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/verdict/diagnosis.hpp"
#include "options.hpp"
#include "terminal.hpp"

namespace cli {

struct DiagnoseCommand {
  std::vector<std::string> files;
  BearingOptions bearing;
  ReadingOptions reading;
  std::optional<double> rpm, line_hz;
  double tolerance_percent{5}, pulses{1};
  std::string rpm_range, tacho, picture;
  bool json{false}, quiet{false}, verbose{false};
  When colour{When::automatic};
};

void add_diagnose_options(CLI::App& command, DiagnoseCommand& options);
/// Errors: bad_argument for a range that is none.
[[nodiscard]] bearingdsp::Result<bearingdsp::DiagnoseOptions> diagnose_options(
    const DiagnoseCommand& command);

}  // namespace cli
