#include "bearingdsp/verdict/judgement.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numeric>
#include <utility>

#include "support/close.hpp"
#include "support/orders.hpp"

using namespace bearingdsp;

namespace {

DefectOrders orders() { return test::eight_elements(); }

BearingEvidence with(double outer, double inner, double element, double cage) {
  BearingEvidence e;
  const double strength[]{outer, inner, element, cage};
  for (int p = 0; p < part_count; ++p) {
    auto& part = e.parts[static_cast<std::size_t>(p)];
    part.part = static_cast<Part>(p);
    part.strength = strength[p];
    LineEvidence line;
    const double f = part.part == Part::rolling_element ? 2 * orders().bsf.value()
                                                        : orders().of(part.part).value();
    for (int k = 1; k <= 3; ++k) {
      line.harmonic = k;
      line.order = Order{k * f};
      line.depth = 0.5;
      line.detected = true;
      part.score.lines.push_back(line);
    }
  }
  return e;
}

}  // namespace

TEST_CASE(
    "probability rises with strength, from the unseen share towards one, and is even at the "
    "midpoint") {
  const JudgementModel m;
  double last = 0;
  for (const double s : {0.0, 0.01, 0.1, 0.2, 0.22, 0.3, 0.5, 1.0, 3.0}) {
    const double p = damage_probability(s, m);
    CHECK(p >= last);
    last = p;
  }
  CHECK(test::close_rel(damage_probability(0, m), m.unseen, 1e-12));
  CHECK(test::close_rel(damage_probability(m.even_strength, m), m.unseen + (1 - m.unseen) / 2,
                        1e-12));
  CHECK(damage_probability(3, m) > 0.999);
}

TEST_CASE("the place with the strongest family is named, parts never sum to more than the damage") {
  const auto j = judge(with(1.2, 0.1, 0.05, 0.0), orders(), 0.01);
  CHECK(j.verdict == Verdict::fault);
  CHECK(j.place == Place::outer_ring);
  CHECK(std::accumulate(j.part.begin(), j.part.end(), 0.0) <= j.damage + 1e-12);
}

TEST_CASE("two families of like strength: damage, and the two components that may be it") {
  const auto j = judge(with(0.40, 0.325, 0.0, 0.0), orders(), 0.001);
  CHECK(j.verdict == Verdict::fault);
  CHECK(j.place == Place::unclear);
  CHECK(j.set == std::vector{Part::outer_ring, Part::inner_ring});
  // Both well above what a healthy bearing shows, and of one cage speed: both rings.
  CHECK(judge(with(0.40, 0.38, 0.0, 0.0), orders(), 0.001).place == Place::several);
}

TEST_CASE("lines that are the stronger family's sidebands are not counted again") {
  // 2 x BSF = 3.98 lies beside BPFI - 1 = 3.948: within a coarse resolution it is explained away.
  const auto j = judge(with(0.0, 1.0, 0.8, 0.0), orders(), 0.025);
  CHECK(j.place == Place::inner_ring);
  CHECK(j.own_strength[2] < 0.2);
  // With a resolution that parts them, both stand.
  const auto fine = judge(with(0.0, 1.0, 0.8, 0.0), orders(), 0.002);
  CHECK(fine.own_strength[2] > 0.7);
}

TEST_CASE("cage-rate lines alone say damage, not which part") {
  const auto j = judge(with(0.0, 0.0, 0.0, 0.6), orders(), 0.01);
  CHECK(j.verdict == Verdict::fault);
  CHECK(j.place == Place::unclear);
  CHECK(j.set == std::vector{Part::rolling_element, Part::cage});
  const auto element = judge(with(0.0, 0.0, 0.5, 0.4), orders(), 0.01);
  CHECK(element.place == Place::rolling_element);
}

TEST_CASE("lines at the element's rate that the cage does not modulate do not name the element") {
  const auto bare = judge(with(0.0, 0.0, 0.8, 0.0), orders(), 0.001);
  // A trace at the cage's rate is not what a load zone leaves of so strong a family.
  CHECK(judge(with(0.0, 0.0, 0.8, 0.1), orders(), 0.001).place == Place::unclear);
  CHECK(judge(with(0.0, 0.0, 0.8, 0.2), orders(), 0.001).place == Place::rolling_element);
  CHECK(bare.verdict == Verdict::fault);
  CHECK(bare.place == Place::unclear);
  CHECK(judge(with(0.0, 0.0, 0.8, 0.2), orders(), 0.001).place == Place::rolling_element);
  auto beside = with(0.0, 0.0, 0.8, 0.0);
  beside.parts[static_cast<std::size_t>(Part::rolling_element)].score.sidebands = 2;
  CHECK(judge(beside, orders(), 0.001).place == Place::rolling_element);
}

