#pragma once
/// The evidence for one bearing under the speed that it is evidence for most.
#include <vector>

#include "bearingdsp/evidence/bearing_evidence.hpp"
#include "bearingdsp/speed/estimate.hpp"
#include "bearingdsp/verdict/judgement.hpp"

namespace bearingdsp {

struct Weighed {
  BearingEvidence evidence;
  Judgement judgement;
  ShaftSpeed speed;
  double tolerance{0};
};

/// duration: of the pieces that the bands were made from.
Weighed weigh(const BandSpectra& bands, const SpeedEstimate& speed, const DefectOrders& orders,
              Seconds duration, const Basis& basis);

}  // namespace bearingdsp
