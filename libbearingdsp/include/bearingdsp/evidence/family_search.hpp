#pragma once
/// Does a harmonic series stand at a defect order, above random scatter and beyond its
/// neighbourhood?
#include <vector>

#include "bearingdsp/core/model.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/evidence/family.hpp"
#include "bearingdsp/spectra/envelope_spectrum.hpp"

namespace bearingdsp {

/// What is looked for.
struct FamilyTemplate {
  Order fundamental;  ///< spacing of the harmonics: BPFO, BPFI, 2 x BSF, FTF, or 1 for the shaft
  int harmonics{5};   ///< how many multiples are looked at
  /// Slip and uncertainty: half-width of the search, as a fraction.
  double tolerance{SlipModel{}.reach};
  Order sideband;  ///< modulation spacing, 0 for none: 1 for the inner ring, FTF for an element
  bool avoid_shaft{true};  ///< lines that cannot be parted from a shaft harmonic do not count
  /// Lines at twice these and multiples do not count: electrical impulses make them.
  std::vector<Hz> mains{};
  bool smeared{true};  ///< also look for families widened by slip or speed wander; costs more
  /// A family that cannot be this deep, whatever its floor, is not searched: all scores are 0.
  double min_depth{0};
};

/// How a series is detected in one envelope spectrum.
struct FamilyScore {
  /// Sum over harmonics of -ln(rank probability) - 1, less the ln of the trials; nats.
  double evidence{0};
  /// log10 of the chance that Gaussian noise does this at any of the slips and widths tried, <= 0.
  /// It says that lines are, not that they mean damage: healthy machines have lines too.
  double log10_chance{0};
  double depth{0};  ///< root of the summed squared depths of the standing lines above their floor
  /// Mean over harmonics of line over the strongest rival within half an order, dB.
  double dominance_db{-15};
  int standing{0};   ///< harmonics that stand
  int sidebands{0};  ///< sidebands that stand beside them
  int usable{0};     ///< harmonics inside the band and apart from shaft harmonics
  double slip{0};    ///< fitted fundamental over the expected one, less 1
  double smear{0};   ///< relative line width that fits best; 0 for sharp lines
  std::vector<LineEvidence> lines;

  /// Evidence below this (nats) is chance: FamilyModel::least_evidence of the search.
  double min_evidence{FamilyModel{}.min_evidence};
  /// Depth, lowered by what dominance_db lacks of `wanted_db`; 0 where the family is chance. A
  /// defect dominates its neighbourhood; what is merely present does not.
  [[nodiscard]] double strength(double wanted_db = 0) const noexcept;
};

/// Scores one family. For each harmonic the power around the expected order is ranked among all
/// places within half an order: its rank gives a probability that needs no noise model. Close to a
/// shaft harmonic the power of the mirror image on its other side is taken off first, because
/// skirts and modulations of the shaft are symmetric and a defect is not. One slip and one relative
/// line width are shared by all harmonics; the number of slips and widths tried is paid for.
/// Units: shaft in Hz, > 0.
/// Errors: none; a spectrum too short or too coarse gives usable = 0.
[[nodiscard]] FamilyScore score_family(const EnvelopeSpectrum& spectrum, Hz shaft,
                                       const FamilyTemplate& wanted,
                                       const ModelParameters& model = {});

}  // namespace bearingdsp
