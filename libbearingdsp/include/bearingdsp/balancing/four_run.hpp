#pragma once
/// Balancing in one plane without a phase: amplitudes with one trial weight at several angles.
#include <span>
#include <string>
#include <vector>

#include "bearingdsp/balancing/weight.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// The amplitude with the trial weight at one angle; any unit, the same for all.
struct AmplitudeRun {
  double amplitude{0};
  Degrees angle;
};
/// The same weight at the same radius in every run with one.
struct FourRuns {
  double found{0};                 ///< amplitude as found
  Grams trial;                     ///< > 0
  std::vector<AmplitudeRun> runs;  ///< three or more, usually at 0, 120 and 240 degrees
};
struct FourRunOptions {
  /// As BalanceOptions::repeatability.
  double repeatability{0.05};
  /// The trial weight's own vibration has to be this part of that found. Common practice, from
  /// memory (90 %), of influence runs.
  double min_effect{0.30};
  /// By how much the amplitude as found may differ from the one that the runs give. Common
  /// practice, no source: above the first a remark, above the second no answer.
  double doubtful_misfit{0.05};
  double max_misfit{0.10};
};
struct FourRunAnswer {
  std::vector<std::string> why_not;  ///< empty where the runs give a correction
  BalanceWeight correction;          ///< trial weight taken off; meaningless with `why_not`
  Grams mass_uncertainty;            ///< 95 %
  Degrees angle_uncertainty;         ///< 95 %; 180 where it is not known
  double effect{0};                  ///< amplitude that the trial weight alone causes
  Degrees direction;        ///< where the vibration as found points to, as a weight's angle
  double found_again{0};    ///< amplitude as found by the runs with the weight
  double at_most{0};        ///< amplitude after the correction, in 95 of 100 cases
  double repeatability{0};  ///< that the 95 % ranges assume, fraction of an amplitude
  std::vector<std::string> notes;
  [[nodiscard]] bool usable() const noexcept { return why_not.empty(); }
};

/// Each run says V^2 - V0^2 = T^2 + 2 T (a cos angle + b sin angle), with T the effect of the trial
/// weight and (a, b) the vibration as found seen in the weight's angles: linear least squares for
/// T^2, T a and T b. The correction is trial V0 / T at the angle opposite to (a, b).
/// Errors: bad_argument for fewer than three runs, amplitudes or a weight not above zero, angles
/// that are not distinct, a repeatability that is not between 0 and 1
/// Source: closed form; the graphical construction with circles is equivalent
[[nodiscard]] Result<FourRunAnswer> balance_without_phase(const FourRuns& runs,
                                                          const FourRunOptions& options = {});

}  // namespace bearingdsp
