#include "bearingdsp/dsp/spectrum.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "bearingdsp/dsp/statistics.hpp"
#include "dsp/detail.hpp"

namespace bearingdsp {
namespace {

using detail::real;

/// Samples with the trend removed and the window applied.
void taper(std::span<const double> x, std::span<const double> w, SegmentTrend trend,
           std::span<double> out) {
  Line line;
  if (trend == SegmentTrend::remove_mean) line.offset = mean(x);
  if (trend == SegmentTrend::remove_line) line = fit_line(x);
  for (std::size_t i = 0; i < x.size(); ++i)
    out[i] = (x[i] - line.offset - line.slope * real(i)) * w[i];
}

/// The lines at 0 and at half the rate have no mirror image to add.
bool own_mirror(std::size_t k, std::size_t n) { return k == 0 || 2 * k == n; }

}  // namespace

Result<Spectrum> welch(std::span<const double> x, Hz rate, FftPlans& plans,
                       const WelchOptions& options) {
  const std::size_t n = options.segment;
  if (n == 0)
    return Error{Errc::bad_argument, "welch", "segment length is 0", "give at least 1 sample"};
  if (!(options.overlap >= 0 && options.overlap < 1))
    return Error{Errc::bad_argument, "welch", "overlap is not in 0 .. 1 (1 excluded)",
                 "use 0.5 with a Hann window"};
  if (!(rate.value() > 0))
    return Error{Errc::bad_argument, "welch", "sampling rate is not positive", "give the rate"};
  if (x.size() < n)
    return Error{Errc::too_short, "welch",
                 std::to_string(x.size()) + " samples, a segment needs " + std::to_string(n),
                 "shorten the segment or record longer"};
  const auto w = make_window(n, options.window);
  const double w2 = detail::sum_of(w, [](double v) { return v * v; });
  const auto fft = plans.real(n);
  const auto shared = static_cast<std::size_t>(std::floor(options.overlap * real(n)));
  const std::size_t step = std::max<std::size_t>(1, n - shared);

  Spectrum s;
  s.y.assign(fft->bins(), 0.0);
  s.line_spacing = rate / real(n);
  s.unit = options.unit;
  s.scaling = options.scaling;
  s.enbw_bins = enbw_bins(w);
  s.averages = 0;
  std::vector<double> segment(n);
  std::vector<std::complex<double>> bins(fft->bins());
  for (std::size_t start = 0; start + n <= x.size(); start += step) {
    taper(x.subspan(start, n), w, options.trend, segment);
    fft->forward(segment, bins);
    for (std::size_t k = 0; k < bins.size(); ++k) s.y[k] += std::norm(bins[k]);
    ++s.averages;
  }
  const double gain = coherent_gain(w) * real(n);
  const double scale =
      options.scaling == Scaling::density ? 1 / (rate.value() * w2) : 1 / (gain * gain);
  for (std::size_t k = 0; k < s.y.size(); ++k) {
    s.y[k] *= scale * (own_mirror(k, n) ? 1.0 : 2.0) / real(s.averages);
    if (options.scaling == Scaling::amplitude) s.y[k] = std::sqrt(s.y[k]);
  }
  return s;
}

Result<Spectrum> amplitude_spectrum(std::span<const double> x, Hz rate, FftPlans& plans,
                                    const AmplitudeOptions& options) {
  if (x.empty())
    return Error{Errc::too_short, "amplitude_spectrum", "no samples",
                 "use a recording with samples"};
  if (!(rate.value() > 0))
    return Error{Errc::bad_argument, "amplitude_spectrum", "sampling rate is not positive",
                 "give the rate"};
  const std::size_t n = x.size();
  const auto w = make_window(n, options.window);
  const auto fft = plans.real(n);
  std::vector<double> tapered(n);
  taper(x, w, options.trend, tapered);
  std::vector<std::complex<double>> bins(fft->bins());
  fft->forward(tapered, bins);
  Spectrum s;
  s.line_spacing = rate / real(n);
  s.unit = options.unit;
  s.detector = options.detector;
  s.scaling = Scaling::amplitude;
  s.enbw_bins = enbw_bins(w);
  s.y.resize(bins.size());
  const double gain = coherent_gain(w) * real(n);
  double line = 2 / gain;
  if (options.detector == Detector::rms) line = std::numbers::sqrt2 / gain;
  if (options.detector == Detector::peak_to_peak) line = 4 / gain;
  const double lone = options.detector == Detector::peak_to_peak ? 2 / gain : 1 / gain;
  for (std::size_t k = 0; k < bins.size(); ++k)
    s.y[k] = std::abs(bins[k]) * (own_mirror(k, n) ? lone : line);
  return s;
}

Result<double> band_rms(const Spectrum& spectrum, Hz low, Hz high) {
  if (!(low <= high))
    return Error{Errc::bad_argument, "band_rms", "low end above high end", "swap them"};
  double sum = 0;
  for (std::size_t k = 0; k < spectrum.y.size(); ++k) {
    const Hz f = spectrum.frequency(k);
    if (f < low || f > high) continue;
    double p = spectrum.y[k];
    if (spectrum.scaling == Scaling::amplitude) {
      p *= p;
      if (spectrum.detector == Detector::peak && k > 0) p /= 2;
      if (spectrum.detector == Detector::peak_to_peak) p /= k > 0 ? 8 : 4;
    }
    sum += p;
  }
  sum *=
      spectrum.scaling == Scaling::density ? spectrum.line_spacing.value() : 1 / spectrum.enbw_bins;
  return std::sqrt(sum);
}

}  // namespace bearingdsp
