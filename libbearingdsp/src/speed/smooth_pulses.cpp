#include "speed/smooth_pulses.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <optional>

namespace bearingdsp::speed_detail {
namespace {

constexpr std::size_t fewest_pulses = 8;
/// Beyond it the normal equations lose their digits; a straight line takes over from there.
constexpr double largest_penalty = 1e8;
/// Of two choices that predict alike the smoother one.
constexpr double alike = 1.02;
/// Intervals that scatter more have no even motion behind them; those of random pulses do by 0.5
/// to 1.
constexpr double largest_spread = 0.3;
constexpr double neighbours_correlate =
    -0.2;  ///< half way to -1/2, less the error of some fifty intervals

/// Minimum of sum (t - z)^2 + penalty sum (second difference of z)^2: five bands, solved by
/// L D L'.
std::vector<double> penalised(const std::vector<double>& t, double penalty) {
  const std::size_t n = t.size();
  std::vector<double> d(n);
  std::vector<double> e(n);  // one below the diagonal
  std::vector<double> f(n);  // two below
  std::vector<double> z(t);
  const auto diagonal = [&](std::size_t i) {
    const std::size_t end = std::min(i, n - 1 - i);
    return 1 + penalty * (end == 0 ? 1 : end == 1 ? 5 : 6);
  };
  const auto beside = [&](std::size_t i) {  // between i and i + 1
    return penalty * (i == 0 || i + 2 == n ? -2 : -4);
  };
  for (std::size_t i = 0; i < n; ++i) {
    const double e1 = i > 0 ? e[i - 1] : 0;
    const double f2 = i > 1 ? f[i - 2] : 0;
    d[i] = diagonal(i) - (i > 0 ? e1 * e1 * d[i - 1] : 0) - (i > 1 ? f2 * f2 * d[i - 2] : 0);
    if (i + 1 < n) e[i] = (beside(i) - (i > 0 ? f[i - 1] * e1 * d[i - 1] : 0)) / d[i];
    if (i + 2 < n) f[i] = penalty / d[i];
    if (i > 0) z[i] -= e1 * z[i - 1];
    if (i > 1) z[i] -= f2 * z[i - 2];
  }
  for (std::size_t i = 0; i < n; ++i) z[i] /= d[i];
  for (std::size_t i = n; i-- > 0;) {
    if (i + 1 < n) z[i] -= e[i] * z[i + 1];
    if (i + 2 < n) z[i] -= f[i] * z[i + 2];
  }
  return z;
}

std::vector<double> straight(const std::vector<double>& t) {
  const auto n = static_cast<double>(t.size());
  const double middle = (n - 1) / 2;
  double mean = 0;
  for (const double v : t) mean += v / n;
  double slope = 0;
  for (std::size_t i = 0; i < t.size(); ++i)
    slope += (static_cast<double>(i) - middle) * (t[i] - mean);
  slope /= n * (n * n - 1) / 12;
  std::vector<double> z(t.size());
  for (std::size_t i = 0; i < z.size(); ++i)
    z[i] = mean + slope * (static_cast<double>(i) - middle);
  return z;
}

/// Free parameters of penalised(): the trace of its matrix, by the eigenvalues of the second
/// difference on a circle of twice the length.
double parameters(std::size_t n, double penalty) {
  double sum = 2;
  for (std::size_t j = 2; j < n; ++j) {
    const double w =
        2 - 2 * std::cos(std::numbers::pi * static_cast<double>(j) / static_cast<double>(n));
    sum += 1 / (1 + penalty * w * w);
  }
  return sum;
}

struct Choice {
  std::vector<double> z;
  double square{};  ///< sum of the squared deviations
  double parameters{};
  [[nodiscard]] double prediction_error(double n) const {
    return square / ((n - parameters) * (n - parameters));
  }
};

Choice judged(const std::vector<double>& t, std::vector<double> z, double parameters) {
  Choice c{std::move(z), 0, parameters};
  for (std::size_t i = 0; i < t.size(); ++i) c.square += (t[i] - c.z[i]) * (t[i] - c.z[i]);
  return c;
}

}  // namespace

SmoothPulses smooth_pulses(const std::vector<double>& t) {
  SmoothPulses out{t, 0, 0};
  if (t.size() < fewest_pulses) return out;
  const auto n = static_cast<double>(t.size());
  // Counted from the first pulse, so that small deviations keep their digits.
  std::vector<double> from_first(t);
  for (double& v : from_first) v -= t.front();
  Choice best = judged(from_first, straight(from_first), 2);
  double least = best.prediction_error(n);
  for (double penalty = largest_penalty; penalty >= 0.1; penalty /= std::sqrt(10.0)) {
    Choice c = judged(from_first, penalised(from_first, penalty), parameters(t.size(), penalty));
    const double error = c.prediction_error(n);
    if (error * alike >= least) continue;
    least = error;
    best = std::move(c);
  }
  for (std::size_t i = 0; i < best.z.size(); ++i) {
    out.time[i] = t.front() + best.z[i];
    if (i > 0 && !(out.time[i] > out.time[i - 1])) return {t, 0, 0};
  }
  out.scatter = std::sqrt(best.square / (n - best.parameters));
  out.left = out.scatter * std::sqrt(best.parameters / n);
  return out;
}

bool scattered_pulses(const std::vector<double>& t) {
  if (t.size() < fewest_pulses) return false;
  const double mean = (t.back() - t.front()) / static_cast<double>(t.size() - 1);
  double square = 0;
  double product = 0;
  double before = 0;
  for (std::size_t i = 1; i < t.size(); ++i) {
    const double d = (t[i] - t[i - 1]) / mean - 1;
    square += d * d;
    if (i > 1) product += d * before;
    before = d;
  }
  const double spread = std::sqrt(square / static_cast<double>(t.size() - 1));
  return spread < largest_spread && product < neighbours_correlate * square;
}

}  // namespace bearingdsp::speed_detail
