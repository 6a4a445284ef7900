#pragma once
/// Options of `replacement`: by options, by a machine file, or both.
#include <CLI/CLI.hpp>
#include <optional>
#include <string>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/replacement/plan.hpp"
#include "machine_option.hpp"
#include "output_file.hpp"
#include "show.hpp"

namespace cli {

struct ReplacementCommand {
  std::string number, card, oil;
  MachineOptions at;
  bearingdsp::MotorDuty duty;
  std::optional<double> rpm, bearing_c;
  OutputRules outputs;
  bool long_card{false}, json{false};
  Printing printing;
};
void add_motor_options(CLI::App& command, ReplacementCommand& options);

/// The bearing that goes in, and where.
struct ReplacementJob {
  std::string number;
  bearingdsp::MotorDuty duty;
};
/// The machine file's, where one is named, with what the options say in its place.
/// Errors: those of the machine file; bad_argument without a number or an end
[[nodiscard]] bearingdsp::Result<ReplacementJob> replacement_job(const ReplacementCommand& command);

/// The plan of that job.
/// Errors: those of replacement_job(), read_designation() and plan_replacement(); bad_argument for
/// a designation that fits several bearings
[[nodiscard]] bearingdsp::Result<bearingdsp::ReplacementPlan> planned(
    const ReplacementCommand& command);

}  // namespace cli
