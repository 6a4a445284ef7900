#include "bearingdsp/verdict/examination.hpp"

#include <doctest/doctest.h>

#include <memory>

#include "bearingdsp/simulate/simulation.hpp"
#include "support/orders.hpp"

using namespace bearingdsp;

namespace {

std::shared_ptr<const Capture> outer_ring_of_nine() {
  SimulationPlan p;
  p.seed = 3;
  p.duration = Seconds{5};
  p.speed = Rpm{1480};
  p.orders = test::nine_elements();
  p.shaft_harmonics = {0.5, 0.2};
  p.defects = {{.part = Part::outer_ring, .severity = 20}};
  return std::make_shared<const Capture>(simulate(p).value().capture);
}

DiagnoseOptions at_1480() {
  DiagnoseOptions o;
  o.speed = Rpm{1480};
  return o;
}

void same(const Diagnosis& a, const Diagnosis& b) {
  CHECK(a.verdict == b.verdict);
  CHECK(a.place == b.place);
  CHECK(a.probability_of_damage == b.probability_of_damage);
  CHECK(a.headline == b.headline);
  CHECK(a.findings.size() == b.findings.size());
}

}  // namespace

TEST_CASE("examine once, judge often: each hypothesis gives what a diagnosis of its own gives") {
  const auto capture = outer_ring_of_nine();
  FftPlans plans;
  const auto examination = examine(capture, plans, at_1480());
  REQUIRE(examination);
  CHECK(&examination->capture() == capture.get());
  for (const auto& bearings :
       {std::vector<BearingCandidate>{test::nine_elements()},
        std::vector<BearingCandidate>{test::orders_of(8, 3.0516, 4.9484, 1.9902, 0.38145)},
        std::vector<BearingCandidate>{}}) {
    DiagnoseOptions options = at_1480();
    options.bearings = bearings;
    const auto judged = judge(*examination, plans, bearings);
    REQUIRE(judged);
    same(*judged, diagnose(*capture, plans, options).value());
  }
}

TEST_CASE("positions of one machine are judged over shared spectra as each would be alone") {
  const auto capture = outer_ring_of_nine();
  FftPlans plans;
  const auto examination = examine(capture, plans, at_1480());
  REQUIRE(examination);
  const std::vector<BearingCandidate> here{test::nine_elements()};
  const std::vector<BearingCandidate> there{test::orders_of(8, 3.0516, 4.9484, 1.9902, 0.38145)};
  const auto both = judge_positions(*examination, plans, {here, there});
  REQUIRE(both);
  REQUIRE(both->size() == 2);
  same(both->at(0), judge(*examination, plans, here).value());
  CHECK(both->at(1).verdict == judge(*examination, plans, there)->verdict);
  CHECK(both->at(1).curves.empty());
}

TEST_CASE("a candidate that cannot be is refused") {
  FftPlans plans;
  const auto examination = examine(outer_ring_of_nine(), plans, at_1480());
  REQUIRE(examination);
  BearingCandidate without_weight{test::nine_elements(), 0.0};
  CHECK(judge(*examination, plans, {without_weight}).error().code == Errc::bad_argument);
  DefectOrders no_cage = test::nine_elements();
  no_cage.ftf = Order{0};
  CHECK(judge(*examination, plans, {no_cage}).error().code == Errc::bad_argument);
}
