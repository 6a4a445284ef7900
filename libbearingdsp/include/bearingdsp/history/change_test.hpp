#pragma once
/// A sequential test for a lasting change of a level: it adds up small rises that no single reading
/// shows, and states how often it is wrong.
#include <array>
#include <cstddef>
#include <span>
#include <vector>

#include "bearingdsp/history/indicators.hpp"

namespace bearingdsp {

/// The levels that are tested side by side. Peak, kurtosis, crest factor and the overall level
/// follow knocks from outside, which the others leave out or which are small in them.
inline constexpr std::array tested_levels{Indicator::velocity, Indicator::high_band,
                                          Indicator::envelope, Indicator::floor};
/// Mean number of readings of an unchanged machine between two false alerts, all tested_levels
/// together, where readings scatter by up to 1.5 dB, partly slowly, and one in 33 is far off.
/// From seeded simulation: tests/bench/trend_validation.cpp measures it, docs/validation/trend.md
inline constexpr double readings_between_false_alerts = 1000;

/// The figures were chosen on that simulation: the threshold is the smallest whole number that
/// keeps readings_between_false_alerts.
struct ChangeTestOptions {
  double threshold{5};  ///< of the sum, in standard deviations
  /// Half of the smallest rise that is looked for, in standard deviations [page1954].
  double reference{1};
  /// Standard errors of the baseline's own level that the reference lies further up: the baseline
  /// is known from few readings, and its error is the same in all that are compared with it.
  double baseline_errors{2};
  /// Taken where the baseline scatters less: a few readings that agree, or that follow each other
  /// closely, do not show how an unchanged machine scatters between readings.
  double min_sigma_db{1.5};
  /// One reading counts for no more than so many standard deviations: a knock is no change.
  double max_step{4};
};

/// A level that is tested.
struct TestedLevel {
  std::span<const double> level_db;  ///< in order of time; shape [n]
  std::size_t first{0};              ///< the first that is compared; those before made the baseline
  double baseline_db{0}, sigma_db{0};
  std::size_t baseline_readings{1};
};

/// Whether a lasting rise is present after each reading: a one-sided CUSUM, S = max(0, S + z -
/// reference). It begins when S reaches the threshold, and ends, with S at 0, when three readings
/// in a row are at or below the reference: a level that fell back is no change.
/// Shape:  -> [n].
/// Errors: std::invalid_argument for sigma_db <= 0 or no baseline reading
/// Source: [page1954]; the reference, the bound of one reading and the end are ours
[[nodiscard]] std::vector<bool> lasting_rise(const TestedLevel& level,
                                             const ChangeTestOptions& options = {});

}  // namespace bearingdsp
