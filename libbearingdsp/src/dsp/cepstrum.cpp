#include "bearingdsp/dsp/cepstrum.hpp"

#include <algorithm>
#include <cmath>

#include "bearingdsp/dsp/noise_floor.hpp"
#include "dsp/detail.hpp"

namespace bearingdsp {
namespace {

using detail::real;
using Complex = std::complex<double>;

constexpr double negligible = 1e-12;  ///< of the strongest line's magnitude

double strongest(std::span<const Complex> spectrum) {
  double m = 0;
  for (const Complex& v : spectrum) m = std::max(m, std::abs(v));
  return m;
}

std::vector<Complex> transform(std::span<const double> x, FftPlans& plans) {
  detail::require(!x.empty(), "cepstrum: no samples");
  const auto fft = plans.real(x.size());
  std::vector<Complex> bins(fft->bins());
  fft->forward(x, bins);
  return bins;
}

}  // namespace

std::vector<double> real_cepstrum(std::span<const double> x, FftPlans& plans) {
  auto bins = transform(x, plans);
  std::vector<double> c(x.size(), 0.0);
  const double top = strongest(bins);
  if (top == 0) return c;
  for (Complex& v : bins) v = std::log(std::max(std::abs(v), negligible * top)) / real(x.size());
  plans.real(x.size())->inverse(bins, c);
  return c;
}

void whiten_to_phase(std::span<Complex> spectrum) {
  const double least = negligible * strongest(spectrum);
  for (Complex& v : spectrum) {
    const double m = std::abs(v);
    v = m > least ? v / m : Complex{};
  }
}

std::vector<double> cepstral_prewhiten(std::span<const double> x, FftPlans& plans) {
  auto bins = transform(x, plans);
  whiten_to_phase(bins);
  for (Complex& v : bins) v /= std::sqrt(real(x.size()));
  std::vector<double> y(x.size());
  plans.real(x.size())->inverse(bins, y);
  return y;
}

void whiten_by_floor(std::span<Complex> spectrum, const WhitenOptions& options) {
  if (spectrum.empty()) return;
  std::vector<double> power(spectrum.size());
  double top = 0;
  for (std::size_t k = 0; k < power.size(); ++k) {
    power[k] = std::norm(spectrum[k]);
    top = std::max(top, power[k]);
  }
  if (top == 0) return;
  const auto floor = noise_floor_by_knots(power, {.half = options.half, .shape = 1});
  for (std::size_t k = 0; k < power.size(); ++k)
    spectrum[k] /= std::sqrt(std::max(floor[k], 1e-20 * top));
}

std::vector<double> whiten(std::span<const double> x, FftPlans& plans,
                           const WhitenOptions& options) {
  auto bins = transform(x, plans);
  whiten_by_floor(bins, options);
  for (Complex& v : bins) v /= std::sqrt(real(x.size()));
  std::vector<double> y(x.size());
  plans.real(x.size())->inverse(bins, y);
  return y;
}

}  // namespace bearingdsp
