#include "bearingdsp/spectra/envelope_spectrum.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>
#include <utility>

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
  return std::move(squared_envelope_spectra(spectrum, {&band, 1}, up_to, plans).front());
}

namespace {

using Complex = std::complex<double>;

/// Lines first <= k < last of a record, and how many lines of their envelope are wanted.
struct Cut {
  std::size_t first;
  std::size_t last;
  std::size_t keep;
  [[nodiscard]] std::size_t points() const { return good_fft_size(last - first + keep); }
};

Cut cut(const RecordSpectrum& spectrum, Band band, Hz up_to) {
  const double df = spectrum.line_spacing().value();
  // Nyquist is left out: it has no analytic partner.
  const std::size_t last = spectrum.bins.size() - 1;
  const auto lo = static_cast<std::size_t>(std::max(1.0, std::round(band.low.value() / df)));
  // The width is rounded by itself, so that bands of one width share one transform length and plan.
  const auto width = static_cast<std::size_t>(std::max(0.0, std::round(band.width().value() / df)));
  const auto hi = std::min(last, lo + width);
  if (lo + 8 > hi) throw std::invalid_argument{"squared_envelope_spectrum: the band holds no bins"};
  const auto wanted = static_cast<std::size_t>(std::ceil(up_to.value() / df)) + 1;
  return {lo, hi, std::min(wanted, hi - lo)};
}

/// Sets mean square and kurtosis, and leaves the squared envelope over its mean, less 1, in z.
void normalise(std::span<Complex> z, EnvelopeSpectrum& out) {
  double sum = 0;
  double sum2 = 0;
  for (Complex& v : z) {
    const double e = v.real() * v.real() + v.imag() * v.imag();
    v = e;
    sum += e;
    sum2 += e * e;
  }
  const auto m = static_cast<double>(z.size());
  const double mean = sum / m;
  out.mean_square = mean / 2;
  if (mean > 0) out.kurtosis = sum2 / m / (mean * mean) - 2;
  for (Complex& v : z) v = mean > 0 ? v.real() / mean - 1 : 0.0;
}

void apply_hann(std::span<Complex> z) {
  const auto m = static_cast<double>(z.size());
  // A cosine for each sample would cost as much as the transform: rotate, and start afresh often.
  const Complex turn = std::polar(1.0, 2 * std::numbers::pi / m);
  Complex phase{1.0, 0.0};
  for (std::size_t i = 0; i < z.size(); ++i) {
    z[i] *= 0.5 - 0.5 * phase.real();
    phase *= turn;
    if ((i & 1023U) == 1023U)
      phase = std::polar(1.0, 2 * std::numbers::pi * static_cast<double>(i + 1) / m);
  }
}

/// The envelope in the real parts, read at even steps of the shaft's angle.
void turn_evenly(const RecordSpectrum& spectrum, std::span<Complex> z) {
  if (!spectrum.track) return;
  const double seconds = static_cast<double>(spectrum.n) / spectrum.rate.value();
  const double turns = spectrum.track->revolutions_until(Seconds{seconds});
  const auto m = static_cast<double>(z.size());
  std::vector<double> e(z.size());
  for (std::size_t i = 0; i < z.size(); ++i) e[i] = z[i].real();
  const auto even = resample_to_angle(e, Hz{m / seconds}, *spectrum.track, m / turns);
  for (std::size_t i = 0; i < z.size(); ++i) z[i] = i < even.x.size() ? even.x[i] : 0.0;
}

/// Arrays that the bands of a run share, so that memory is asked for once.
struct Workspace {
  std::vector<Complex> work, wave, pair;
};

/// One or two bands of one length: the second rides in the imaginary part of the first's
/// transform. The plan is the one that made the complex envelopes: its kernel has the other sign,
/// which conjugates the lines of a real signal and leaves their power.
void transform(const RecordSpectrum& spectrum, std::span<const Cut> cuts,
               std::span<EnvelopeSpectrum> out, Workspace& w, FftPlans& plans) {
  const std::size_t m = cuts[0].points();
  w.work.resize(m);
  w.wave.resize(m);
  w.pair.resize(m);
  for (std::size_t b = 0; b < cuts.size(); ++b) {
    complex_envelope(spectrum.bins, spectrum.n, cuts[b].first, cuts[b].last, plans, 0, w.work,
                     w.wave);
    normalise(w.wave, out[b]);
    turn_evenly(spectrum, w.wave);
    for (std::size_t i = 0; i < m; ++i)
      w.pair[i] = b == 0 ? w.wave[i] : Complex{w.pair[i].real(), w.wave[i].real()};
  }
  apply_hann(w.pair);
  plans.complex(m)->inverse(w.pair, w.wave);
  const std::size_t lines = std::min(cuts[0].keep, m / 2 + 1);
  const double scale = 2 / (0.5 * static_cast<double>(m));  // Hann's coherent gain is one half
  for (auto& one : out) one.depth2.resize(lines);
  for (std::size_t k = 0; k < lines; ++k) {
    const Complex here = w.wave[k];
    const Complex mirror = std::conj(w.wave[k == 0 ? 0 : m - k]);
    out[0].depth2[k] = 0.25 * scale * scale * std::norm(here + mirror);
    if (out.size() > 1) out[1].depth2[k] = 0.25 * scale * scale * std::norm(here - mirror);
  }
}

}  // namespace

std::vector<EnvelopeSpectrum> squared_envelope_spectra(const RecordSpectrum& spectrum,
                                                       std::span<const Band> bands, Hz up_to,
                                                       FftPlans& plans) {
  const Hz df = spectrum.line_spacing();
  std::vector<Cut> cuts;
  std::vector<EnvelopeSpectrum> out(bands.size());
  for (std::size_t b = 0; b < bands.size(); ++b) {
    const Cut c = cut(spectrum, bands[b], up_to);
    out[b].band = {static_cast<double>(c.first) * df, static_cast<double>(c.last) * df};
    out[b].line_spacing = df;
    cuts.push_back(c);
  }
  Workspace workspace;
  for (std::size_t b = 0; b < bands.size();) {
    const bool two = b + 1 < bands.size() && cuts[b].keep == cuts[b + 1].keep &&
                     cuts[b].points() == cuts[b + 1].points();
    const std::size_t count = two ? 2 : 1;
    transform(spectrum, std::span{cuts}.subspan(b, count), std::span{out}.subspan(b, count),
              workspace, plans);
    b += count;
  }
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
