#include "bearingdsp/dsp/noise_floor.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "bearingdsp/dsp/statistics.hpp"
#include "bearingdsp/dsp/tails.hpp"
#include "dsp/detail.hpp"

namespace bearingdsp {

double gamma_median_over_mean(double shape) { return gamma_q_inverse(shape, 0.5) / shape; }

std::vector<double> noise_floor(std::span<const double> power, const FloorOptions& options) {
  const double ratio = gamma_median_over_mean(options.shape);
  auto y = running_median(power, options.half);
  for (double& v : y) v /= ratio;
  return y;
}

std::vector<double> noise_floor_by_knots(std::span<const double> power,
                                         const FloorOptions& options) {
  detail::require(!power.empty(), "noise floor: empty spectrum");
  const std::size_t n = power.size();
  const std::size_t half = std::min(options.half, n - 1);
  const std::size_t step = std::max<std::size_t>(1, half);
  const double ratio = gamma_median_over_mean(options.shape);
  std::vector<double> window(2 * half + 1);
  const auto knot = [&](std::size_t centre) {
    for (std::size_t i = 0; i < window.size(); ++i) {
      // Mirrored about the first and the last line, as running_median does.
      const std::size_t j = centre + i;
      std::size_t k = j < half ? half - j : j - half;
      if (k >= n) k = 2 * (n - 1) - k;
      window[i] = power[k];
    }
    const auto middle = window.begin() + static_cast<std::ptrdiff_t>(half);
    std::nth_element(window.begin(), middle, window.end());
    return *middle / ratio;
  };
  for (const double p : power) detail::require(!std::isnan(p), "noise floor: NaN in the spectrum");
  std::vector<double> y(n);
  double left = knot(0);
  for (std::size_t k = 0; k < n;) {
    const std::size_t next = std::min(k + step, n - 1);
    const double right = next > k ? knot(next) : left;
    const std::size_t length = std::max<std::size_t>(1, next - k);
    for (std::size_t i = 0; i < length; ++i)
      y[k + i] = left + (right - left) * detail::real(i) / detail::real(length);
    left = right;
    if (next == k) break;
    k = next;
  }
  return y;
}

double floor_relative_deviation(const FloorOptions& options) {
  const double a = options.shape;
  const double m = gamma_q_inverse(a, 0.5);
  const double log_density = (a - 1) * std::log(m) - m - std::lgamma(a);
  const double count = 2 * detail::real(options.half) + 1;
  return 1 / (2 * std::sqrt(count) * std::exp(log_density) * m);
}

double log10_line_tail(double power, double floor, double shape) {
  detail::require(power >= 0 && floor > 0, "log10_line_tail: power or floor out of range");
  return log_gamma_q(shape, shape * (power / floor)) / std::numbers::ln10;
}

}  // namespace bearingdsp
