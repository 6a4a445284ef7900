#pragma once
/// Robust answers to: does it grow, and how fast?
#include <cstddef>
#include <optional>
#include <span>

namespace bearingdsp {

/// Chance that n values in random order rise as consistently as these (one-sided): the share of all
/// orders with at least as many pairs in rising order less falling. Ties count as neither.
/// Shape:  y [n], n >= 2, finite, in order of time. Exact up to 40 values, by the normal
///         approximation with continuity correction beyond
/// Errors: std::invalid_argument for fewer than two values
/// Source: [mann1945]
[[nodiscard]] double rising_by_chance(std::span<const double> y);

/// Pairs in rising order less pairs in falling order.
/// Shape: y [n]
[[nodiscard]] int rising_score(std::span<const double> y) noexcept;
/// rising_by_chance of n values with that score, for those who ask often.
/// Shape: n >= 2, |score| <= n (n - 1) / 2.
/// Errors: std::invalid_argument for n < 2.
/// Source: [mann1945]
[[nodiscard]] double chance_of_score(std::size_t n, int score);

/// A straight line through most of the points, whatever the rest do.
struct RobustLine {
  double slope{0};      ///< median of the slopes of all pairs, y per x
  double intercept{0};  ///< median of y - slope x
  double scatter{0};    ///< of the points about it: 1.4826 median |residual|, in y
};
/// Shape:  x, y [n], n >= 2; pairs of equal x give no slope.
/// Cost: O(n^2)
/// Errors: std::invalid_argument for unequal lengths, fewer than two points or no two different x
/// Source: [sen1968]
[[nodiscard]] RobustLine robust_line(std::span<const double> x, std::span<const double> y);

struct DriftLimits {
  double false_alarm{0.01};  ///< chance that values in random order look as consistent
  double min_gain{3};        ///< from the first to the last value, in y ...
  double min_scatters{3};    ///< ... and in scatters about the line
};
/// A steady rise or fall over all values, which is not scatter about a level.
struct Drift {
  RobustLine line;
  double gain{0};  ///< of the line over all values; negative for a fall
};
/// None where the values may as well scatter about one level: fewer than four, no direction beyond
/// `false_alarm` (rising_by_chance, one-sided), or too little gained.
/// Shape:  x, y [n], x ascending.
/// Errors: std::invalid_argument for unequal lengths
/// Source: [mann1945], [sen1968]
[[nodiscard]] std::optional<Drift> drift_of(std::span<const double> x, std::span<const double> y,
                                            const DriftLimits& limits = {});

}  // namespace bearingdsp