TEST_CASE("lines that fit another bearing as well name no component of this one") {
  constexpr auto outer = static_cast<std::size_t>(Part::outer_ring);
  constexpr auto inner = static_cast<std::size_t>(Part::inner_ring);
  constexpr auto rolling = static_cast<std::size_t>(Part::rolling_element);
  // However strong, a series far from the kinematic order is as likely another bearing's; one per
  // cent of slip is not far.
  auto e = with(2.0, 0.0, 0.0, 0.0);
  e.parts[outer].score.slip = 0.01;
  CHECK(judge(e, orders(), 0.001).place == Place::outer_ring);
  e.parts[outer].score.slip = 0.06;
  CHECK(judge(e, orders(), 0.001).verdict == Verdict::fault);
  CHECK(judge(e, orders(), 0.001).place == Place::unclear);
  // Sidebands at 1x, which an outer ring has only under a load that turns: open where the slip is
  // not that of a rolling element, named where it is.
  e.parts[outer].score.slip = 0.035;
  CHECK(judge(e, orders(), 0.001).place == Place::outer_ring);
  e.parts[outer].turning = 6;
  CHECK(judge(e, orders(), 0.001).place == Place::unclear);
  e.parts[outer].score.slip = 0.01;
  CHECK(judge(e, orders(), 0.001).place == Place::outer_ring);
  // What was searched wider than slip needs, for the inside is only estimated, matches noise
  // more often.
  e = with(2.0, 0.0, 0.0, 0.0);
  CHECK(judge(e, orders(), 0.001).elsewhere < 0.01);
  e.parts[outer].tolerance = 0.2;
  CHECK(test::close_rel(judge(e, orders(), 0.001).part[outer],
                        1 / (1 + 0.005 / (0.012 / 0.05 + 0.15 * 0.6)), 1e-4));
  // Every second line of a series at half the order.
  e = with(0.0, 2.0, 0.0, 0.0);
  e.parts[inner].between = 0.5;
  CHECK(judge(e, orders(), 0.001).verdict == Verdict::fault);
  CHECK(judge(e, orders(), 0.001).place == Place::unclear);
  // Sidebands beside lines at twice an element's spin, at the cage's rate and stronger ones at 1x;
  // with lines at the cage's rate itself the cage carries the element.
  e = with(0.0, 0.0, 1.0, 0.0);
  e.parts[rolling].score.sidebands = 3;
  CHECK(judge(e, orders(), 0.001).place == Place::rolling_element);
  e.parts[rolling].turning = 4;
  e.parts[rolling].turning_power = 0.1;
  CHECK(judge(e, orders(), 0.001).place == Place::unclear);
  e.parts[static_cast<std::size_t>(Part::cage)].strength = 0.3;
  CHECK(judge(e, orders(), 0.001).place == Place::rolling_element);
}

TEST_CASE(
    "of a ring and an element on the same lines the sidebands decide "
    "[src:randall2011 section 2, from memory]") {
  // 2 x BSF is BPFO; a little at the cage's rate is evidence for neither.
  const auto twins = test::orders_of(8, 3.05, 4.95, 1.525, 0.381);
  auto e = with(0.8, 0.0, 0.8, 0.1);
  auto& ring = e.parts[static_cast<std::size_t>(Part::outer_ring)].score;
  auto& element = e.parts[static_cast<std::size_t>(Part::rolling_element)].score;
  element.sidebands = 3;
  CHECK(judge(e, twins, 0.01).place == Place::rolling_element);
  std::swap(ring.sidebands, element.sidebands);
  CHECK(judge(e, twins, 0.01).place == Place::outer_ring);
  ring.sidebands = 0;
  CHECK(judge(e, twins, 0.01).place == Place::unclear);
}

TEST_CASE("both rings are damaged where one cage speed explains both slips [src:closed-form]") {
  // BPFI = Z - BPFO: a cage that lags makes the outer ring's family slower, the inner's faster.
  auto e = with(1.0, 1.0, 0.0, 0.0);
  auto& outer = e.parts[static_cast<std::size_t>(Part::outer_ring)].score.slip;
  auto& inner = e.parts[static_cast<std::size_t>(Part::inner_ring)].score.slip;
  outer = -0.01;
  inner = 0.01 * orders().bpfo.value() / orders().bpfi.value();
  CHECK(judge(e, orders(), 0.001).place == Place::several);
  inner = -inner;
  CHECK(judge(e, orders(), 0.001).place != Place::several);
}

TEST_CASE("between sound and damaged the answer is 'cannot tell'") {
  const auto j = judge(with(0.20, 0.0, 0.0, 0.0), orders(), 0.01);
  CHECK(j.verdict == Verdict::indeterminate);
  CHECK(j.place == Place::cannot_tell);
  CHECK(judge(with(0.08, 0.05, 0.0, 0.0), orders(), 0.01).verdict == Verdict::no_fault);
}

TEST_CASE("strength_at undoes damage_probability, and ends where that does") {
  const JudgementModel model;
  for (const double p : {0.2, model.none_below, 0.5, model.fault_from, 0.99})
    CHECK(test::close_rel(damage_probability(strength_at(p, model), model), p, 1e-12));
  CHECK(strength_at(model.unseen, model) == 0);
  CHECK(std::isinf(strength_at(1, model)));
}
