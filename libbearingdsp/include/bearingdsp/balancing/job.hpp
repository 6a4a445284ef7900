#pragma once
/// A balancing job as it is written down: rotor, planes, sensors, runs; and its answer.
#include <complex>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/balancing/four_run.hpp"
#include "bearingdsp/balancing/influence.hpp"
#include "bearingdsp/balancing/one_x.hpp"
#include "bearingdsp/balancing/tolerance.hpp"
#include "bearingdsp/balancing/weight.hpp"
#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

struct BalancePlane {
  std::string name;  ///< "plane 1" where none is given
  std::optional<Millimetres> radius;
  std::optional<Positions> positions;
};
/// What one run gave at one speed: typed in, or still to be taken from a recording.
struct RunAtSpeed {
  std::optional<Rpm> speed;
  std::string recording;  ///< path as written; empty where the values were typed in
  std::vector<std::complex<double>> vibration;  ///< [sensors]; empty until a recording was read
  std::vector<double> scatter;                  ///< [sensors] or empty
};
struct BalanceJobRun {
  std::string name;
  std::vector<BalanceWeight> weights;  ///< [planes]
  std::vector<RunAtSpeed> at;          ///< one or more speeds, the same number in every run
};
struct BalanceJob {
  std::string machine;  ///< free words; may be empty
  AngleSense sense{AngleSense::against_rotation};
  std::string unit{"mm/s rms"};  ///< of all vibration vectors
  std::optional<Kilograms> rotor;
  std::optional<Rpm> speed;  ///< highest in service
  std::optional<BalanceGrade> grade;
  Grams step{0};  ///< weights come in multiples of it; 0: any mass
  std::vector<BalancePlane> planes;
  std::vector<std::string> sensors;  ///< names; of recordings the channels
  std::string tacho{"tacho"};        ///< channel of the shaft marker in recordings
  ReadOptions reading;               ///< of the recordings
  std::vector<BalanceJobRun> runs;
  BalanceOptions options;
};

/// "6.0@40": amplitude or mass, and angle in degrees; "0" is no weight.
/// Errors: bad_argument
[[nodiscard]] Result<std::complex<double>> parse_polar(std::string_view text);
/// The same for a run without phase: amplitude, and angle of the trial weight.
/// Errors: bad_argument
[[nodiscard]] Result<AmplitudeRun> parse_amplitude(std::string_view text);
/// A run in one line: "6.0@40" or, with a weight, "4.5@110:20@0"; several sensors and planes with
/// commas, "6.0@40,3.1@75:20@0,0".
/// Errors: bad_argument
[[nodiscard]] Result<BalanceJobRun> parse_run(std::string_view text);
/// A job of such lines: as many planes as the longest list of weights, as many sensors as the first
/// run has vectors.
/// Errors: bad_argument; those of parse_run()
[[nodiscard]] Result<BalanceJob> job_of_runs(std::span<const std::string> runs);

/// A job file (docs/balance.md).
/// Errors: corrupt_file with "file:line", the key and what is wrong
[[nodiscard]] Result<BalanceJob> parse_balance_job(std::string_view text, std::string_view where);

/// Puts what a recording gave into the run, in mm/s rms where the unit of the channels is known.
/// Errors: bad_argument where the channels have different units; those of measure_one_x()
[[nodiscard]] Result<void> take_recording(BalanceJob& job, RunAtSpeed& at, const Capture& capture);

/// The unbalance of one plane against what is allowed.
struct PlaneUnbalance {
  GramMillimetres found;            ///< of the correction weight at its radius
  GramMillimetres remains_at_most;  ///< in 95 of 100 cases, with the weights as they are mounted
};
struct UnbalanceJudgement {
  std::vector<PlaneUnbalance> planes;
  std::optional<GramMillimetres> permissible;  ///< of the whole rotor
  std::optional<BalanceGrade> found_grade;     ///< that the sum of the planes comes to
  std::optional<BalanceGrade> grade_at_most;   ///< of what remains
  /// Whether what remains is surely permitted; empty where a figure is missing.
  std::optional<bool> met;
  std::string why_not;  ///< which figure is missing; empty with `permissible`
};

struct BalanceResult {
  BalanceJob job;
  BalanceAnswer answer;
  std::vector<std::optional<WeightSplit>> splits;  ///< [planes]; none where no positions are given
  std::vector<BalanceWeight> mounted;              ///< [planes]: the split or rounded weights
  std::vector<RowPrediction> predicted;            ///< [rows] with the weights as mounted
  UnbalanceJudgement unbalance;
};
/// Solves the job: correction, split onto positions, prediction, residual unbalance. Rows of the
/// answer go speed by speed, within a speed sensor by sensor.
/// Errors: missing_metadata for a recording that was not read; those of balance() and
/// split_weight()
[[nodiscard]] Result<BalanceResult> solve(const BalanceJob& job);
/// Name of a row: "DE horizontal", with several speeds "DE horizontal, 1480 rpm".
/// Shape: row below sensors x speeds.
/// Errors: std::out_of_range (caller's bug) for another row
[[nodiscard]] std::string row_name(const BalanceJob& job, std::size_t row);

/// What is known before the first run.
struct BalancePlanInput {
  std::optional<Kilograms> rotor;
  std::optional<Rpm> speed;
  std::optional<Millimetres> radius;
  std::optional<BalanceGrade> grade;
  std::string grade_source;  ///< "given", or that of a recommended grade
  int planes{1};
  std::optional<RotorSupport> support;
};
struct BalancePlan {
  BalancePlanInput input;
  double eccentricity_um{0};
  GramMillimetres permissible;
  Newtons force;  ///< of the permissible unbalance at running speed
  BearingTolerances bearings;
  std::optional<Grams> permissible_at_radius;  ///< per plane, of a symmetric rotor
  std::optional<TrialWeight> trial;            ///< with a radius
};
/// Permissible unbalance and trial weight.
/// Errors: missing_metadata without mass, speed or grade; those of the functions it calls
[[nodiscard]] Result<BalancePlan> plan_balance(const BalancePlanInput& input);

}  // namespace bearingdsp
