#include "verdict/envelope_amplitude.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/dsp/analytic.hpp"
#include "bearingdsp/dsp/spectrum.hpp"

namespace bearingdsp {
namespace {

/// Samples of an envelope and how many of them are taken in a revolution.
struct EvenEnvelope {
  std::vector<double> x;
  double per_revolution{0};
};

EvenEnvelope envelope_of(const SignalView& axis, Band band, const SharedBands& shared,
                         FftPlans& plans) {
  const RecordSpectrum spectrum = record_spectrum(axis, plans);
  const double df = spectrum.line_spacing().value();
  const auto first = static_cast<std::size_t>(std::max(1.0, std::round(band.low.value() / df)));
  const auto last = std::min(spectrum.bins.size() - 1,
                             static_cast<std::size_t>(std::round(band.high.value() / df)));
  EvenEnvelope e;
  if (first + 8 > last) return e;
  e.x = squared_envelope(spectrum.bins, spectrum.n, first, last, plans);
  for (double& v : e.x) v = std::sqrt(v);
  const Seconds duration{static_cast<double>(spectrum.n) / axis.rate.value()};
  const auto m = static_cast<double>(e.x.size());
  if (!shared.track) {
    e.per_revolution = m / duration.value() / shared.rate.value();
    return e;
  }
  e.per_revolution = m / shared.track->revolutions_until(duration);
  e.x = resample_to_angle(e.x, Hz{m / duration.value()}, *shared.track, e.per_revolution).x;
  return e;
}

}  // namespace

std::optional<Curve> envelope_amplitude(const ExaminationDetail& detail, const SharedBands& shared,
                                        const Diagnosis& diagnosis, Band band, Order highest,
                                        FftPlans& plans) {
  const SignalFigures* loudest = nullptr;
  std::size_t axis = 0;
  for (std::size_t live = 0; const SignalFigures& f : diagnosis.figures) {
    if (!(f.rms > 0)) continue;
    if (f.envelope_rms && (loudest == nullptr || *f.envelope_rms > *loudest->envelope_rms)) {
      loudest = &f;
      axis = live;
    }
    ++live;
  }
  if (loudest == nullptr || !(shared.rate.value() > 0)) return std::nullopt;
  const EvenEnvelope e = envelope_of(detail.axes()[axis], band, shared, plans);
  const auto spectrum = amplitude_spectrum(e.x, Hz{e.per_revolution}, plans);
  if (!spectrum) return std::nullopt;
  Curve c{"envelope spectrum, strongest band, amplitude",
          loudest->channel,
          "orders",
          std::string{symbol(loudest->unit)} + " rms",
          {},
          {}};
  for (std::size_t k = 1; k < spectrum->y.size(); ++k) {
    const double order = static_cast<double>(k) * spectrum->line_spacing.value();
    if (order > highest.value()) break;
    c.x.push_back(order);
    c.y.push_back(spectrum->y[k]);
  }
  return c;
}

}  // namespace bearingdsp
