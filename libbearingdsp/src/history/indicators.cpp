#include "bearingdsp/history/indicators.hpp"

#include <algorithm>
#include <cmath>
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
constexpr double least_width = 2;  // top over bottom
constexpr std::size_t least_samples = 16;

void keep_largest(std::optional<double>& held, double value) {
  if (!held || value > *held) held = value;
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
  double sum = 0;
  double sum2 = 0;
  for (const double e2 : squared) {
    sum += std::sqrt(e2);
    sum2 += e2;
  }
  const auto n = static_cast<double>(squared.size());
  const double mean = sum / n;
  keep_largest(levels.at(Indicator::high_band), std::sqrt(0.5 * sum2 / n));
  keep_largest(levels.at(Indicator::envelope), std::sqrt(std::max(0.0, sum2 / n - mean * mean)));
}

void measure_axis(Levels& levels, const SignalView& axis, FftPlans& plans) {
  const std::vector<double> centred = remove_mean(axis.x);
  const double level = rms(centred);
  keep_largest(levels.at(Indicator::overall), level);
  if (const auto v = velocity_rms(centred, axis.rate, axis.unit, plans); v)
    keep_largest(levels.at(Indicator::velocity), *v);
  if (!(level > 0)) return;
  keep_largest(levels.at(Indicator::peak), peak(centred));
  keep_largest(levels.at(Indicator::kurtosis), kurtosis(centred));
  keep_largest(levels.at(Indicator::crest_factor), peak(centred) / level);
  measure_band(levels, axis, plans);
}

}  // namespace

std::string_view name(Indicator indicator) noexcept {
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
  }
  return "overall";
}

bool is_level(Indicator indicator) noexcept {
  return indicator != Indicator::kurtosis && indicator != Indicator::crest_factor;
}

Band high_band(Hz rate) noexcept {
  const Hz top = std::min(below_slope * rate, band_to);
  return top / band_from < least_width ? Band{band_from, band_from} : Band{band_from, top};
}

Levels measure_levels(std::span<const SignalView> axes, FftPlans& plans) {
  Levels levels;
  for (const SignalView& axis : axes) {
    if (axis.x.size() < least_samples) continue;
    levels.unit = axis.unit;
    levels.high_band = high_band(axis.rate);
    measure_axis(levels, axis, plans);
  }
  return levels;
}

}  // namespace bearingdsp
