#include "bearingdsp/spectra/kurtogram.hpp"

#include <algorithm>
#include <cmath>

namespace bearingdsp {
namespace {

// 4 for independent samples; the mean over all instants of a band, whose correlation is sinc, has
// the integral of sinc^4 of it, 2/3.
constexpr double variance_over_all_instants = 4 * 2.0 / 3;

}  // namespace

Kurtogram kurtogram(const RecordSpectrum& spectrum, Hz narrowest, FftPlans& plans) {
  Kurtogram out;
  const Hz top = 0.5 * spectrum.rate;
  // Band by band: the spectra of all of them at once would be several times the recording.
  for (const Band& asked : band_tree(spectrum.rate, narrowest)) {
    const EnvelopeSpectrum s = squared_envelope_spectrum(spectrum, asked, top, plans);
    out.bands.push_back(s.band);
    out.kurtosis.push_back(s.kurtosis);
    out.deviation.push_back(
        std::sqrt(variance_over_all_instants / (s.band.width() / s.line_spacing)));
  }
  const auto largest = std::max_element(out.kurtosis.begin(), out.kurtosis.end());
  out.best = static_cast<std::size_t>(largest - out.kurtosis.begin());
  return out;
}

}  // namespace bearingdsp
