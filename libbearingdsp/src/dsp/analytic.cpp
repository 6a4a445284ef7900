#include "bearingdsp/dsp/analytic.hpp"

#include <algorithm>
#include <cmath>

#include "dsp/detail.hpp"

namespace bearingdsp {
namespace {

using detail::real;
using detail::require;

/// Zero-padded copy of the band, scaled and with half-cosine slopes.
void cut_band(std::span<const std::complex<double>> spectrum, std::size_t n, std::size_t first,
              std::size_t last, std::size_t edge, std::span<std::complex<double>> band) {
  require(n > 0 && spectrum.size() == n / 2 + 1, "envelope: the spectrum is not that of n samples");
  require(first < last && last <= spectrum.size(), "envelope: the band is empty or outside");
  const std::size_t width = last - first;
  require(band.size() >= width, "envelope: fewer points than lines in the band");
  const double scale = 2 / real(n);
  for (std::size_t k = 0; k < width; ++k) band[k] = scale * spectrum[first + k];
  std::fill(band.begin() + static_cast<std::ptrdiff_t>(width), band.end(), 0.0);
  edge = std::min(edge, width / 2);
  for (std::size_t k = 0; k < edge; ++k) {
    const double g = 0.5 - 0.5 * std::cos(detail::pi * (real(k) + 0.5) / real(edge));
    band[k] *= g;
    band[width - 1 - k] *= g;
  }
  // 0 Hz and half the rate are their own mirror images: the analytic signal keeps them undoubled.
  if (first == 0) band[0] *= 0.5;
  if (n % 2 == 0 && last == spectrum.size()) band[width - 1] *= 0.5;
}

}  // namespace

std::vector<double> squared_envelope(std::span<const std::complex<double>> spectrum, std::size_t n,
                                     std::size_t first, std::size_t last, FftPlans& plans,
                                     const SquaredEnvelopeOptions& options) {
  require(first < last, "envelope: the band is empty or outside");
  const std::size_t width = last - first;
  const std::size_t m = good_fft_size(width + std::min(options.alias_free_lines, width - 1));
  const auto z = complex_envelope(spectrum, n, first, last, m, plans, options.edge_lines);
  std::vector<double> y(m);
  for (std::size_t i = 0; i < m; ++i) y[i] = z[i].real() * z[i].real() + z[i].imag() * z[i].imag();
  return y;
}

std::vector<std::complex<double>> complex_envelope(std::span<const std::complex<double>> spectrum,
                                                   std::size_t n, std::size_t first,
                                                   std::size_t last, std::size_t m, FftPlans& plans,
                                                   std::size_t edge_lines) {
  std::vector<std::complex<double>> work(m);
  std::vector<std::complex<double>> z(m);
  complex_envelope(spectrum, n, first, last, plans, edge_lines, work, z);
  return z;
}

void complex_envelope(std::span<const std::complex<double>> spectrum, std::size_t n,
                      std::size_t first, std::size_t last, FftPlans& plans, std::size_t edge_lines,
                      std::span<std::complex<double>> work, std::span<std::complex<double>> z) {
  require(work.size() == z.size(), "envelope: the two arrays differ in length");
  cut_band(spectrum, n, first, last, edge_lines, work);
  plans.complex(z.size())->inverse(work, z);
}

std::vector<std::complex<double>> analytic_signal(std::span<const double> x, FftPlans& plans) {
  require(!x.empty(), "analytic_signal: no samples");
  const auto fft = plans.real(x.size());
  std::vector<std::complex<double>> spectrum(fft->bins());
  fft->forward(x, spectrum);
  return complex_envelope(spectrum, x.size(), 0, spectrum.size(), x.size(), plans);
}

std::vector<double> envelope(std::span<const double> x, FftPlans& plans) {
  const auto z = analytic_signal(x, plans);
  std::vector<double> y(z.size());
  std::transform(z.begin(), z.end(), y.begin(), [](const auto& v) { return std::abs(v); });
  return y;
}

}  // namespace bearingdsp
