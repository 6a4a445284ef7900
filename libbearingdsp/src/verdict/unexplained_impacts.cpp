#include "verdict/unexplained_impacts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "bearingdsp/evidence/family_search.hpp"
#include "bearingdsp/speed/estimate.hpp"
#include "bearingdsp/verdict/judgement.hpp"

namespace bearingdsp {
namespace {

/// Is there another shaft rate in the interval whose bearing would make impacts at this one?
bool of_another_shaft(Hz rate, const DiagnoseOptions& options,
                      const std::optional<DefectOrders>& orders) {
  const SpeedInterval usual;
  const double margin = options.model.impacts.interval_margin;
  const Hz low = options.speed_low ? (1 - margin) * shaft_rate(*options.speed_low) : usual.low;
  const Hz high = options.speed_high ? (1 + margin) * shaft_rate(*options.speed_high) : usual.high;
  // Without a bearing: rings of motor bearings strike from three to eight times a revolution, or
  // so.
  const std::array families{orders ? orders->bpfo : Order{3}, orders ? orders->bpfi : Order{5},
                            orders ? 2 * orders->bsf : Order{4}, orders ? orders->ftf : Order{0.4}};
  return std::any_of(families.begin(), families.end(), [&](Order q) {
    const Hz other{rate.value() / q.value()};
    return other >= low && other <= high;
  });
}

bool called_damage(const FamilyScore& score, const JudgementModel& model) {
  return score.strength() >= strength_at(model.fault_from, model);
}

}  // namespace

std::optional<Finding> impacts_at_assumed_rate(const EnvelopeSpectrum& whole,
                                               const ShaftSpeed& speed,
                                               const DiagnoseOptions& options,
                                               const std::optional<DefectOrders>& orders,
                                               const Basis& basis) {
  if (options.speed || speed.method == SpeedMethod::tacho) return std::nullopt;
  if (!of_another_shaft(speed.rate, options, orders)) return std::nullopt;
  const ImpactsModel& m = basis.model.impacts;
  const FamilyTemplate train{Order{1}, m.harmonics, m.play, Order{0}, false, basis.mains};
  const FamilyScore score = score_family(whole, speed.rate, train, basis.model);
  if (score.standing < m.shaft_detected || !called_damage(score, basis.model.judgement))
    return std::nullopt;
  return Finding{
      FindingKind::impacts_unexplained,
      Weight::caution,
      "",
      fmt::format("impacts repeat {:.2f} times a second, which was taken for the shaft's rate "
                  "because no speed was given",
                  speed.rate.value()),
      "they may as well be a damaged bearing's, at another speed",
      "Give the speed, or record with a tacho"};
}

std::optional<Finding> impacts_at_cage_rate(const EnvelopeSpectrum& whole, const ShaftSpeed& speed,
                                            const DefectOrders& orders, const Basis& basis) {
  const ModelParameters& model = basis.model;

  const double tolerance =
      model.slip.reach + model.tried.uncertainty_reach * speed.relative_uncertainty;
  const FamilyTemplate train{orders.ftf, model.impacts.harmonics, tolerance, Order{0}, false,
                             basis.mains};
  const FamilyScore score = score_family(whole, speed.rate, train, model);
  if (score.standing < model.impacts.cage_detected || !called_damage(score, model.judgement))
    return std::nullopt;
  return Finding{FindingKind::impacts_unexplained,
                 Weight::caution,
                 "",
                 fmt::format("impacts repeat at the rate of the cage ({:.2f} Hz), beside lines of "
                             "the shaft that are as strong",
                             at_speed(orders.ftf, speed.rate).value()),
                 "a damaged cage or rolling element does this: damage cannot be ruled out",
                 "Record again for 10 s or more, and compare with the other end"};
}

}  // namespace bearingdsp
