#pragma once
/// All that the tables say of one bearing, in one place.
#include <optional>
#include <vector>

#include "bearingdsp/bearing/catalogue.hpp"
#include "bearingdsp/bearing/clearance.hpp"
#include "bearingdsp/bearing/designation.hpp"
#include "bearingdsp/bearing/size.hpp"

namespace bearingdsp {

struct BearingFacts {
  Designation designation;
  BearingSize size;
  std::optional<ClearanceRange> clearance;   ///< of the class in the designation
  std::vector<BearingCandidate> candidates;  ///< what may be inside, the likeliest first
};

/// Sizes, clearance and defect orders of a designation, as far as known.
/// Source: size_of(), radial_clearance(), candidates_of()
[[nodiscard]] BearingFacts facts_of(const Designation& designation);

}  // namespace bearingdsp
