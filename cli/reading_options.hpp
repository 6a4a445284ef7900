#pragma once
/// What is read off with hand tools, for the commands that judge it: checks and acceptance.
#include <CLI/CLI.hpp>
#include <optional>
#include <string>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/machine/workshop_checks.hpp"

namespace cli {

/// As typed; take_readings() makes readings and facts of it.
struct WorkshopOptions {
  bearingdsp::WorkshopReadings readings;
  std::string insulation, winding, current, cooling;
  std::optional<bearingdsp::ShaftKey> mark, key;
  std::optional<double> rated_v, rated_a, service_rpm;
  bool class_a{false};
};

/// Declares them, in groups of their own.
void add_workshop_options(CLI::App& command, WorkshopOptions& options);

/// Readings of a command with what is known of the motor.
struct WorkshopInput {
  bearingdsp::WorkshopReadings readings;
  bearingdsp::WorkshopFacts facts;
};
/// What was typed wins over `known`.
/// Errors: bad_argument for a list that cannot be read
[[nodiscard]] bearingdsp::Result<WorkshopInput> take_readings(
    const WorkshopOptions& options, const bearingdsp::WorkshopFacts& known);

}  // namespace cli
