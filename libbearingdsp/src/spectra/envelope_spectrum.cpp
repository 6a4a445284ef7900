#include "bearingdsp/spectra/envelope_spectrum.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numeric>
#include <stdexcept>
#include <utility>

namespace bearingdsp {

RecordSpectrum record_spectrum(const SignalView& signal, FftPlans& plans) {
  if (signal.x.size() < 16) throw std::invalid_argument{"record_spectrum: needs 16 samples"};
  const std::size_t n = good_fft_size_below(signal.x.size());
  RecordSpectrum out{std::vector<std::complex<double>>(n / 2 + 1), n, signal.rate};
  plans.real(n)->forward(signal.x.first(n), out.bins);
  out.bins[0] = 0;  // the mean, taken off here without a copy of the recording
  return out;
}

RecordSpectrum flattened(RecordSpectrum spectrum, Hz smoothing) {
  const std::size_t m = spectrum.bins.size();
  const auto half = static_cast<std::size_t>(
      std::max(2.0, std::round(0.5 * (smoothing / spectrum.line_spacing()))));
  std::vector<double> sum(m + 1, 0.0);
  for (std::size_t k = 0; k < m; ++k) sum[k + 1] = sum[k] + std::norm(spectrum.bins[k]);
  const double guard = 1e-12 * sum[m] / static_cast<double>(m);
  for (std::size_t k = 0; k < m; ++k) {
    const std::size_t a = k > half ? k - half : 0;
    const std::size_t b = std::min(m, k + half + 1);
    const double local = (sum[b] - sum[a]) / static_cast<double>(b - a);
    spectrum.bins[k] = local > guard ? spectrum.bins[k] / std::sqrt(local) : std::complex<double>{};
  }
  return spectrum;
}

EnvelopeSpectrum squared_envelope_spectrum(const RecordSpectrum& spectrum, Band band, Hz up_to,
                                           FftPlans& plans) {
  return std::move(squared_envelope_spectra(spectrum, {&band, 1}, up_to, plans).front());
}

namespace {

/// The envelopes of the bands are computed in single precision: half the time and memory, and an
/// error of 1e-7 of the envelope, where the noise of a minute's record leaves 1e-3.
using Complex = std::complex<float>;

/// Lines first <= k < last of a recording, and how many lines of their envelope are wanted.
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

/// The lines of a band at zero frequency and up, scaled to a mean square of one after the
/// transform: whatever the unit, single precision holds it. Returns the mean square of the analytic
/// signal in the record's unit.
double cut_out(const RecordSpectrum& spectrum, const Cut& c, std::span<Complex> lines) {
  const auto band = std::span{spectrum.bins}.subspan(c.first, c.last - c.first);
  double power = 0;
  for (const auto& x : band) power += std::norm(x);
  const double scale = power > 0 ? 1 / std::sqrt(power) : 0.0;
  for (std::size_t k = 0; k < band.size(); ++k)
    lines[k] = {static_cast<float>(scale * band[k].real()),
                static_cast<float>(scale * band[k].imag())};
  std::fill(lines.begin() + static_cast<std::ptrdiff_t>(band.size()), lines.end(), Complex{});
  const auto n = static_cast<double>(spectrum.n);
  return 4 / (n * n) * power;
}

/// Writes the squared envelope over its mean, less 1, into e and returns its mean square: kurtosis
/// of a complex envelope + 1.
double relative_squared_envelope(std::span<const Complex> z, std::span<float> e) {
  // Eight partial sums each, so that the loop vectorises: the same order on every machine.
  constexpr std::size_t lanes = 8;
  double sums[lanes] = {};
  double squares[lanes] = {};
  const std::size_t whole = z.size() / lanes * lanes;
  const auto power = [&](std::size_t i) {
    e[i] = z[i].real() * z[i].real() + z[i].imag() * z[i].imag();
    return static_cast<double>(e[i]);
  };
  for (std::size_t i = 0; i < whole; i += lanes)
    for (std::size_t j = 0; j < lanes; ++j) {
      const double v = power(i + j);
      sums[j] += v;
      squares[j] += v * v;
    }
  for (std::size_t i = whole; i < z.size(); ++i) {
    const double v = power(i);
    sums[i - whole] += v;
    squares[i - whole] += v * v;
  }
  const auto m = static_cast<double>(z.size());
  const double mean = std::accumulate(std::begin(sums), std::end(sums), 0.0) / m;
  if (!(mean > 0)) {
    std::fill(e.begin(), e.end(), 0.0F);
    return 0;
  }
  const auto scale = static_cast<float>(1 / mean);
  for (float& v : e) v = v * scale - 1;
  return std::accumulate(std::begin(squares), std::end(squares), 0.0) / m / (mean * mean) - 1;
}

/// The envelope, read at even steps of the shaft's angle.
void turn_evenly(const RecordSpectrum& spectrum, std::span<float> e) {
  if (!spectrum.track) return;
  const double seconds = static_cast<double>(spectrum.n) / spectrum.rate.value();
  const double turns =
      spectrum.turns > 0 ? spectrum.turns : spectrum.track->revolutions_until(Seconds{seconds});
  const auto m = static_cast<double>(e.size());
  const std::vector<double> x(e.begin(), e.end());
  const auto even = resample_to_angle(x, Hz{m / seconds}, *spectrum.track, m / turns);
  for (std::size_t i = 0; i < e.size(); ++i)
    e[i] = i < even.x.size() ? static_cast<float>(even.x[i]) : 0.0F;
}

/// Arrays that bands of one length share, so that memory is asked for once. Bands run from wide to
/// narrow: what the wide ones took is given back before the spectra of the many narrow ones need
/// it.
struct Workspace {
  std::vector<Complex> lines, wave;
  std::vector<float> envelope;
  void fit(std::size_t m, std::size_t bands) {
    if (lines.size() != m) *this = {};
    lines.resize(m);
    wave.resize(m);
    envelope.resize(bands * m);
  }
};

/// One or two bands of one length: the second rides in the imaginary part of the first's
/// transform. The plan is the one that made the complex envelopes: its kernel has the other sign,
/// which conjugates the lines of a real signal and leaves their power.
void transform(const RecordSpectrum& spectrum, std::span<const Cut> cuts,
               std::span<EnvelopeSpectrum> out, Workspace& w, FftPlans& plans) {
  const std::size_t m = cuts[0].points();
  const auto fft = plans.single_complex(m);
  w.fit(m, cuts.size());
  for (std::size_t b = 0; b < cuts.size(); ++b) {
    const std::span<float> e = std::span{w.envelope}.subspan(b * m, m);
    out[b].mean_square = 0.5 * cut_out(spectrum, cuts[b], w.lines);
    fft->inverse(w.lines, w.wave);
    const double spread = relative_squared_envelope(w.wave, e);
    if (out[b].mean_square > 0) out[b].kurtosis = spread - 1;
    turn_evenly(spectrum, e);
  }
  for (std::size_t i = 0; i < m; ++i)
    w.lines[i] = {w.envelope[i], cuts.size() > 1 ? w.envelope[m + i] : 0.0F};
  fft->inverse(w.lines, w.wave);
  // Hann's window as what it is to a spectrum: half a line less a quarter of both its neighbours.
  const auto line = [&](std::size_t before, std::size_t k, std::size_t after) {
    const auto at = [&](std::size_t i) { return std::complex<double>{w.wave[i]}; };
    return 0.5 * at(k) - 0.25 * (at(before) + at(after));
  };
  const std::size_t lines = std::min(cuts[0].keep, m / 2 + 1);
  const double scale = 2 / (0.5 * static_cast<double>(m));  // Hann's coherent gain is one half
  for (auto& one : out) one.depth2.resize(lines);
  const auto put = [&](std::size_t k, std::complex<double> here, std::complex<double> mirror) {
    out[0].depth2[k] = 0.25 * scale * scale * std::norm(here + mirror);
    if (out.size() > 1) out[1].depth2[k] = 0.25 * scale * scale * std::norm(here - mirror);
  };
  const auto first = line(m - 1, 0, 1);
  put(0, first, std::conj(first));
  if (lines > 1) put(1, line(0, 1, 2), std::conj(line(m - 2, m - 1, 0)));
  // The others have no neighbour on the far side.
  for (std::size_t k = 2; k < lines; ++k)
    put(k, line(k - 1, k, k + 1), std::conj(line(m - k - 1, m - k, m - k + 1)));
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
