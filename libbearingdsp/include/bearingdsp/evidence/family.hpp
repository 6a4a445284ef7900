#pragma once
/// Harmonic series in the squared envelope spectrum: what was looked for, what is present, by
/// how much.
#include <string>
#include <vector>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/core/band.hpp"
#include "bearingdsp/core/quantity.hpp"

namespace bearingdsp {

/// One line of a family.
struct LineEvidence {
  int harmonic{1};          ///< multiple of the family's fundamental
  int sideband{0};          ///< sideband number at the family's modulation (0: the harmonic itself)
  Order order;              ///< where it was found
  double depth{0};          ///< line amplitude over the mean squared envelope (1 = fully modulated)
  double prominence_db{0};  ///< line power over the local floor, dB
  bool detected{false};     ///< above the floor above random scatter
  bool shared{
      false};  ///< coincides with a shaft harmonic or another family: not counted as evidence
};

/// One family at a defect order, with one common fundamental for all its harmonics.
struct FamilyEvidence {
  Part part{Part::outer_ring};
  Order expected;  ///< from the bearing's kinematics
  Order fitted;    ///< common fundamental that fits the lines best
  double slip{0};  ///< fitted / expected - 1
  std::vector<LineEvidence> lines;
  int harmonics_detected{0};
  int sidebands_detected{0};
  double depth{0};  ///< root of the summed squared depths of the standing unshared lines
  double log10_false_alarm{
      0};              ///< log10 of the probability that chance does this anywhere in the search
  Band band;           ///< demodulation band in which the family is strongest
  double strength{0};  ///< what the verdict weighs: see PartEvidence::strength
  std::string channel;
  std::string remark;  ///< ambiguity, resolution limits; may be empty
};

}  // namespace bearingdsp
