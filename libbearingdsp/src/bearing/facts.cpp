#include "bearingdsp/bearing/facts.hpp"

#include "bearingdsp/bearing/candidates.hpp"

namespace bearingdsp {
BearingFacts facts_of(const Designation& designation) {
  BearingFacts facts;
  facts.designation = designation;
  facts.size = size_of(designation);
  if (!designation.tapered_bore)
    facts.clearance =
        radial_clearance(designation.type, designation.clearance, designation.bore_mm);
  facts.candidates = candidates_of(designation).value_or({});
  return facts;
}

}  // namespace bearingdsp
