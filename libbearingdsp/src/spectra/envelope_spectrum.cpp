#include "bearingdsp/spectra/envelope_spectrum.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "bearingdsp/dsp/analytic.hpp"

namespace bearingdsp {

RecordSpectrum record_spectrum(const SignalView& signal, FftPlans& plans) {
  if (signal.x.size() < 16) throw std::invalid_argument{"record_spectrum: needs 16 samples"};
  const std::size_t n = good_fft_size_below(signal.x.size());
  double mean = 0;
  for (std::size_t i = 0; i < n; ++i) mean += signal.x[i];
  mean /= static_cast<double>(n);
  std::vector<double> x(n);
  for (std::size_t i = 0; i < n; ++i) x[i] = signal.x[i] - mean;
  RecordSpectrum out{std::vector<std::complex<double>>(n / 2 + 1), n, signal.rate};
  plans.real(n)->forward(x, out.bins);
  return out;
}

RecordSpectrum flattened(const RecordSpectrum& spectrum, Hz smoothing) {
  const std::size_t m = spectrum.bins.size();
  const auto half = static_cast<std::size_t>(
      std::max(2.0, std::round(0.5 * (smoothing / spectrum.line_spacing()))));
  std::vector<double> sum(m + 1, 0.0);
  for (std::size_t k = 0; k < m; ++k) sum[k + 1] = sum[k] + std::norm(spectrum.bins[k]);
  const double guard = 1e-12 * sum[m] / static_cast<double>(m);
  RecordSpectrum out = spectrum;
  for (std::size_t k = 0; k < m; ++k) {
    const std::size_t a = k > half ? k - half : 0;
    const std::size_t b = std::min(m, k + half + 1);
    const double local = (sum[b] - sum[a]) / static_cast<double>(b - a);
    out.bins[k] = local > guard ? out.bins[k] / std::sqrt(local) : std::complex<double>{};
  }
  return out;
}

EnvelopeSpectrum squared_envelope_spectrum(const RecordSpectrum& spectrum, Band band, Hz up_to,
                                           FftPlans& plans) {
  const double df = spectrum.line_spacing().value();
  const std::size_t last =
      spectrum.bins.size() - 1;  // Nyquist is left out: it has no analytic partner
  const auto lo = static_cast<std::size_t>(std::max(1.0, std::round(band.low.value() / df)));
  // The width is rounded by itself, so that bands of one width share one transform length and plan.
  const auto rounded =
      static_cast<std::size_t>(std::max(0.0, std::round(band.width().value() / df)));
  const auto hi = std::min(last, lo + rounded);
  if (lo + 8 > hi) throw std::invalid_argument{"squared_envelope_spectrum: the band holds no bins"};
  const std::size_t width = hi - lo;
  const auto wanted = static_cast<std::size_t>(std::ceil(up_to.value() / df)) + 1;
  const std::size_t keep = std::min(wanted, width);
  std::vector<double> e = squared_envelope(spectrum.bins, spectrum.n, lo, hi, plans,
                                           {.alias_free_lines = keep, .edge_lines = 0});
  const std::size_t m = e.size();
  double sum = 0;
  double sum2 = 0;
  for (std::size_t i = 0; i < m; ++i) {
    sum += e[i];
    sum2 += e[i] * e[i];
  }
  EnvelopeSpectrum out;
  out.band = {Hz{static_cast<double>(lo) * df}, Hz{static_cast<double>(hi) * df}};
  out.line_spacing = Hz{df};
  const double mean = sum / static_cast<double>(m);
  if (!(mean > 0)) {
    out.depth2.assign(keep, 0.0);
    return out;
  }
  out.mean_square = mean / 2;
  out.kurtosis = sum2 / static_cast<double>(m) / (mean * mean) - 2;

  // Hann by recurrence-free direct evaluation would cost as much as the transform: rotate instead.
  const std::complex<double> turn = std::polar(1.0, 2 * std::numbers::pi / static_cast<double>(m));
  std::complex<double> phase{1.0, 0.0};
  for (std::size_t i = 0; i < m; ++i) {
    e[i] = (e[i] / mean - 1) * (0.5 - 0.5 * phase.real());
    phase *= turn;
    if ((i & 1023U) == 1023U) {
      phase = std::polar(
          1.0, 2 * std::numbers::pi * static_cast<double>(i + 1) / static_cast<double>(m));
    }
  }
  std::vector<std::complex<double>> s(m / 2 + 1);
  plans.real(m)->forward(e, s);
  out.depth2.resize(std::min(keep, s.size()));
  const double scale = 2 / (0.5 * static_cast<double>(m));  // Hann's coherent gain is one half
  for (std::size_t k = 0; k < out.depth2.size(); ++k)
    out.depth2[k] = scale * scale * std::norm(s[k]);
  return out;
}

std::vector<Band> band_tree(Hz rate, Hz narrowest) {
  // The last 2 % below Nyquist hold the anti-alias filter's edge, not the machine.
  const double top = 0.49 * rate.value();
  std::vector<Band> out;
  for (const int parts : {1, 2, 3, 4, 6, 8, 12, 16}) {
    const double w = top / parts;
    if (parts > 1 && w < narrowest.value()) break;
    for (int i = 0; i < parts; ++i) out.push_back({Hz{i * w}, Hz{(i + 1) * w}});
    if (parts > 8) continue;
    for (int i = 0; i + 1 < parts; ++i) out.push_back({Hz{(i + 0.5) * w}, Hz{(i + 1.5) * w}});
  }
  return out;
}

}  // namespace bearingdsp
