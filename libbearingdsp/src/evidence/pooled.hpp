#pragma once
#include <span>
#include <vector>

#include "bearingdsp/spectra/envelope_spectrum.hpp"

namespace bearingdsp {

/// Mean of the axes' squared envelope spectra, one for each band; kurtosis is the largest of them.
std::vector<EnvelopeSpectrum> pooled_envelope_spectra(std::span<const RecordSpectrum> axes,
                                                      std::span<const Band> bands, Hz up_to,
                                                      FftPlans& plans);

}  // namespace bearingdsp
