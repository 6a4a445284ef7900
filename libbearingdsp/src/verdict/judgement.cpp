#include "bearingdsp/verdict/judgement.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "verdict/impact_order.hpp"
#include "verdict/odds.hpp"

namespace bearingdsp {
namespace {

/// How far sidebands at 1x reach round a harmonic of the part.
int sideband_reach(Part part, const ComponentModel& model) {
  switch (part) {
    case Part::inner_ring:
      return model.inner_sidebands;
    case Part::outer_ring:
      return model.outer_sidebands;
    case Part::rolling_element:
    case Part::cage:
      return model.rolling_sidebands;
  }
  return 0;
}

/// Does an order lie on the lattice k f + m of the stronger part?
bool on_lattice(double order, double f, int reach, double tolerance, double growth) {
  for (int m = -reach; m <= reach; ++m) {
    const double k = std::round((order - m) / f);
    if (k >= 1 && std::abs(order - m - k * f) <= tolerance * (1 + growth * k)) return true;
  }
  return false;
}

/// Strength that is left of a family when the lines that the stronger one explains are taken off.
double unexplained(const PartEvidence& weaker, const PartEvidence& stronger,
                   const DefectOrders& orders, double order_resolution,
                   const ComponentModel& model) {
  const int reach = sideband_reach(stronger.part, model);
  const double tolerance = model.lattice_lines * order_resolution;
  const double f = impact_order(stronger.part, orders).value() * (1 + stronger.score.slip);
  double own = 0;
  double all = 0;
  for (const auto& line : weaker.score.lines) {
    if (line.sideband != 0 || line.shared || !line.detected) continue;
    const double power = line.depth * line.depth;
    all += power;
    if (!on_lattice(line.order.value(), f, reach, tolerance, model.lattice_growth)) own += power;
  }
  return all > 0 ? weaker.strength * std::sqrt(own / all) : weaker.strength;
}

/// Do the families of an element and of a ring stand on the same lines? 2 x BSF lies within slip of
/// BPFO or BPFI in many a bearing.
bool same_lines(const PartEvidence& a, const PartEvidence& b, const DefectOrders& orders,
                double tolerance) {
  if (!(a.strength > 0 && b.strength > 0)) return false;
  const double fa = impact_order(a.part, orders).value() * (1 + a.score.slip);
  const double fb = impact_order(b.part, orders).value() * (1 + b.score.slip);
  return std::abs(fa - fb) <= tolerance;
}

/// Where the spin is known only roughly, lines at twice it say what d/D is, and that says at what
/// order the cage turns: 2 x BSF = D/d - d/D, FTF = (1 - d/D) / 2 without contact angle
/// [randall2011]. Do the cage's own lines contradict that? A ring's lines at Z times the cage's
/// order are then not an element's.
bool another_cage(const BearingEvidence& evidence, const DefectOrders& orders,
                  const ComponentModel& model) {
  const auto& rolling = evidence.parts[index(Part::rolling_element)];
  const auto& cage = evidence.parts[index(Part::cage)];
  if (orders.uncertainty(Part::rolling_element) < model.rough_spin || !(cage.strength > 0))
    return false;
  const double spin = 2 * orders.bsf.value() * (1 + rolling.score.slip);
  const double ratio = (std::sqrt(spin * spin + 4) - spin) / 2;
  const double expected = (1 - ratio) / 2;
  const double seen = orders.ftf.value() * (1 + cage.score.slip);
  return std::abs(seen / expected - 1) > model.cage_apart;
}

/// Odds of the element over a ring on the same lines. The cage carries a damaged element round
/// through the load, so lines are at its rate and beside each harmonic; an inner ring's
/// sidebands lie at 1x.
double element_odds(const BearingEvidence& evidence, Part ring, const DefectOrders& orders,
                    const ModelParameters& model) {
  const ComponentModel& m = model.component;
  const double widest = m.max_element_odds;
  if (another_cage(evidence, orders, m)) return 1 / widest;
  const double cage = evidence.parts[index(Part::cage)].strength / model.judgement.unplaced;
  const int sidebands = evidence.parts[index(Part::rolling_element)].score.sidebands -
                        evidence.parts[index(ring)].score.sidebands;
  return std::clamp(
      std::pow(cage, model.judgement.place_power) * std::pow(m.sideband_odds, sidebands),
      1 / widest, widest);
}

double sideband_power(const FamilyScore& score) {
  double sum = 0;
  for (const LineEvidence& line : score.lines)
    if (line.sideband != 0 && line.detected) sum += line.depth * line.depth;
  return sum;
}

/// Neither at the cage's rate nor beside the element's harmonics is anything detected that a load
/// zone would leave of an element. Lines of another cage do not count, nor do sidebands that are
/// weaker than those at 1x: the source of the impacts then rotates with the shaft.
bool unmodulated(const BearingEvidence& evidence, const DefectOrders& orders,
                 const ComponentModel& model) {
  const PartEvidence& element = evidence.parts[index(Part::rolling_element)];
  const bool carried = evidence.parts[index(Part::cage)].strength >=
                           std::max(model.unmodulated, model.modulated * element.strength) &&
                       !another_cage(evidence, orders, model);
  const bool turns = element.turning >= model.turning_lines &&
                     element.turning_power > sideband_power(element.score);
  return !carried && (element.score.sidebands == 0 || turns);
}

/// Every second line of a series at half a ring's order, which no part of this bearing makes.
bool every_second(const PartEvidence& part, const ComponentModel& model) {
  return part.part != Part::rolling_element && part.between > model.between;
}

/// How plausible a ring's slip is, or the order of one whose inside differs.
double ring_plausibility(const PartEvidence& e, const ModelParameters& model) {
  const NearModel& near = model.near;
  return slip_plausibility(e, model) + near.differs * model.slip.spread / near.spread *
                                           std::exp(-0.5 * std::pow(e.score.slip / near.spread, 2));
}

/// The families without the lines that another explains.
struct Untangled {
  std::array<double, part_count> strength{};  ///< by part
  std::optional<Part> twin;                   ///< a ring on the same lines as the element
};

/// The strongest lines as those of another bearing, which may stand at any order: an inner ring's
/// have sidebands at 1x, an outer ring's have none unless the load turns.
double of_another(const BearingEvidence& evidence, const Untangled& u,
                  const ModelParameters& model) {
  const ComponentModel& m = model.component;
  double most = 0;
  for (const PartEvidence& part : evidence.parts) {
    if (part.part == Part::cage) continue;
    const double odds = part.part == Part::outer_ring
                            ? std::min(m.max_turning_odds, std::pow(m.sideband_odds, part.turning))
                            : 1.0;
    most =
        std::max(most, odds * std::pow(u.strength[index(part.part)], model.judgement.place_power));
  }
  return m.elsewhere * most;
}

/// The slip of both rings' families comes from one cage speed: BPFI = Z - BPFO.
bool one_cage_speed(const PartEvidence& outer, const PartEvidence& inner,
                    const DefectOrders& orders, double apart) {
  const double sum =
      orders.bpfo.value() * (1 + outer.score.slip) + orders.bpfi.value() * (1 + inner.score.slip);
  const double expected = orders.bpfo.value() + orders.bpfi.value();
  return std::abs(sum - expected) < apart * expected;
}

/// How likely a family is its part's. One far from its kinematic order is less likely: slip is
/// small, and a speed that is only nominal is mostly right to half of what is allowed for.
double likely(const PartEvidence& e, const ModelParameters& model) {
  return std::pow(e.strength, model.judgement.place_power) * slip_plausibility(e, model);
}

Untangled untangle(const BearingEvidence& evidence, const DefectOrders& orders,
                   double order_resolution, const ModelParameters& model) {
  const auto& parts = evidence.parts;
  const ComponentModel& component = model.component;
  // Of two families that explain each other's lines, that which is likelier a family of its part
  // explains the other.
  const auto strongest = std::max_element(parts.begin(), parts.end(),
                                          [&](const PartEvidence& a, const PartEvidence& b) {
                                            return likely(a, model) < likely(b, model);
                                          });
  Untangled out;
  for (const auto& part : parts)
    out.strength[index(part.part)] =
        &part == &*strongest ? part.strength
                             : unexplained(part, *strongest, orders, order_resolution, component);
  // A ring and an element on the same lines are judged by what surrounds the lines, not by which
  // of the two fits them a little better.
  for (const Part ring : {Part::outer_ring, Part::inner_ring}) {
    const auto& rolling = parts[index(Part::rolling_element)];
    const bool strong = strongest->part == ring || strongest->part == Part::rolling_element;
    if (!strong ||
        !same_lines(parts[index(ring)], rolling, orders, component.twin_lines * order_resolution))
      continue;
    out.twin = ring;
    out.strength[index(ring)] = out.strength[index(Part::rolling_element)] =
        std::max(parts[index(ring)].strength, rolling.strength);
  }
  return out;
}

/// How the components weigh against one another, by part.
std::array<double, part_count> weights(const BearingEvidence& evidence, const Untangled& u,
                                       const DefectOrders& orders,
                                       const ModelParameters& parameters) {
  const JudgementModel& model = parameters.judgement;
  const auto& parts = evidence.parts;
  std::array<double, part_count> weight{};
  for (const Part ring : {Part::outer_ring, Part::inner_ring})
    weight[index(ring)] = std::pow(u.strength[index(ring)], model.place_power) *
                          ring_plausibility(parts[index(ring)], parameters);
  // Cage-rate lines alone: a damaged element is the commoner cause, but the cage cannot be ruled
  // out.
  const double element = u.strength[index(Part::rolling_element)];
  const double cage = u.strength[index(Part::cage)];
  const double rolling = std::hypot(element, cage);
  const double rolling_weight =
      std::pow(rolling, model.place_power) *
      slip_plausibility(parts[index(element > cage ? Part::rolling_element : Part::cage)],
                        parameters);
  const double cage_share = model.cage_alone * std::exp(-std::pow(element / model.unplaced, 2)) *
                            (rolling > 0 ? cage * cage / (rolling * rolling) : 0.0);
  weight[index(Part::rolling_element)] = rolling_weight * (1 - cage_share);
  weight[index(Part::cage)] = rolling_weight * cage_share;
  if (u.twin) {
    const double odds = element_odds(evidence, *u.twin, orders, parameters);
    weight[index(*u.twin)] *= 2 / (1 + odds);
    for (const Part part : {Part::rolling_element, Part::cage})
      weight[index(part)] *= 2 * odds / (1 + odds);
  }
  return weight;
}

/// Both rings are damaged: families of like strength and of one cage speed.
bool both_rings(const BearingEvidence& evidence, const Judgement& j, const DefectOrders& orders,
                const ModelParameters& model) {
  const auto& outer = evidence.parts[index(Part::outer_ring)];
  const auto& inner = evidence.parts[index(Part::inner_ring)];
  const double both =
      std::min(j.own_strength[index(Part::outer_ring)], j.own_strength[index(Part::inner_ring)]);
  return both > model.component.several_share * j.strength &&
         both > model.component.several_strength * model.judgement.even_strength &&
         one_cage_speed(outer, inner, orders, model.component.one_cage);
}

}  // namespace

double damage_probability(double strength, const JudgementModel& model) noexcept {
  if (!(strength > 0)) return model.unseen;
  const double u = std::log(strength / model.even_strength);
  return model.unseen + (1 - model.unseen) / (1 + std::exp(-model.steepness * u));
}

double strength_at(double probability, const JudgementModel& model) noexcept {
  if (!(probability > model.unseen)) return 0;
  if (!(probability < 1)) return std::numeric_limits<double>::infinity();
  const double share = (probability - model.unseen) / (1 - model.unseen);
  return model.even_strength * std::pow(share / (1 - share), 1 / model.steepness);
}

double slip_plausibility(const PartEvidence& e, const ModelParameters& model) noexcept {
  const double spread = std::max(model.slip.spread, e.tolerance * model.component.nominal_spread);
  return model.slip.spread / spread * std::exp(-0.5 * std::pow(e.score.slip / spread, 2));
}

void name_place(Judgement& j, const JudgementModel& model) noexcept {
  constexpr std::array places{Place::outer_ring, Place::inner_ring, Place::rolling_element,
                              Place::cage};
  const auto best =
      static_cast<std::size_t>(std::max_element(j.part.begin(), j.part.end()) - j.part.begin());
  const bool named = j.part[best] >= model.name_from;
  j.place = named ? places[best] : Place::unclear;
  j.place_probability = named ? j.part[best] : j.damage;
  j.set.clear();
  if (named) return;
  auto second = best == 0 ? std::size_t{1} : std::size_t{0};
  for (std::size_t p = 0; p < j.part.size(); ++p)
    if (p != best && j.part[p] > j.part[second]) second = p;
  const double both = j.part[best] + j.part[second];
  if (both < model.name_from) return;
  j.set = {static_cast<Part>(best), static_cast<Part>(second)};
  j.place_probability = both;
}

Judgement judge(const BearingEvidence& evidence, const DefectOrders& orders,
                double order_resolution, const ModelParameters& parameters) {
  const JudgementModel& model = parameters.judgement;
  const Untangled u = untangle(evidence, orders, order_resolution, parameters);
  Judgement out;
  out.own_strength = u.strength;
  out.strength = std::max(
      {u.strength[index(Part::outer_ring)], u.strength[index(Part::inner_ring)],
       std::hypot(u.strength[index(Part::rolling_element)], u.strength[index(Part::cage)])});
  out.damage = damage_probability(out.strength, model);
  auto weight = weights(evidence, u, orders, parameters);
  const double elsewhere =
      std::pow(model.unplaced, model.place_power) + of_another(evidence, u, parameters);
  double total = elsewhere;
  for (const double w : weight) total += w;
  for (std::size_t p = 0; p < weight.size(); ++p)
    if (every_second(evidence.parts[p], parameters.component)) weight[p] = 0;
  // The cage carries an element round through the load: lines at its rate that nothing modulates
  // may as well be a ring's of another bearing, or of a wrong number.
  if (unmodulated(evidence, orders, parameters.component))
    total += weight[index(Part::rolling_element)];
  for (std::size_t p = 0; p < weight.size(); ++p) out.part[p] = out.damage * weight[p] / total;
  out.elsewhere = elsewhere / total;

  const auto hidden = std::max_element(
      evidence.parts.begin(), evidence.parts.end(),
      [](const PartEvidence& a, const PartEvidence& b) { return a.unresolved < b.unresolved; });
  if (damage_probability(hidden->unresolved, model) >= model.fault_from)
    out.unresolved = hidden->part;
  decide(out, both_rings(evidence, out, orders, parameters), model);
  return out;
}

void decide(Judgement& j, bool several, const JudgementModel& model) noexcept {
  j.verdict = Verdict::indeterminate;
  j.place = Place::cannot_tell;
  j.place_probability = 0;
  if (j.damage < model.none_below) {
    if (j.unresolved) {
      j.damage = 0.5;
      j.part = {};
      return;
    }
    j.verdict = Verdict::no_fault;
    j.place = Place::none;
    j.place_probability = 1 - j.damage;
    return;
  }
  j.unresolved.reset();
  if (j.damage < model.fault_from) return;
  j.verdict = Verdict::fault;
  if (several) {
    j.place = Place::several;
    j.place_probability = j.part[index(Part::outer_ring)] + j.part[index(Part::inner_ring)];
  } else {
    name_place(j, model);
  }
}

}  // namespace bearingdsp
