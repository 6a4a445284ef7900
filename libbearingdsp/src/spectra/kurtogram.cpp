#include "bearingdsp/spectra/kurtogram.hpp"

#include <algorithm>
#include <cmath>

namespace bearingdsp {

Kurtogram kurtogram(const RecordSpectrum& spectrum, Hz narrowest, FftPlans& plans) {
  Kurtogram out;
  const Hz top = 0.5 * spectrum.rate;
  // Band by band: the spectra of all of them at once would be several times the recording.
  for (const Band& asked : band_tree(spectrum.rate, narrowest)) {
    const EnvelopeSpectrum s = squared_envelope_spectrum(spectrum, asked, top, plans);
    out.bands.push_back(s.band);
    out.kurtosis.push_back(s.kurtosis);
    out.deviation.push_back(2 / std::sqrt(s.band.width() / s.line_spacing));
  }
  const auto largest = std::max_element(out.kurtosis.begin(), out.kurtosis.end());
  out.best = static_cast<std::size_t>(largest - out.kurtosis.begin());
  return out;
}

}  // namespace bearingdsp
