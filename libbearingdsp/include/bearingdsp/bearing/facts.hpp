#pragma once
/// All that the tables say of one bearing, in one place.
#include <optional>
#include <vector>

#include "bearingdsp/bearing/clearance.hpp"
#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/bearing/designation.hpp"
#include "bearingdsp/bearing/size.hpp"

namespace bearingdsp {

struct BearingFacts {
  Designation designation;
  BearingSize size;
  std::optional<ClearanceRange> clearance;  ///< of the class in the designation
  /// One element for each really different make of the bearing, from the catalogue; for a
  /// single-row radial ball bearing that is not in it, estimates from the sizes, likeliest first.
  /// Empty where neither is possible.
  std::vector<DefectOrders> orders;
};

/// Sizes, clearance and defect orders of a designation, as far as known.
/// Source: size_of(), radial_clearance(), find_bearing(), orders_from_boundary()
[[nodiscard]] BearingFacts facts_of(const Designation& designation);

}  // namespace bearingdsp
