#include "bearingdsp/history/visit_spectra.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>

#include "bearingdsp/dsp/integrate.hpp"
#include "bearingdsp/dsp/spectrum.hpp"

namespace bearingdsp {
namespace {

constexpr double order_column = 0.05;
constexpr double orders_without_bearing = 20;
constexpr double harmonics_shown = 3.5;
constexpr std::size_t max_columns = 1000;  // a spindle's bearing has orders beyond any picture
constexpr double hz_column = 2.5;
constexpr double coded_db = 80;
constexpr double steps = 254;

/// Columns from start to end, all 0.
KeptSpectrum columns(double start, double end, double step) {
  const double count = std::ceil((end - start) / step - 1e-9);
  KeptSpectrum s{start, step, {}};
  s.level.resize(std::min(max_columns, static_cast<std::size_t>(std::max(0.0, count))));
  return s;
}

void keep_highest(KeptSpectrum& s, double x, double level) {
  const double at = std::floor((x - s.start) / s.step);
  if (!(at >= 0 && at < static_cast<double>(s.level.size()))) return;
  double& here = s.level[static_cast<std::size_t>(at)];
  here = std::max(here, level);
}

KeptSpectrum envelope_of(const Diagnosis& d) {
  const auto whole = std::find_if(d.curves.begin(), d.curves.end(),
                                  [](const Curve& c) { return c.x_unit == "orders"; });
  if (whole == d.curves.end() || whole->x.empty()) return {};
  const double wanted =
      d.orders ? harmonics_shown * d.orders->bpfi.value() : orders_without_bearing;
  // Few turns have lines farther apart than columns: empty ones would look like silence.
  const double step = std::max(order_column, whole->x.front());
  KeptSpectrum s = columns(0, std::min(wanted, whole->x.back()), step);
  for (std::size_t i = 0; i < whole->x.size(); ++i) keep_highest(s, whole->x[i], whole->y[i]);
  return s;
}

/// Power of 2 pi f that turns the unit into velocity; none for other units.
std::optional<int> integrations(SampleUnit unit) {
  switch (unit) {
    case SampleUnit::acceleration:
      return 1;
    case SampleUnit::velocity:
      return 0;
    case SampleUnit::displacement:
      return -1;
    default:
      return std::nullopt;
  }
}

KeptSpectrum velocity_of(std::span<const SignalView> axes, FftPlans& plans) {
  const VelocityBand band;
  KeptSpectrum s = columns(band.low.value(), band.high.value(), hz_column);
  bool any = false;
  for (const SignalView& axis : axes) {
    const auto times = integrations(axis.unit);
    if (!times) continue;
    const auto spectrum = amplitude_spectrum(axis.x, axis.rate, plans, {.unit = axis.unit});
    // Columns that no line falls into would look like silence.
    if (!spectrum || spectrum->line_spacing.value() > hz_column) continue;
    any = true;
    for (std::size_t k = 1; k < spectrum->y.size(); ++k) {
      const double f = spectrum->frequency(k).value();
      keep_highest(s, f, spectrum->y[k] / std::pow(2 * std::numbers::pi * f, *times));
    }
  }
  return any ? s : KeptSpectrum{};
}

}  // namespace

VisitSpectra visit_spectra(const Diagnosis& d, std::span<const SignalView> axes, FftPlans& plans) {
  VisitSpectra v{envelope_of(d), velocity_of(axes, plans), {}};
  if (d.orders) {
    DefectOrders orders;
    orders.bpfo = d.orders->bpfo;
    orders.bpfi = d.orders->bpfi;
    orders.bsf = d.orders->bsf;
    orders.ftf = d.orders->ftf;
    v.orders = orders;
  }
  return v;
}

CodedSpectrum coded(const KeptSpectrum& spectrum) {
  CodedSpectrum c{spectrum.start, spectrum.step, 0, {}};
  for (const double v : spectrum.level)
    if (std::isfinite(v)) c.highest = std::max(c.highest, v);
  for (const double v : spectrum.level) {
    const double db = v > 0 && std::isfinite(v) ? 20 * std::log10(v / c.highest) : -2 * coded_db;
    c.codes.push_back(static_cast<std::uint8_t>(
        std::clamp(1 + std::lround((steps - 1) * (1 + db / coded_db)), 0L, 254L)));
  }
  return c;
}

KeptSpectrum decoded(const CodedSpectrum& c) {
  KeptSpectrum s{c.start, c.step, {}};
  for (const std::uint8_t code : c.codes) {
    const double db = coded_db * ((code - 1) / (steps - 1) - 1);
    s.level.push_back(code == 0 ? 0 : c.highest * std::pow(10, db / 20));
  }
  return s;
}

}  // namespace bearingdsp
