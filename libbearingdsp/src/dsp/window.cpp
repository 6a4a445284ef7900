#include "bearingdsp/dsp/window.hpp"

#include <cmath>

#include "dsp/detail.hpp"

namespace bearingdsp {
namespace {

using detail::real;

/// a[0] - a[1] cos(t) + a[2] cos(2t) - ...
double cosine_sum(std::span<const double> a, double t) {
  double sum = a[0];
  double sign = -1;
  for (std::size_t k = 1; k < a.size(); ++k) {
    sum += sign * a[k] * std::cos(real(k) * t);
    sign = -sign;
  }
  return sum;
}

constexpr double rectangular[] = {1.0};
constexpr double hann[] = {0.5, 0.5};
constexpr double hamming[] = {0.54, 0.46};
constexpr double blackman[] = {0.42, 0.5, 0.08};
constexpr double flat_top[] = {0.21557895, 0.41663158, 0.277263158, 0.083578947, 0.006947368};

std::span<const double> coefficients(WindowKind kind) {
  switch (kind) {
    case WindowKind::hann:
      return hann;
    case WindowKind::hamming:
      return hamming;
    case WindowKind::blackman:
      return blackman;
    case WindowKind::flat_top:
      return flat_top;
    case WindowKind::rectangular:
    case WindowKind::kaiser:
      break;
  }
  return rectangular;
}

}  // namespace

std::vector<double> make_window(std::size_t n, const WindowShape& shape, WindowSymmetry symmetry) {
  detail::require(n > 0, "make_window: length must be at least 1");
  detail::require(
      shape.kind != WindowKind::kaiser || (shape.kaiser_beta >= 0 && shape.kaiser_beta <= 50),
      "make_window: Kaiser beta must lie in 0 .. 50");
  std::vector<double> w(n, 1.0);
  if (n == 1) return w;
  const std::size_t period = symmetry == WindowSymmetry::periodic ? n : n - 1;
  const auto a = coefficients(shape.kind);
  const double scale = 1 / detail::bessel_i0(shape.kaiser_beta);
  // Half is computed and mirrored, so symmetry is exact.
  for (std::size_t i = 0; i <= period / 2; ++i) {
    double v = 1;
    if (shape.kind == WindowKind::kaiser) {
      const double u = 2 * real(i) / real(period) - 1;
      v = scale * detail::bessel_i0(shape.kaiser_beta * std::sqrt(std::fmax(0.0, 1 - u * u)));
    } else {
      v = cosine_sum(a, 2 * detail::pi * real(i) / real(period));
    }
    w[i] = v;
    if (i > 0 && period - i < n) w[period - i] = v;
  }
  if (period < n) w[period] = w[0];
  return w;
}

double coherent_gain(std::span<const double> w) {
  detail::require(!w.empty(), "coherent_gain: empty window");
  return detail::sum_of(w, [](double v) { return v; }) / real(w.size());
}

double enbw_bins(std::span<const double> w) {
  const double gain = coherent_gain(w);
  detail::require(gain != 0, "enbw_bins: the window sums to zero");
  return detail::sum_of(w, [](double v) { return v * v; }) / real(w.size()) / (gain * gain);
}

double independent_averages(std::span<const double> w, std::size_t count, std::size_t step) {
  detail::require(count > 0 && step > 0, "independent_averages: no segments or no step");
  const double power = detail::sum_of(w, [](double v) { return v * v; });
  detail::require(power > 0, "independent_averages: the window has no power");
  double shared = 0;
  for (std::size_t j = 1; j < count && j * step < w.size(); ++j) {
    double product = 0;
    for (std::size_t i = j * step; i < w.size(); ++i) product += w[i] * w[i - j * step];
    const double correlation = product / power;
    shared += (1 - real(j) / real(count)) * correlation * correlation;
  }
  return real(count) / (1 + 2 * shared);
}

double kaiser_beta_for(double attenuation_db) {
  detail::require(attenuation_db > 0, "kaiser_beta_for: attenuation must be positive");
  if (attenuation_db > 50) return 0.1102 * (attenuation_db - 8.7);
  if (attenuation_db < 21) return 0;
  return 0.5842 * std::pow(attenuation_db - 21, 0.4) + 0.07886 * (attenuation_db - 21);
}

}  // namespace bearingdsp
