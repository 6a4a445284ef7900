#pragma once
/// Options of balancing that several of its commands share.
#include <CLI/CLI.hpp>
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/balancing/job.hpp"
#include "bearingdsp/balancing/weight.hpp"
#include "bearingdsp/core/result.hpp"
#include "checks.hpp"

namespace cli {

struct PositionOptions {
  std::optional<int> count;
  double first_deg{0}, step_g{0};
  std::vector<int> blocked;
};
void add_position_options(CLI::App& command, PositionOptions& options);
/// The positions, if --positions was given.
/// Errors: bad_argument for the others without it
[[nodiscard]] bearingdsp::Result<std::optional<bearingdsp::Positions>> positions_of(
    const PositionOptions& options);

/// --repeatability, in percent of the amplitude.
template <class Percent>
void add_repeatability_option(CLI::App& command, Percent& percent) {
  command
      .add_option("--repeatability", percent,
                  "one standard deviation by which a run repeats, % of its amplitude (default 5)")
      ->type_name("PERCENT")
      ->check(between(0.1, 50));
}
/// --angles: "against" or "with" (the rotation).
void add_angle_option(CLI::App& command, std::string& angles);
[[nodiscard]] bearingdsp::AngleSense sense_of(const std::string& angles);

/// Paths of the recordings that the runs of a job name, relative to its file.
[[nodiscard]] std::vector<std::string> recordings_of(const bearingdsp::BalanceJob& job,
                                                     const std::string& job_file);
/// Reads the recordings that the runs of a job name, relative to its file.
/// Errors: those of read_recording() and take_recording()
[[nodiscard]] bearingdsp::Result<void> read_recordings(bearingdsp::BalanceJob& job,
                                                       const std::string& job_file);

}  // namespace cli
