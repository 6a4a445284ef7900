#pragma once
/// When a growing level will reach a limit: a range with its probability, or a reason why there is
/// none.
#include <cstddef>
#include <optional>
#include <span>
#include <string>

#include "bearingdsp/history/trend.hpp"

namespace bearingdsp {

/// The level reaches the limit between earliest and latest with the stated probability.
struct ReachRange {
  double earliest_days{0};  ///< from the last reading; as likely before it as after latest
  double likely_days{0};    ///< half of the chances before, half after
  std::optional<double> latest_days;  ///< none: the readings do not set an end
};

struct Forecast {
  std::optional<ReachRange> reach;
  double probability{0.8};  ///< of the range
  std::string why;          ///< what it rests on, or why none is given
};

struct ForecastOptions {
  double probability{0.8};
  double limit_db{12};            ///< above the baseline
  std::size_t least_readings{6};  ///< since the growth began
  std::size_t most_readings{14};  ///< the latest of them: an older rate says less
  double by_chance{0.02};         ///< a rise that chance makes more often is none
  double farthest{3};             ///< no further ahead than this many times the time seen growing
  /// How much faster and slower than seen the growth may go on, as factors of its rate, at the
  /// edges of the range: damage accelerates as it spreads, and slows while edges are smoothed.
  /// Fitted on simulated growth, docs/validation/trend.md
  double faster{3}, slower{0.5};
};

/// A robust straight line through the level in dB (exponential growth of the level) since it left
/// the baseline; the range allows for the scatter, for the uncertainty of the slope and for the
/// growth rate itself to change. It supposes that the growth goes on: damage that stands still
/// never reaches the limit. Measured coverage: docs/validation/trend.md
///
/// Shape:   days, db [n], days ascending, db above the baseline; sigma_db of the baseline
/// Refuses: too few readings since the growth began, a rise that chance may make, a step, a limit
///          that is reached already or lies too far ahead
/// Errors:  std::invalid_argument for unequal lengths or a probability outside (0, 1)
/// Source:  slope [sen1968]; predictive interval of a line, Student's t [abramowitz1964] 26.7.5
[[nodiscard]] Forecast forecast(std::span<const double> days, std::span<const double> db,
                                double sigma_db, const ForecastOptions& options = {});
/// The same of a level of a trend: until options.limit_db above its baseline.
[[nodiscard]] Forecast forecast(const LevelTrend& level, const ForecastOptions& options = {});

}  // namespace bearingdsp
