#pragma once
/// When a growing level will reach a limit: a range with its probability, or a reason why there is
/// none.
#include <cstddef>
#include <optional>
#include <span>
#include <string>

#include "bearingdsp/history/trend.hpp"

namespace bearingdsp {

/// With the stated probability the level reaches the limit neither before earliest nor, where there
/// is a latest, after it.
struct ReachRange {
  double earliest_days{0};  ///< from the last reading
  double likely_days{0};    ///< if it goes on growing as it did
  /// None where growth may well stop before the limit: then all of the probability not given is
  /// before earliest. Otherwise half of it is before earliest, half after latest.
  std::optional<double> latest_days;
};

struct Forecast {
  std::optional<ReachRange> reach;
  double probability{0.8};                        ///< of the range
  std::string why;                                ///< what it rests on, or why none is given
  std::string limit{"12 dB above the baseline"};  ///< what is reached, in words
};

/// The figures of growth were chosen on simulated growth of eight kinds, docs/validation/trend.md.
struct ForecastOptions {
  double probability{0.8};
  double limit_db{12};           ///< above the baseline
  std::size_t min_readings{6};   ///< since the growth began
  std::size_t max_readings{14};  ///< the latest of them: an older rate says less
  double by_chance{0.02};        ///< a rise that chance makes more often is none
  double farthest{4};            ///< likely no further ahead than this many times the time seen
  /// The rate to come over the rate seen, log-normal: damage accelerates as it spreads, and slows
  /// while edges are smoothed.
  double rate_median{2}, rate_spread{1.1};
  double piece_db{0.5};  ///< it grows in pieces: variance of what is gained, dB^2 for each dB
  double stop_db{16};    ///< growth stops within this many dB with the chance 1 - 1/e
};

/// A robust straight line through the level in dB (exponential growth of the level) since it left
/// the baseline, carried on with what is not known: where the line lies, how the rate changes, that
/// growth comes in pieces, and that it may stop. The earliest day is that of the latest readings
/// where they rise faster than the line. Measured coverage: docs/validation/trend.md
///
/// Shape:   days, db [n], days ascending, db above the baseline; sigma_db of the baseline
/// Refuses: too few readings since the growth began, a rise that chance may make, or that is mostly
///          one step, or that has ended; a limit that is reached already or lies too far ahead; a
///          range that would say nothing (from before the next reading on, without an end)
/// Errors:  std::invalid_argument for unequal lengths or a probability outside (0, 1)
/// Source:  degradation as a random process with an uncertain rate, carried on to a limit
///          [gebraeel2005]; slope [sen1968]; the distribution of the rate and the refusals are ours
[[nodiscard]] Forecast forecast(std::span<const double> days, std::span<const double> db,
                                double sigma_db, const ForecastOptions& options = {});
/// The same of a level of a trend: until options.limit_db above its baseline.
[[nodiscard]] Forecast forecast(const LevelTrend& level, const ForecastOptions& options = {});
/// Until the limit that means something for that level: zone D for a velocity whose limits are
/// known, the strength at which damage is called for the lines of a component, else
/// ForecastOptions::limit_db above the baseline.
[[nodiscard]] Forecast forecast_of(const LevelTrend& level, const TrendOptions& options);

}  // namespace bearingdsp
