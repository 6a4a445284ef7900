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

/// Nothing is detected at the cage's rate, nor beside the element's harmonics.
bool unmodulated(const BearingEvidence& evidence, double nothing) {
  return evidence.parts[index(Part::cage)].strength < nothing &&
         evidence.parts[index(Part::rolling_element)].score.sidebands == 0;
}

/// The slip of both rings' families comes from one cage speed: BPFI = Z - BPFO.
bool one_cage_speed(const PartEvidence& outer, const PartEvidence& inner,
                    const DefectOrders& orders, double apart) {
  const double sum =
      orders.bpfo.value() * (1 + outer.score.slip) + orders.bpfi.value() * (1 + inner.score.slip);
  const double expected = orders.bpfo.value() + orders.bpfi.value();
  return std::abs(sum - expected) < apart * expected;
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
  return std::exp(-0.5 * std::pow(e.score.slip / spread, 2));
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
  const ComponentModel& component = parameters.component;
  Judgement out;
  const auto& parts = evidence.parts;
  // A family far from its kinematic order is less likely that part's: slip is small, and a speed
  // that is only nominal is mostly right to half of what is allowed for.
  const auto near = [&](const PartEvidence& e) { return slip_plausibility(e, parameters); };
  const auto likely = [&](const PartEvidence& e) {
    return std::pow(e.strength, model.place_power) * near(e);
  };
  // Of two families that explain each other's lines, that which is likelier a family of its part
  // explains the other.
  const auto strongest = std::max_element(
      parts.begin(), parts.end(),
      [&](const PartEvidence& a, const PartEvidence& b) { return likely(a) < likely(b); });
  for (const auto& part : parts)
    out.own_strength[index(part.part)] =
        &part == &*strongest ? part.strength
                             : unexplained(part, *strongest, orders, order_resolution, component);
  auto& s = out.own_strength;
  // A ring and an element on the same lines are judged by what surrounds the lines, not by which
  // of the two fits them a little better.
  std::optional<Part> twin;
  for (const Part ring : {Part::outer_ring, Part::inner_ring}) {
    const auto& rolling = parts[index(Part::rolling_element)];
    const bool strong = strongest->part == ring || strongest->part == Part::rolling_element;
    if (!strong ||
        !same_lines(parts[index(ring)], rolling, orders, component.twin_lines * order_resolution))
      continue;
    twin = ring;
    s[index(ring)] = s[index(Part::rolling_element)] =
        std::max(parts[index(ring)].strength, rolling.strength);
  }
  const double element = s[index(Part::rolling_element)];
  const double cage = s[index(Part::cage)];
  const double rolling = std::hypot(element, cage);
  out.strength = std::max({s[index(Part::outer_ring)], s[index(Part::inner_ring)], rolling});

  out.damage = damage_probability(out.strength, model);

  std::array<double, part_count> weight{};
  for (const Part ring : {Part::outer_ring, Part::inner_ring})
    weight[index(ring)] = std::pow(s[index(ring)], model.place_power) * near(parts[index(ring)]);
  // Cage-rate lines alone: a damaged element is the commoner cause, but the cage cannot be ruled
  // out.
  const double rolling_weight =
      std::pow(rolling, model.place_power) *
      near(parts[index(element > cage ? Part::rolling_element : Part::cage)]);
  const double cage_share = model.cage_alone * std::exp(-std::pow(element / model.unplaced, 2)) *
                            (rolling > 0 ? cage * cage / (rolling * rolling) : 0.0);
  weight[index(Part::rolling_element)] = rolling_weight * (1 - cage_share);
  weight[index(Part::cage)] = rolling_weight * cage_share;
  if (twin) {
    const double odds = element_odds(evidence, *twin, orders, parameters);
    weight[index(*twin)] *= 2 / (1 + odds);
    for (const Part part : {Part::rolling_element, Part::cage})
      weight[index(part)] *= 2 * odds / (1 + odds);
  }
  double total = std::pow(model.unplaced, model.place_power);
  for (const double w : weight) total += w;
  // The cage carries an element round through the load: lines at its rate that nothing modulates
  // may as well be a ring's of another bearing, or of a wrong number.
  if (unmodulated(evidence, component.unmodulated)) total += weight[index(Part::rolling_element)];
  for (std::size_t p = 0; p < weight.size(); ++p) out.part[p] = out.damage * weight[p] / total;

  const auto hidden = std::max_element(
      parts.begin(), parts.end(),
      [](const PartEvidence& a, const PartEvidence& b) { return a.unresolved < b.unresolved; });
  if (damage_probability(hidden->unresolved, model) >= model.fault_from)
    out.unresolved = hidden->part;
  const auto& outer = parts[index(Part::outer_ring)];
  const auto& inner = parts[index(Part::inner_ring)];
  const double both = std::min(s[index(Part::outer_ring)], s[index(Part::inner_ring)]);
  const bool several = both > component.several_share * out.strength &&
                       both > component.several_strength * model.even_strength &&
                       one_cage_speed(outer, inner, orders, component.one_cage);
  decide(out, several, model);
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
