#pragma once
/// A family of lines that is not the shaft's, where the bearing is not known.
#include <span>

#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/evidence/family_search.hpp"
#include "bearingdsp/spectra/envelope_spectrum.hpp"

namespace bearingdsp {

struct UnknownFamily {
  Order fundamental;  ///< of the strongest family
  FamilyScore score;
  double strength{0};         ///< on the scale of PartEvidence::strength
  EnvelopeSpectrum spectrum;  ///< pooled, whole band
};

/// Looks for the strongest family between 2 and 12 orders that is apart from the shaft's harmonics.
/// Bearings of motors have their BPFO, BPFI and 2 x BSF there. Families whose strength cannot reach
/// `least` may be left out, which saves most of the time. Shape, units and errors as
/// bearing_evidence().
[[nodiscard]] UnknownFamily search_unknown_family(std::span<const RecordSpectrum> axes, Hz shaft,
                                                  FftPlans& plans, const std::vector<Hz>& mains,
                                                  double least = 0);

}  // namespace bearingdsp
