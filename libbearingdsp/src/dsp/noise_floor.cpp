#include "bearingdsp/dsp/noise_floor.hpp"

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
