#include "verdict/unknown_bearing.hpp"

#include <doctest/doctest.h>

#include "bearingdsp/simulate/simulation.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "support/close.hpp"
#include "support/orders.hpp"

using namespace bearingdsp;

namespace {

UnknownFamily series(double order, double strength) {
  UnknownFamily u;
  u.fundamental = Order{order};
  u.strength = strength;
  return u;
}

SimulationPlan motor(const DefectOrders& orders) {
  SimulationPlan p;
  p.seed = 7;
  p.duration = Seconds{6};
  p.speed = Rpm{1480};
  p.orders = orders;
  p.shaft_harmonics = {0.5, 0.2};
  return p;
}

Diagnosis diagnosed(const SimulationPlan& plan, std::vector<BearingCandidate> bearings) {
  FftPlans plans;
  DiagnoseOptions options;
  options.speed = Rpm{1480};
  options.speed_tolerance = 0.005;  // else the speed may be off as well as the geometry
  options.bearings = std::move(bearings);
  return diagnose(simulate(plan).value().capture, plans, options).value();
}

}  // namespace

// 6205 and 6309 by published insides have BPFO 3.58 and 3.07, BPFI 5.42 and 4.93: with seven to
// nine elements an order below 4 is the outer ring's or twice an element's spin.
TEST_CASE("unknown bearing: an order is given to the component that has it in most bearings") {
  const auto at = [](double order) {
    return judge_without_bearing(series(order, 1.0), FamilyScore{}, {});
  };
  CHECK(at(3.07).place == Place::outer_ring);
  CHECK(at(5.42).place == Place::inner_ring);
  CHECK(at(4.93).part[1] > at(4.93).part[0]);
  CHECK(at(3.07).damage > 0.99);
}

TEST_CASE(
    "unknown bearing: just above an even multiple the supply may make it [src:closed-form slip]") {
  // Six times the supply of a two-pole motor at 0.7 % slip.
  const auto j = judge_without_bearing(series(6 / (1 - 0.007), 0.6), FamilyScore{}, {});
  CHECK(j.verdict == Verdict::indeterminate);
  CHECK_FALSE(near_component(series(6.04, 1.0), test::orders_of(10, 3.9, 6.1, 2.2, 0.39), {}));
}

TEST_CASE("unknown bearing: an order some per cent off is a ring whose inside differs") {
  const DefectOrders insert = test::orders_of(8, 3.05, 4.95, 1.99, 0.381);
  const auto near = near_component(series(2.945, 0.8), insert, {});
  REQUIRE(near);
  CHECK(near->part == Part::outer_ring);
  CHECK(near->judgement.place == Place::outer_ring);
  CHECK(test::close_abs(near->deviation, 2.945 / 3.05 - 1, 1e-12));
  CHECK_FALSE(near_component(series(2.945, 0.25), insert, {}));  // too weak for so rare a case
  CHECK_FALSE(near_component(series(3.5, 0.8), insert, {}));     // another bearing
}

TEST_CASE(
    "without a bearing damage is seen and named, and its absence is said [src:simulated truth]") {
  SimulationPlan p = motor(test::nine_elements());
  p.defects = {{.part = Part::inner_ring, .severity = 20}};
  const Diagnosis damaged = diagnosed(p, {});
  CHECK(damaged.verdict == Verdict::fault);
  CHECK(damaged.place == Place::inner_ring);
  p.defects.clear();
  const Diagnosis healthy = diagnosed(p, {});
  CHECK(healthy.verdict == Verdict::no_fault);
  CHECK(healthy.headline.find("bearing not given") != std::string::npos);
}

TEST_CASE(
    "geometry 4 % off: damage is named, with the order that does not fit [src:simulated truth]") {
  // Nine elements, d/D = 0.204 against 0.236 in the catalogue.
  SimulationPlan p = motor(test::nine_elements());
  p.defects = {{.part = Part::outer_ring, .severity = 20}};
  const double listed = 3.44;
  const Diagnosis d = diagnosed(p, {test::orders_of(9, listed, 9 - listed, 2.0, listed / 9)});
  CHECK(d.verdict == Verdict::fault);
  REQUIRE(d.order_deviation);
  CHECK(d.probability_of_part[0] > 0.5);
  CHECK(test::close_abs(*d.order_deviation, 3.5848 / listed - 1, 0.015));
}

TEST_CASE(
    "impacts far from all orders of the bearing given are damage of another bearing [src:simulated "
    "truth]") {
  // 6205's outer ring, given ten elements; none of their orders is near.
  SimulationPlan p = motor(test::nine_elements());
  p.defects = {{.part = Part::outer_ring, .severity = 20}};
  const Diagnosis d = diagnosed(p, {{test::ten_elements()}});
  CHECK(d.verdict == Verdict::fault);
  CHECK(d.place == Place::another_bearing);
  REQUIRE(d.unknown_order);
  CHECK(test::close_rel(d.unknown_order->value(), 3.5848, 0.02));
  CHECK(d.headline.find("not the one given") != std::string::npos);
  // Too weak for so rare a case, or what a converter makes of a two-pole motor's supply.
  CHECK_FALSE(another_bearing(series(3.58, 0.24), {}));
  CHECK_FALSE(another_bearing(series(6.04, 1.0), {}));
  CHECK(another_bearing(series(3.58, 0.6), {}).value().damage > 0.9);
}
