#pragma once
/// Balancing in one or two planes by influence coefficients, from runs with trial weights.
#include <complex>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "bearingdsp/balancing/weight.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// One run: which weights were on the rotor, and the 1x vibration that was measured.
struct BalanceRun {
  std::string name;
  /// By plane [planes]: the sum of all weights in it that were not there in the as-found state. A
  /// trial weight that was left on from an earlier run counts again.
  std::vector<BalanceWeight> weights;
  /// By row [rows]: a row is one sensor at one speed. Amplitude in one unit for all rows (mm/s rms
  /// is usual), phase in the sense of the weights' angles.
  std::vector<std::complex<double>> vibration;
  /// By row: one standard deviation of each vector (root mean square of its error), same unit;
  /// empty: not measured.
  std::vector<double> scatter{};
  std::vector<Rpm> speed{};  ///< by row; empty: not measured
};

/// What is asked of the runs. Each figure that can refuse an answer, with its origin.
struct BalanceOptions {
  /// One standard deviation by which the same run repeats, fraction of the amplitude: added to the
  /// scatter within a recording. Common practice, no source.
  double repeatability{0.05};
  /// A trial weight has to change the amplitude by this fraction or the phase by this angle, at one
  /// sensor at least. Common practice, from memory (90 %).
  double min_change{0.30};
  Degrees min_turn{30};
  /// Speeds of the same row may differ by this fraction. Common practice, from memory (95 %): 1 to
  /// 2 %.
  double max_speed_change{0.02};
  /// Misfit of more runs than unknowns, in standard deviations. Ours: three.
  double max_misfit{3};
  /// Condition number above which two planes are not separated where a weight is not known in any
  /// direction. Ours.
  double max_condition{10};
};

/// What a weight in one plane changed at one row.
struct TrialChange {
  std::size_t run{0}, against{0};  ///< the two runs that differ in this plane alone
  std::size_t plane{0}, row{0};
  double ratio{0};  ///< change of the amplitude as a fraction of the earlier one
  Degrees turn;     ///< change of the phase, 0 to 180
  bool enough{false};
};

/// Which weight goes into one plane.
struct PlaneCorrection {
  BalanceWeight weight;  ///< on the rotor as found: all trial weights are taken off
  BalanceWeight added;   ///< beside the weights of the last run, which are left on
  /// 95 % of the weight is within these.
  Grams mass_uncertainty;
  Degrees angle_uncertainty;  ///< 180 where the angle is not known
  Grams remains_at_most;      ///< in 95 of 100 cases no more than this is missing, at any angle
};

/// What happens at one row.
struct RowPrediction {
  std::complex<double> found;                   ///< as found, from all runs
  std::complex<double> after;                   ///< with the correction
  double at_most{0};                            ///< amplitude after it, in 95 of 100 cases
  std::vector<std::complex<double>> influence;  ///< by plane: unit of the row per gram
};

struct BalanceAnswer {
  /// Why the runs do not give a correction; empty where they do.
  std::vector<std::string> why_not;
  std::vector<PlaneCorrection> planes;  ///< empty with `why_not`
  std::vector<RowPrediction> rows;      ///< with `why_not` the amplitudes after are those as found
  std::vector<TrialChange> changes;
  std::vector<std::string> notes;  ///< what else the runs show
  double condition{1};             ///< of the influence coefficients; 1: the planes are independent
  std::optional<double> misfit;    ///< standard deviations, with more runs than unknowns
  [[nodiscard]] bool usable() const noexcept { return why_not.empty(); }
};

/// The influence coefficients by complex least squares over all runs (as-found vibration and one
/// coefficient per plane for each row), then the weights that make the sum of the squared
/// amplitudes over all rows smallest. The uncertainty of the prediction is that of the regression
/// at the correction weights; the weights are uncertain by the same errors, carried through the
/// least squares.
/// Shape:  runs [r], the first usual as found; planes 1 or 2; rows >= planes
/// Errors: bad_argument for runs of different shape, values that are not finite, other planes, or
///         fewer rows than planes; missing_metadata for too few runs, or runs whose weights do not
///         separate the planes Source: least-squares balancing [goodman1964]; regression
///         closed form
[[nodiscard]] Result<BalanceAnswer> balance(std::span<const BalanceRun> runs,
                                            const BalanceOptions& options = {});

/// The prediction at every row for other weights than the least-squares ones, as for those that
/// were rounded and split onto blades.
/// Errors: as balance(); bad_argument for other planes
[[nodiscard]] Result<std::vector<RowPrediction>> predict(std::span<const BalanceRun> runs,
                                                         std::span<const BalanceWeight> weights,
                                                         const BalanceOptions& options = {});

}  // namespace bearingdsp
