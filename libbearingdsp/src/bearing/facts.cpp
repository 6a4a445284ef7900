#include "bearingdsp/bearing/facts.hpp"

#include "bearingdsp/bearing/catalogue.hpp"
#include "bearingdsp/bearing/estimate.hpp"

namespace bearingdsp {
namespace {

std::vector<DefectOrders> orders_of(const Designation& d, const BearingSize& size) {
  // A suffix that changes the inside keeps the catalogue from answering for the plain number.
  if (const auto rows = find_bearing(d.text())) return variants(*rows);
  const auto boundary = size.boundary();
  if (d.type != BearingType::deep_groove_ball || !boundary) return {};
  return orders_from_boundary(*boundary).value_or({});
}

}  // namespace

BearingFacts facts_of(const Designation& designation) {
  BearingFacts facts;
  facts.designation = designation;
  facts.size = size_of(designation);
  if (!designation.tapered_bore)
    facts.clearance =
        radial_clearance(designation.type, designation.clearance, designation.bore_mm);
  facts.orders = orders_of(designation, facts.size);
  return facts;
}

}  // namespace bearingdsp
