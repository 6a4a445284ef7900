#pragma once
/// Figures of one array: moments, order statistics, local medians, straight lines.
///
/// All take a view of n >= 1 finite samples in a unit U and leave it alone; an empty view or (for
/// order statistics) a NaN is a caller's bug: std::invalid_argument. Moments are population moments
/// (divided by n). A ratio without a meaning (a constant array has no shape) is 0, a value the
/// ratio cannot take otherwise.
#include <cstddef>
#include <span>
#include <vector>

namespace bearingdsp {

/// First four moments. kurtosis is the fourth standardised moment, not the excess: 3 for Gaussian
/// noise, 1.5 for a sine, always >= 1; 0 for a constant array, as is skewness.
struct Moments {
  double mean{0};      ///< U
  double variance{0};  ///< U^2
  double skewness{0};  ///< dimensionless
  double kurtosis{0};  ///< dimensionless
};

/// Two passes (mean, then central sums with the mean's rounding corrected).
/// Accuracy: relative error of each moment about 1e-14 even if |mean| is 1e6 standard deviations.
[[nodiscard]] Moments moments(std::span<const double> x);

[[nodiscard]] double mean(std::span<const double> x);      ///< U
[[nodiscard]] double rms(std::span<const double> x);       ///< U; the mean is not removed
[[nodiscard]] double peak(std::span<const double> x);      ///< U; largest magnitude
[[nodiscard]] double variance(std::span<const double> x);  ///< U^2
[[nodiscard]] double skewness(std::span<const double> x);
[[nodiscard]] double kurtosis(std::span<const double> x);
/// peak / rms, both as they stand (remove the mean first for a crest factor of the vibration).
[[nodiscard]] double crest_factor(std::span<const double> x);

/// Middle value; the mean of the two middle values if n is even. O(n).
[[nodiscard]] double median(std::span<const double> x);
/// Value below which a fraction q of the array lies (0 <= q <= 1), by linear interpolation between
/// order statistics at (n - 1) q. O(n).
/// Source: [hyndman1996] Hyndman, Fan, The American Statistician 50, 361-365, definition 7
[[nodiscard]] double quantile(std::span<const double> x, double q);
/// Median of |x - median(x)|; multiply by normal_per_mad for the standard deviation of Gaussian
/// data. O(n).
[[nodiscard]] double median_absolute_deviation(std::span<const double> x);
inline constexpr double normal_per_mad = 1.482602218505602;  ///< 1 / (normal quantile of 3/4)

/// Median of the 2 half + 1 values around each sample; at the ends the array is mirrored about its
/// end samples (x[-i] = x[i]), so every window is full. half is cut to n - 1.
/// Shape:  x [n] -> y [n].
/// Cost: O(n log half), linear memory.
/// Source: [suomela2014] J. Suomela, Median filtering is equivalent to sorting, arXiv:1406.1717
[[nodiscard]] std::vector<double> running_median(std::span<const double> x, std::size_t half);
/// Mean of the 2 half + 1 values around each sample, ends as for running_median. O(n).
[[nodiscard]] std::vector<double> running_mean(std::span<const double> x, std::size_t half);

/// Least-squares straight line x[i] ~ offset + slope i.
struct Line {
  double offset{0};  ///< U
  double slope{0};   ///< U per sample
};
[[nodiscard]] Line fit_line(std::span<const double> x);
/// x minus its mean.
/// Shape: x [n] -> y [n].
[[nodiscard]] std::vector<double> remove_mean(std::span<const double> x);
/// x minus its least-squares straight line.
/// Shape: x [n] -> y [n].
[[nodiscard]] std::vector<double> remove_line(std::span<const double> x);

}  // namespace bearingdsp
