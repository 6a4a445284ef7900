#pragma once
/// A bearing that may be the one in the housing, and how likely it is.
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/bearing/defect_orders.hpp"

namespace bearingdsp {

/// One of the bearings that a designation, a size or a count of elements stands for.
struct BearingCandidate {
  BearingCandidate() = default;
  /// Implicit, for orders that are certain are a list of one candidate.
  BearingCandidate(DefectOrders its_orders, double its_weight = 1, std::string its_basis = {})
      : orders{std::move(its_orders)}, weight{its_weight}, basis{std::move(its_basis)} {}

  DefectOrders orders;
  double weight{1};  ///< relative to the other candidates, > 0; they need not sum to 1
  std::string
      basis{};  ///< what it rests on, in words: "catalogue, 3 sources", "estimate from the size"
};

/// Equally likely candidates.
/// Errors: none.
/// Shape: one for each of the orders
[[nodiscard]] inline std::vector<BearingCandidate> equal_candidates(
    const std::vector<DefectOrders>& orders) {
  std::vector<BearingCandidate> out;
  out.reserve(orders.size());
  for (const DefectOrders& o : orders) out.emplace_back(o, 1.0, o.source);
  return out;
}

}  // namespace bearingdsp
