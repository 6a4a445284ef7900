#pragma once
/// Do a few instants repeat at even intervals, with some of them missing?
#include <limits>
#include <span>

namespace bearingdsp {

/// The repetition rate that instants keep best, and how often random instants would.
struct Periodicity {
  double rate{0};    ///< repetitions per second; 0 where there is nothing to judge
  double chance{1};  ///< probability that instants at random keep any rate as well, 0 .. 1
};

struct PeriodicityOptions {
  double lowest{1.75};  ///< Hz: the cage of a shaft at 5 Hz
  double highest{60};   ///< Hz
  /// Hz: half the sample rate of the instants. Higher rates are not tried: they are aliases, and a
  /// recording of centuries would have more of them than can be tried.
  double resolved{std::numeric_limits<double>::infinity()};
};

/// Sums unit phasors of the instants at each rate (Rayleigh's test), in pieces of some sixteen
/// instants so that intervals that scatter a little do not add up over a long recording. For random
/// instants the squared sum over the count is exponentially distributed; the best of all rates is
/// charged for the rates tried. Rates near the mean rate of the instants, at which few or none are
/// missing, are also tried by themselves: they are few, so that seven even intervals suffice.
/// Shape:  times [n], rising, s; fewer than 4 give chance 1
/// Units:  duration of the recording in s, > 0
/// Errors: std::invalid_argument if duration is not positive or the rates are not 0 < lowest <
///         highest
/// Source: [rayleigh1919]; as a test of instants [mardia2000] section 6.3
[[nodiscard]] Periodicity strongest_period(std::span<const double> times, double duration,
                                           const PeriodicityOptions& options = {});

}  // namespace bearingdsp
