#include "verdict/unknown_bearing.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "verdict/odds.hpp"

namespace bearingdsp {
namespace {

double probability(double its_odds, double unseen) {
  return unseen + (1 - unseen) * its_odds / (1 + its_odds);
}

/// How common motor bearings with 6, 7, ... 17 elements are.
std::array<double, 12> count_weights(const UnknownModel& m) {
  return {m.count_6,  m.count_7,  m.count_8,  m.count_9,  m.count_10, m.count_11,
          m.count_12, m.count_13, m.count_14, m.count_15, m.count_16, m.count_17};
}

/// How densely the orders of a component of all bearings lie at an order.
std::array<double, part_count> density(double order, const ModelParameters& model) {
  constexpr int fill_steps = 35;
  const double min_fill = model.unknown.min_fill;
  const double max_fill = model.unknown.max_fill;
  const double slip_width = model.slip.spread;
  const std::array count_weight = count_weights(model.unknown);
  std::array<double, part_count> at{};
  for (std::size_t i = 0; i < count_weight.size(); ++i) {
    const double z = 6.0 + static_cast<double>(i);
    for (int k = 0; k <= fill_steps; ++k) {
      const double fill = min_fill + (max_fill - min_fill) * k / fill_steps;
      const double ratio = fill * std::numbers::pi / z;  // element over pitch diameter
      const std::array<double, 3> orders{z / 2 * (1 - ratio), z / 2 * (1 + ratio),
                                         1 / ratio - ratio};
      for (std::size_t p = 0; p < orders.size(); ++p)
        at[p] += count_weight[i] *
                 std::exp(-0.5 * std::pow(std::log(order / orders[p]) / slip_width, 2));
    }
  }
  return at;
}

/// Multiples of the supply frequency lie just above even multiples of the shaft's rate, by the slip
/// of an induction motor: a six-pulse converter of a two-pole motor commutates at 6.01 to 6.15
/// orders. Source: synchronous speed = supply frequency / pole pairs; slip up to 2.5 %: common
/// practice
bool may_be_electrical(Order order, double max_motor_slip) {
  for (const double multiple : {2.0, 4.0, 6.0, 12.0}) {
    const double slip = order.value() / multiple - 1;
    if (slip > 0 && slip < max_motor_slip) return true;
  }
  return false;
}

}  // namespace

std::optional<Judgement> another_bearing(const UnknownFamily& series,
                                         const ModelParameters& parameters) {
  const JudgementModel& model = parameters.judgement;
  Judgement j;
  j.strength = series.strength;
  j.damage =
      probability(parameters.foreign.another * odds_of(series.strength, model), model.unseen);
  if (j.damage < model.fault_from ||
      may_be_electrical(series.fundamental, parameters.unknown.max_motor_slip))
    return std::nullopt;
  j.verdict = Verdict::fault;
  j.place = Place::another_bearing;
  j.place_probability = j.damage;
  return j;
}

std::optional<NearComponent> near_component(const UnknownFamily& series, const DefectOrders& orders,
                                            const ModelParameters& parameters) {
  const JudgementModel& model = parameters.judgement;
  const NearModel& m = parameters.near;
  Judgement j;
  j.strength = series.strength;
  j.damage = probability(m.differs * odds_of(series.strength, model), model.unseen);
  if (j.damage < model.fault_from ||
      may_be_electrical(series.fundamental, parameters.unknown.max_motor_slip))
    return std::nullopt;
  NearComponent out;
  double total = m.neither;
  double best = 0;
  std::array<double, part_count> weight{};
  for (const Part part : {Part::outer_ring, Part::inner_ring}) {
    const double deviation = series.fundamental.value() / orders.of(part).value() - 1;
    if (std::abs(deviation) > m.max_deviation) continue;
    double& w = weight[index(part)];
    w = std::exp(-0.5 * std::pow(deviation / m.spread, 2));
    total += w;
    if (w <= best) continue;
    best = w;
    out.part = part;
    out.deviation = deviation;
  }
  if (!(best > 0)) return std::nullopt;
  for (std::size_t p = 0; p < weight.size(); ++p) j.part[p] = j.damage * weight[p] / total;
  decide(j, false, model);
  out.judgement = j;
  return out;
}

FamilyScore unknown_cage(const EnvelopeSpectrum& whole, Hz shaft, const Basis& basis) {
  const UnknownModel& m = basis.model.unknown;
  return score_family(
      whole, shaft,
      {Order{m.cage_order}, m.cage_harmonics, m.cage_tolerance, Order{0}, true, basis.mains},
      basis.model);
}

Judgement judge_without_bearing(const UnknownFamily& series, const FamilyScore& cage,
                                const ModelParameters& parameters) {
  const JudgementModel& model = parameters.judgement;
  const UnknownModel& unknown = parameters.unknown;
  Judgement j;
  const double cage_strength = cage.strength();
  j.own_strength[index(Part::cage)] = cage_strength;
  j.strength = std::max(series.strength, cage_strength);
  j.damage = probability(odds_of(j.strength, model), model.unseen_without_bearing);
  // The cage carries a damaged element round through the load: without lines at its rate an element
  // is unlikely. With them it is no likelier than its orders are: a damaged ring shows them, too.
  const double by_cage = std::pow(cage_strength / model.even_strength, model.place_power);
  std::array<double, part_count> weight = density(series.fundamental.value(), parameters);
  weight[index(Part::rolling_element)] *= std::clamp(by_cage, unknown.unmodulated, 1.0);
  double total = 0;
  for (const double w : weight) total += w;
  const double series_share =
      std::pow(series.strength, model.place_power) /
      (std::pow(series.strength, model.place_power) + std::pow(cage_strength, model.place_power) +
       std::pow(model.unplaced, model.place_power));
  const double cage_share =
      std::pow(cage_strength, model.place_power) /
      (std::pow(series.strength, model.place_power) + std::pow(cage_strength, model.place_power) +
       std::pow(model.unplaced, model.place_power));
  if (total > 0)
    for (std::size_t p = 0; p < weight.size(); ++p)
      j.part[p] = j.damage * series_share * weight[p] / (total * (1 + unknown.none));
  j.part[index(Part::rolling_element)] += j.damage * cage_share * (1 - model.cage_alone);
  j.part[index(Part::cage)] += j.damage * cage_share * model.cage_alone;
  decide(j, false, model);
  // An electrical series is as sharp and as regular as a bearing's; without the bearing's orders
  // nothing parts the two.
  if (j.verdict == Verdict::fault && series.strength >= cage_strength &&
      may_be_electrical(series.fundamental, unknown.max_motor_slip)) {
    j.verdict = Verdict::indeterminate;
    j.place = Place::cannot_tell;
    j.set.clear();
    j.place_probability = 0;
  }
  return j;
}

}  // namespace bearingdsp
