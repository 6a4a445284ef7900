#include "bearingdsp/dsp/tails.hpp"

#include <cmath>
#include <limits>
#include <numbers>

#include "dsp/detail.hpp"

namespace bearingdsp {
namespace {

using detail::pi;
using detail::require;

constexpr double epsilon = std::numeric_limits<double>::epsilon();

/// ln of gamma(a + 1) / (sqrt(2 pi a) (a/e)^a), the Stirling correction, a >= 10.
/// Source: [dlmf] 5.11.1
double stirling_correction(double a) {
  const double r = 1 / (a * a);
  return (1.0 / 12 +
          r * (-1.0 / 360 +
               r * (1.0 / 1260 + r * (-1.0 / 1680 + r * (1.0 / 1188 - r * (691.0 / 360360)))))) /
         a;
}

/// m - 1 - ln m for m = x / a, without the cancellation around 1.
double log_gap(double x, double a) {
  const double t = (x - a) / a;
  if (std::abs(t) > 0.1) return x / a - 1 - std::log(x / a);
  double power = t * t;
  double sum = 0;
  for (int k = 2; k < 40; ++k) {
    const double term = power / k;
    sum += k % 2 == 0 ? term : -term;
    power *= t;
    if (std::abs(power) < epsilon * sum * 1e-2) break;
  }
  return sum;
}

/// ln of x^a exp(-x) / gamma(a + 1). lgamma of a large a would lose a's digits in a difference of
/// huge numbers; the scaled form keeps them.
double log_prefactor(double a, double x) {
  if (a < 10) return a * std::log(x) - x - std::log(std::tgamma(a + 1));
  return -a * log_gap(x, a) - 0.5 * std::log(2 * pi * a) - stirling_correction(a);
}

/// P / prefactor by the power series, for x < a + 1.
double series(double a, double x) {
  double term = 1;
  double sum = 1;
  for (double k = 1; k < 1e6; ++k) {
    term *= x / (a + k);
    sum += term;
    if (term < sum * epsilon * 0.1) break;
  }
  return sum;
}

/// Q / (a prefactor) by the continued fraction in Lentz's form, for x >= a + 1.
double fraction(double a, double x) {
  constexpr double tiny = 1e-300;
  double b = x + 1 - a;
  double c = 1 / tiny;
  double d = 1 / b;
  double h = d;
  for (double k = 1; k < 1e6; ++k) {
    const double an = -k * (k - a);
    b += 2;
    d = an * d + b;
    if (std::abs(d) < tiny) d = tiny;
    c = b + an / c;
    if (std::abs(c) < tiny) c = tiny;
    d = 1 / d;
    const double delta = d * c;
    h *= delta;
    if (std::abs(delta - 1) < epsilon) break;
  }
  return h;
}

void check(double a, double x) {
  require(a >= 0.1 && a <= 1e6, "incomplete gamma: shape must be 0.1 .. 1e6");
  require(x >= 0, "incomplete gamma: x must not be negative");
}

double log_upper(double a, double x) { return log_prefactor(a, x) + std::log(a * fraction(a, x)); }

}  // namespace

double gamma_q(double a, double x) {
  check(a, x);
  if (x == 0) return 1;
  if (std::isinf(x)) return 0;
  if (x >= a + 1) return std::exp(log_prefactor(a, x)) * a * fraction(a, x);
  return 1 - std::exp(log_prefactor(a, x)) * series(a, x);
}

double gamma_p(double a, double x) {
  check(a, x);
  if (x == 0) return 0;
  if (std::isinf(x)) return 1;
  if (x >= a + 1) return 1 - std::exp(log_prefactor(a, x)) * a * fraction(a, x);
  return std::exp(log_prefactor(a, x)) * series(a, x);
}

double log_gamma_q(double a, double x) {
  check(a, x);
  if (x == 0) return 0;
  if (std::isinf(x)) return -x;
  if (x >= a + 1) return log_upper(a, x);
  return std::log1p(-std::exp(log_prefactor(a, x)) * series(a, x));
}

double gamma_q_inverse(double a, double q) {
  check(a, 0);
  require(q > 0 && q < 1, "gamma_q_inverse: q must lie between 0 and 1");
  // Bracketed Newton steps on ln Q, which is concave and smooth; start at Wilson and Hilferty's
  // cube.
  const double target = std::log(q);
  const double z = -normal_quantile(q);
  const double s = 1 / (9 * a);
  const double cube = 1 - s + z * std::sqrt(s);
  double x = cube > 0 ? a * cube * cube * cube : 0;
  // Near 0, P = x^a / gamma(a + 1).
  if (!(x > 0.01 * a))
    x = std::exp((std::log1p(-q) + std::log(std::tgamma(std::fmin(a, 100) + 1))) / a);
  double low = 0;
  double high = std::numeric_limits<double>::infinity();
  for (int i = 0; i < 200; ++i) {
    const double f = log_gamma_q(a, x) - target;
    (f > 0 ? low : high) = x;
    const double density = std::exp(log_prefactor(a, x) + std::log(a / x) - log_gamma_q(a, x));
    double next = x + f / density;
    if (!(next > low && next < high)) next = std::isinf(high) ? 2 * x + 1 : 0.5 * (low + high);
    if (std::abs(next - x) <= 1e-15 * x) return next;
    x = next;
  }
  return x;
}

double normal_tail(double z) {
  require(!std::isnan(z), "normal_tail: z is not a number");
  return 0.5 * std::erfc(z / std::numbers::sqrt2);
}

double log_normal_tail(double z) {
  require(!std::isnan(z), "log_normal_tail: z is not a number");
  if (z < -1) return std::log1p(-normal_tail(-z));
  if (z < 30) return std::log(normal_tail(z));
  // [dlmf] 7.12.1; five terms leave 1e-13 at z = 30.
  const double r = 1 / (z * z);
  const double sum = 1 - r * (1 - 3 * r * (1 - 5 * r * (1 - 7 * r * (1 - 9 * r))));
  return -0.5 * z * z - std::log(z * std::sqrt(2 * pi)) + std::log(sum);
}

double normal_quantile(double p) {
  require(p > 0 && p < 1, "normal_quantile: p must lie between 0 and 1");
  const bool upper = p > 0.5;
  const double tail = upper ? 1 - p : p;
  if (tail == 0.5) return 0;
  // Rational start within 4.5e-4 ([abramowitz1964] 26.2.23), then Halley steps, each cubing the
  // error.
  const double t = std::sqrt(-2 * std::log(tail));
  double z = t - (2.515517 + t * (0.802853 + t * 0.010328)) /
                     (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
  for (int i = 0; i < 3; ++i) {
    const double density = std::exp(-0.5 * z * z) / std::sqrt(2 * pi);
    const double u = (normal_tail(z) - tail) / density;
    z += u / (1 - 0.5 * z * u);
  }
  return upper ? z : -z;
}

}  // namespace bearingdsp
