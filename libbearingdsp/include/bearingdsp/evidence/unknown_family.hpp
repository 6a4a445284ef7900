#pragma once
/// A harmonic series that is not the shaft's, where the bearing is not known.
#include <span>

#include "bearingdsp/core/basis.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/evidence/family_search.hpp"
#include "bearingdsp/spectra/envelope_spectrum.hpp"

namespace bearingdsp {

struct UnknownFamily {
  Order fundamental;  ///< of the strongest family
  FamilyScore score;
  double strength{0};  ///< on the scale of PartEvidence::strength
};

/// How far the envelope spectrum must reach for every family that is looked for.
/// Unit: shaft in Hz.
[[nodiscard]] Hz unknown_family_reach(Hz shaft, const ModelParameters& model = {}) noexcept;

/// Looks in the envelope spectrum of the whole band for the strongest family between 2 and 12
/// orders that is apart from the shaft's harmonics. Bearings of motors have their BPFO, BPFI and 2
/// x BSF there. Families whose strength cannot reach `least` may be left out, which saves most of
/// the time.
/// Shape: whole: pooled over the axes, up to unknown_family_reach() (a shorter one loses the
/// harmonics beyond it).
/// Units: shaft in Hz, > 0. basis as for bearing_evidence().
/// Errors: none.
/// Source: docs/theory/diagnosis.md
[[nodiscard]] UnknownFamily search_unknown_family(const EnvelopeSpectrum& whole, Hz shaft,
                                                  const Basis& basis, double least = 0);

/// The same of flattened spectra.
/// Errors: std::invalid_argument for no axis.
[[nodiscard]] UnknownFamily search_unknown_family(std::span<const RecordSpectrum> axes, Hz shaft,
                                                  FftPlans& plans, const Basis& basis,
                                                  double least = 0);

/// The mean of the axes' envelope spectra of the whole band up to unknown_family_reach(). Shape,
/// units and errors as band_spectra().
[[nodiscard]] EnvelopeSpectrum whole_envelope_spectrum(std::span<const RecordSpectrum> axes,
                                                       Hz shaft, FftPlans& plans,
                                                       const ModelParameters& model = {});

}  // namespace bearingdsp
