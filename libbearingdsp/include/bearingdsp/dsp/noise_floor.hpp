#pragma once
/// The noise between the lines of a power spectrum, and how unlikely a line is to be noise.
///
/// A line of the power spectrum of Gaussian noise is exponentially distributed about the local
/// mean; the mean of M independent ones is a gamma variate of shape M. A local median finds that
/// mean although lines are in the window, once the ratio of median to mean is divided out.
#include <cstddef>
#include <span>
#include <vector>

namespace bearingdsp {

/// Median over mean of a gamma variate of the given shape: ln 2 for 1, towards 1 - 1/(3 shape).
/// Range: 0.1 <= shape <= 1e6. Accuracy: 1e-11 relative (exact inverse of Q, not an approximation).
/// Errors: std::invalid_argument outside the range
[[nodiscard]] double gamma_median_over_mean(double shape);

struct FloorOptions {
  std::size_t half{50};  ///< lines on each side; the window should hold mostly noise
  /// Gamma shape of a line: the number of independent periodograms averaged into it (1 for a
  /// single transform; about 0.53 of the count for half-overlapped Hann segments beyond a few).
  double shape{1};
};

/// Local mean power of the noise at every line, from the running median.
/// Shape:    power [n], n >= 1, >= 0 -> floor [n]; at the ends the spectrum is mirrored
/// Units:    as power
/// Accuracy: no bias for gamma-distributed lines of a level floor; relative standard deviation
///           floor_relative_deviation(options). If a fraction e of the window is lines, the floor
///           is high by about e / (2 ln 2 (1 - e)) at shape 1.
/// Errors:   std::invalid_argument if power is empty or holds a NaN, or shape is out of range
[[nodiscard]] std::vector<double> noise_floor(std::span<const double> power,
                                              const FloorOptions& options = {});

/// As noise_floor, but the median is taken only at knots half lines apart and joined by straight
/// lines: cheaper on long spectra, the same away from steps of the floor. Between
/// knots it differs from noise_floor by a fraction of the floor's own deviation.
[[nodiscard]] std::vector<double> noise_floor_by_knots(std::span<const double> power,
                                                       const FloorOptions& options = {});

/// Relative standard deviation of noise_floor for independent lines away from the ends:
/// 1 / (2 sqrt(N) f(m) m) with f the gamma density at its median m (1/(sqrt(N) ln 2) at shape 1).
/// Source: asymptotic variance of the sample median
[[nodiscard]] double floor_relative_deviation(const FloorOptions& options);

/// log10 of the probability that noise of the given floor makes a line of this power or more.
/// power >= 0, floor > 0; the result is <= 0 and does not underflow. The floor is taken as known:
/// its own uncertainty is the caller's to add.
/// Errors: std::invalid_argument outside these ranges
[[nodiscard]] double log10_line_tail(double power, double floor, double shape = 1);

}  // namespace bearingdsp
