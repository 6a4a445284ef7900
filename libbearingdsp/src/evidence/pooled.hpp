#pragma once
#include <span>
#include <vector>

#include "bearingdsp/spectra/envelope_spectrum.hpp"

namespace bearingdsp {

/// Hann lines closer than this (in bins) cannot be told apart.
inline constexpr double apart_bins = 2.0;

/// Shaft harmonics this much stronger than a family (1 / shaft_rivalry) are the better explanation
/// of what stands.
inline constexpr double shaft_rivalry = 0.6;

/// Mean of the axes' squared envelope spectra, one for each band; kurtosis is the largest of them.
std::vector<EnvelopeSpectrum> pooled_envelope_spectra(std::span<const RecordSpectrum> axes,
                                                      std::span<const Band> bands, Hz up_to,
                                                      FftPlans& plans);

}  // namespace bearingdsp
