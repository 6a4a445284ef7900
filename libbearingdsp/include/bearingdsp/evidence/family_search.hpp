#pragma once
/// Does a family of lines stand at a defect order, beyond chance and beyond its neighbourhood?
#include <vector>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/evidence/family.hpp"
#include "bearingdsp/spectra/envelope_spectrum.hpp"

namespace bearingdsp {

/// What is looked for.
struct FamilyTemplate {
  Order fundamental;        ///< spacing of the harmonics: BPFO, BPFI, 2 x BSF, FTF, or 1 for the shaft
  int harmonics{5};         ///< how many multiples are looked at
  double tolerance{0.02};   ///< slip and uncertainty: half-width of the search, as a fraction
  Order sideband;           ///< modulation spacing, 0 for none: 1 for the inner ring, FTF for an element
  bool avoid_shaft{true};   ///< lines that cannot be parted from a shaft harmonic do not count
};

/// How a family stands in one envelope spectrum.
struct FamilyScore {
  double evidence{0};      ///< sum over harmonics of -ln(rank probability), less the ln of the trials; nats
  double depth{0};         ///< root of the summed squared depths of the standing lines above their floor
  double dominance_db{0};  ///< mean over harmonics of line over the strongest rival within half an order, dB
  int standing{0};
  int sidebands{0};
  int usable{0};           ///< harmonics inside the band and apart from shaft harmonics
  double slip{0};
  int width_bins{1};       ///< smoothing at the fundamental that fits best: smeared families are wide
  std::vector<LineEvidence> lines;
};

/// Scores one family. For each harmonic the power around the expected order is ranked among all places within
/// half an order: its rank gives a probability that needs no noise model. One slip and one relative line width are
/// shared by all harmonics; the number of slips and widths tried is paid for.
/// Units: shaft in Hz, > 0. Errors: none; a spectrum too short or too coarse gives usable = 0.
[[nodiscard]] FamilyScore score_family(const EnvelopeSpectrum& spectrum, Hz shaft,
                                       const FamilyTemplate& wanted);

}  // namespace bearingdsp
