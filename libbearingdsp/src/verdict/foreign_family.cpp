#include "verdict/foreign_family.hpp"

#include <algorithm>
#include <cmath>

#include "verdict/impact_order.hpp"

namespace bearingdsp {
namespace {

double fundamental(const PartEvidence& part, const DefectOrders& orders) {
  return impact_order(part.part, orders).value() * (1 + part.score.slip);
}

/// Every line of a family at a multiple of another is the other's; the other's own odd ones are
/// not.
bool is_multiple(double order, double of, double resolution, const ForeignModel& model) {
  const double k = std::round(order / of);
  return k >= 2 && k <= model.highest_multiple && std::abs(order - k * of) <= (1 + k) * resolution;
}

/// Does an order lie on the foreign family's lattice?
bool on_lattice_of(double foreign, double order, double resolution, double whole_turn,
                   const ForeignModel& model) {
  const int reach = model.sideband_reach;
  const int most = static_cast<int>(std::ceil(order / foreign)) + reach;
  for (int k = 1; k <= most; ++k) {
    const double m = std::round(order - k * foreign);
    const double tolerance =
        resolution * (model.lattice_lines + model.lattice_growth * k) + whole_turn * std::abs(m);
    if (std::abs(m) <= reach && std::abs(order - k * foreign - m) <= tolerance) return true;
  }
  return false;
}

/// Share of a family's power that stands off the foreign lattice.
double share_left(const FamilyScore& family, double foreign, double resolution, double whole_turn,
                  const ForeignModel& model) {
  double all = 0;
  double left = 0;
  for (const auto& line : family.lines) {
    if (line.sideband != 0 || line.shared || !line.detected) continue;
    const double power = line.depth * line.depth;
    all += power;
    if (!on_lattice_of(foreign, line.order.value(), resolution, whole_turn, model)) left += power;
  }
  return all > 0 ? left / all : 1.0;
}

}  // namespace

bool of_this_bearing(Order family, const BearingEvidence& evidence, const DefectOrders& orders,
                     double resolution, const ModelParameters& model) {
  const int highest_multiple = model.foreign.highest_multiple;
  const auto anchor = std::max_element(
      evidence.parts.begin(), evidence.parts.end(),
      [](const PartEvidence& a, const PartEvidence& b) { return a.strength < b.strength; });
  const double shift = 1 + anchor->score.slip;
  for (const double order : {orders.bpfo.value(), orders.bpfi.value(), orders.bsf.value()})
    for (int k = 1; k <= 2 * highest_multiple; ++k) {
      if (k > highest_multiple && order != orders.bsf.value()) break;
      const double own = k * order * shift;
      if (std::abs(family.value() - own) <= model.slip.reach * own + resolution) return true;
    }
  return false;
}

double strength_beside(const UnknownFamily& foreign, const BearingEvidence& evidence,
                       const Judgement& judgement, const DefectOrders& orders, double resolution,
                       double whole_turn, const ModelParameters& model) {
  const ForeignModel& m = model.foreign;
  const bool stronger = foreign.strength >= m.over_own * judgement.strength;
  double left = 0;
  for (const auto& part : evidence.parts) {
    const double own = judgement.own_strength[static_cast<std::size_t>(part.part)];
    if (!stronger) {
      if (!is_multiple(fundamental(part, orders), foreign.fundamental.value(), resolution, m))
        left = std::max(left, own);
      continue;
    }
    if (part.part == Part::cage) continue;
    const double off = own * std::sqrt(share_left(part.score, foreign.fundamental.value(),
                                                  resolution, whole_turn, m));
    left =
        std::max(left, off * std::min(1.0, off / (model.family.shaft_rivalry * foreign.strength)));
  }
  return left;
}

}  // namespace bearingdsp
