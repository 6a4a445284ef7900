#pragma once
#include <span>

#include "bearingdsp/spectra/envelope_spectrum.hpp"

namespace bearingdsp {

/// Shaft harmonics this much stronger than a family (1 / shaft_rivalry) are the better explanation
/// of what stands.
inline constexpr double shaft_rivalry = 0.6;

/// Mean of the axes' squared envelope spectra of one band; kurtosis is the largest of them.
EnvelopeSpectrum pooled_envelope_spectrum(std::span<const RecordSpectrum> axes, Band band, Hz up_to,
                                          FftPlans& plans);

}  // namespace bearingdsp
