#include "bearingdsp/dsp/resample.hpp"

#include <algorithm>
#include <cmath>

#include "bearingdsp/dsp/window.hpp"
#include "dsp/detail.hpp"
#include "dsp/extend.hpp"

namespace bearingdsp {
namespace {

using detail::real;
using detail::require;

void check(std::span<const double> x, const InterpolationOptions& o) {
  require(!x.empty(), "interpolation: no samples");
  require(o.half_width >= 1 && o.half_width <= 4096, "interpolation: half_width must be 1 .. 4096");
  require(o.attenuation_db > 0 && o.attenuation_db <= 200,
          "interpolation: attenuation must be 0 .. 200 dB");
  require(o.cutoff > 1e-7 && o.cutoff <= 1, "interpolation: cutoff must be 1e-7 .. 1");
}

/// Windowed sinc around 0 with the given reach.
class Kernel {
 public:
  explicit Kernel(const InterpolationOptions& o)
      : cutoff_{o.cutoff},
        half_{static_cast<std::size_t>(std::ceil(real(o.half_width) / o.cutoff))},
        beta_{kaiser_beta_for(o.attenuation_db)},
        scale_{1 / detail::bessel_i0(beta_)} {}
  [[nodiscard]] std::size_t half() const { return half_; }
  /// The 2 half + 1 weights for a position `fraction` after the middle sample; they sum to 1, so a
  /// constant is kept exactly.
  void weights(double fraction, std::span<double> w) const {
    double sum = 0;
    for (std::size_t i = 0; i < w.size(); ++i) {
      w[i] = at(real(i) - real(half_) - fraction);
      sum += w[i];
    }
    for (double& v : w) v /= sum;
  }

 private:
  [[nodiscard]] double at(double t) const {
    const double u = t / real(half_);
    if (std::abs(u) >= 1) return 0;
    const double a = detail::pi * cutoff_ * t;
    const double sinc = std::abs(a) < 1e-8 ? 1.0 : std::sin(a) / a;
    return cutoff_ * sinc * scale_ * detail::bessel_i0(beta_ * std::sqrt(1 - u * u));
  }
  double cutoff_;
  std::size_t half_;
  double beta_, scale_;
};

double dot(const double* a, const double* b, std::size_t n) {
  double part[4] = {};
  const std::size_t whole = n / 4 * 4;
  for (std::size_t i = 0; i < whole; i += 4)
    for (std::size_t j = 0; j < 4; ++j) part[j] += a[i + j] * b[i + j];
  for (std::size_t i = whole; i < n; ++i) part[i - whole] += a[i] * b[i];
  return (part[0] + part[1]) + (part[2] + part[3]);
}

}  // namespace

std::vector<double> interpolate_at(std::span<const double> x, std::span<const double> positions,
                                   const InterpolationOptions& options) {
  check(x, options);
  const double last = real(x.size() - 1);
  for (const double p : positions)
    require(p >= 0 && p <= last, "interpolate_at: a position is outside the recording");
  std::vector<double> y(positions.size());
  if (positions.empty()) return y;

  const Kernel kernel{options};
  const std::size_t half = kernel.half();
  const std::size_t taps = 2 * half + 1;
  // Straight-line interpolation between kernel rows errs by (pi cutoff / phases)^2 / 8.
  const double wanted = 1024 * options.cutoff;
  const auto phases = static_cast<std::size_t>(std::max(64.0, std::ceil(wanted)));
  std::vector<double> rows((phases + 1) * taps);
  for (std::size_t p = 0; p <= phases; ++p)
    kernel.weights(real(p) / real(phases), std::span{rows}.subspan(p * taps, taps));
  auto e = detail::reflect_ends(x, half);
  e.push_back(e.back());

  for (std::size_t i = 0; i < positions.size(); ++i) {
    const double base = std::floor(positions[i]);
    const double phase = (positions[i] - base) * real(phases);
    const auto row = std::min(static_cast<std::size_t>(phase), phases - 1);
    const double f = phase - real(row);
    const double* samples = e.data() + static_cast<std::size_t>(base);
    const double* low = rows.data() + row * taps;
    const double a = dot(samples, low, taps);
    y[i] = f == 0 ? a : a + f * (dot(samples, low + taps, taps) - a);
  }
  return y;
}

std::vector<double> resample(std::span<const double> x, double ratio,
                             const InterpolationOptions& options) {
  check(x, options);
  require(ratio >= 1e-6 && ratio <= 1e6, "resample: ratio must be 1e-6 .. 1e6");
  InterpolationOptions o = options;
  o.cutoff = std::min(o.cutoff, ratio);
  const double last = real(x.size() - 1);
  // The margin keeps the last value when (n - 1) ratio is a whole number but for rounding.
  const auto m = static_cast<std::size_t>(std::floor(last * ratio * (1 + 1e-14))) + 1;
  std::vector<double> positions(m);
  for (std::size_t i = 0; i < m; ++i) positions[i] = std::min(last, real(i) / ratio);
  return interpolate_at(x, positions, o);
}

std::vector<double> decimate(std::span<const double> x, std::size_t factor,
                             const InterpolationOptions& options) {
  check(x, options);
  require(factor >= 1 && factor <= 1000000, "decimate: factor must be 1 .. 1000000");
  if (factor == 1) return {x.begin(), x.end()};
  InterpolationOptions o = options;
  o.cutoff = std::min(o.cutoff, 1 / real(factor));
  const Kernel kernel{o};
  const std::size_t taps = 2 * kernel.half() + 1;
  std::vector<double> w(taps);
  kernel.weights(0, w);
  const auto e = detail::reflect_ends(x, kernel.half());
  std::vector<double> y((x.size() - 1) / factor + 1);
  for (std::size_t i = 0; i < y.size(); ++i) y[i] = dot(e.data() + i * factor, w.data(), taps);
  return y;
}

}  // namespace bearingdsp
