#include "bearingdsp/history/indicators.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "bearingdsp/dsp/analytic.hpp"
#include "bearingdsp/dsp/integrate.hpp"
#include "bearingdsp/dsp/statistics.hpp"
#include "bearingdsp/spectra/envelope_spectrum.hpp"

namespace bearingdsp {
namespace {

constexpr Hz band_from{1000};
constexpr Hz band_to{10'000};
constexpr double below_slope = 0.4;
constexpr double min_width = 2;  // top over bottom
constexpr std::size_t min_samples = 16;

void keep_largest(std::optional<double>& held, double value) {
  if (!held || value > *held) held = value;
}

/// Of the envelope of one piece of the recording.
struct Piece {
  double mean{0};
  double mean_square{0};
};

/// All but the loudest pieces.
std::vector<Piece> quiet_pieces(const std::vector<double>& squared) {
  constexpr std::size_t count = 16;
  constexpr std::size_t loudest = 2;
  std::vector<Piece> pieces;
  const std::size_t width = std::max<std::size_t>(1, squared.size() / count);
  for (std::size_t begin = 0; begin + width <= squared.size(); begin += width) {
    Piece p;
    for (std::size_t i = begin; i < begin + width; ++i) {
      p.mean += std::sqrt(squared[i]) / static_cast<double>(width);
      p.mean_square += squared[i] / static_cast<double>(width);
    }
    pieces.push_back(p);
  }
  std::sort(pieces.begin(), pieces.end(),
            [](const Piece& a, const Piece& b) { return a.mean_square < b.mean_square; });
  if (pieces.size() > 2 * loudest) pieces.resize(pieces.size() - loudest);
  return pieces;
}

void measure_band(Levels& levels, const SignalView& axis, FftPlans& plans) {
  const Band band = levels.high_band;
  if (!(band.low < band.high)) return;
  const RecordSpectrum spectrum = record_spectrum(axis, plans);
  const double df = spectrum.line_spacing().value();
  const auto first = static_cast<std::size_t>(std::ceil(band.low.value() / df));
  const auto last = std::min(spectrum.bins.size() - 1,
                             static_cast<std::size_t>(std::floor(band.high.value() / df)));
  if (first + 8 > last) return;
  const auto squared = squared_envelope(spectrum.bins, spectrum.n, first, last, plans,
                                        {.alias_free_lines = 0, .edge_lines = 0});
  const std::vector<Piece> pieces = quiet_pieces(squared);
  double sum = 0;
  double sum2 = 0;
  for (const Piece& p : pieces) {
    sum += p.mean;
    sum2 += p.mean_square;
  }
  const auto n = static_cast<double>(pieces.size());
  const double mean = sum / n;
  keep_largest(levels.at(Indicator::high_band), std::sqrt(0.5 * sum2 / n));
  keep_largest(levels.at(Indicator::envelope), std::sqrt(std::max(0.0, sum2 / n - mean * mean)));
  // The squared envelope of Gaussian noise is exponential: its median is ln 2 of its mean.
  keep_largest(levels.at(Indicator::floor), std::sqrt(0.5 * median(squared) / std::numbers::ln2));
}

void measure_axis(Levels& levels, const SignalView& axis, FftPlans& plans) {
  const std::vector<double> centred = remove_mean(axis.x);
  const double level = rms(centred);
  keep_largest(levels.at(Indicator::overall), level);
  const VelocityBand band{.low = levels.velocity_from};
  if (const auto v = velocity_rms(centred, axis.rate, axis.unit, plans, band); v)
    keep_largest(levels.at(Indicator::velocity), *v);
  if (band.low < VelocityBand{}.low)
    if (const auto s = displacement_rms(centred, axis.rate, axis.unit, plans, band); s)
      keep_largest(levels.displacement, *s);
  if (!(level > 0)) return;
  keep_largest(levels.at(Indicator::peak), peak(centred));
  keep_largest(levels.at(Indicator::kurtosis), kurtosis(centred));
  keep_largest(levels.at(Indicator::crest_factor), peak(centred) / level);
  measure_band(levels, axis, plans);
}

// A line of the shaft wanders by a little and leaks by a few lines of a short recording.
constexpr double order_half_width = 0.02;
constexpr double order_half_lines = 3;

/// Acceleration as velocity; other units as they are.
double as_velocity(double level, Hz f, SampleUnit unit) {
  return unit == SampleUnit::acceleration ? level / (2 * std::numbers::pi * f.value()) : level;
}

void measure_shaft_of(Levels& levels, const SignalView& axis, Hz shaft, FftPlans& plans) {
  const RecordSpectrum spectrum = record_spectrum(axis, plans);
  const double df = spectrum.line_spacing().value();
  for (std::size_t i = 0; i < shaft_orders; ++i) {
    const double f = static_cast<double>(i + 1) * shaft.value();
    const double half = std::max(order_half_width * f, order_half_lines * df);
    const auto from = static_cast<std::size_t>(std::max(1.0, std::ceil((f - half) / df)));
    const auto to = static_cast<std::size_t>(std::floor((f + half) / df));
    if (to >= spectrum.bins.size() || from > to) continue;
    double power = 0;
    for (std::size_t k = from; k <= to; ++k) power += std::norm(spectrum.bins[k]);
    const double rms = std::sqrt(2 * power) / static_cast<double>(spectrum.n);
    keep_largest(levels.shaft.at(i), as_velocity(rms, Hz{f}, axis.unit));
  }
}

}  // namespace

std::string_view token(Indicator indicator) noexcept {
  switch (indicator) {
    case Indicator::velocity:
      return "velocity";
    case Indicator::overall:
      return "overall";
    case Indicator::peak:
      return "peak";
    case Indicator::high_band:
      return "high band";
    case Indicator::envelope:
      return "envelope";
    case Indicator::kurtosis:
      return "kurtosis";
    case Indicator::crest_factor:
      return "crest factor";
    case Indicator::floor:
      return "noise floor";
  }
  return "overall";
}

bool is_level(Indicator indicator) noexcept {
  return indicator != Indicator::kurtosis && indicator != Indicator::crest_factor;
}

Band high_band(Hz rate) noexcept {
  const Hz top = std::min(below_slope * rate, band_to);
  return top / band_from < min_width ? Band{band_from, band_from} : Band{band_from, top};
}

void measure_shaft(Levels& levels, std::span<const SignalView> axes, Hz shaft, FftPlans& plans) {
  for (const SignalView& axis : axes)
    if (axis.x.size() >= min_samples) measure_shaft_of(levels, axis, shaft, plans);
}

Levels measure_levels(std::span<const SignalView> axes, FftPlans& plans, Hz velocity_from) {
  Levels levels;
  levels.velocity_from = velocity_from;
  for (const SignalView& axis : axes) {
    if (axis.x.size() < min_samples) continue;
    levels.unit = axis.unit;
    levels.high_band = high_band(axis.rate);
    measure_axis(levels, axis, plans);
  }
  return levels;
}

}  // namespace bearingdsp
