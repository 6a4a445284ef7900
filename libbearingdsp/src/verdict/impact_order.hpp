#pragma once
/// The order at which a damaged part strikes.
#include "bearingdsp/bearing/defect_orders.hpp"

namespace bearingdsp {

/// Kinematic, in orders: an element strikes both rings, so twice BSF; else the part's own.
[[nodiscard]] inline Order impact_order(Part part, const DefectOrders& orders) {
  return part == Part::rolling_element ? 2 * orders.bsf : orders.of(part);
}

}  // namespace bearingdsp
