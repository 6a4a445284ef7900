#include <doctest/doctest.h>

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "bearingdsp/comparison/before_after.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "support/orders.hpp"

using namespace bearingdsp;

namespace {

const DefectOrders orders = test::orders_of(9, 3.585, 5.415, 2.357, 0.3983);

/// One visit to a machine: its bearing sound, other noise each time.
SimulationPlan visit(std::uint64_t seed) {
  SimulationPlan p;
  p.seed = seed;
  p.duration = Seconds{3};
  p.orders = orders;
  p.mean_slip = 0.006;
  p.speed_wander = 0.0005;
  p.noise = 0.8 + 0.02 * static_cast<double>(seed % 20);
  p.shaft_harmonics = {0.4, 0.15};
  return p;
}

SimulationPlan damaged(std::uint64_t seed, Part part, double severity) {
  SimulationPlan p = visit(seed);
  p.defects = {
      {.part = part, .severity = severity, .load_zone = part == Part::outer_ring ? 0.0 : 1.0}};
  return p;
}

BeforeAfter compared(const std::vector<SimulationPlan>& before,
                     const std::vector<SimulationPlan>& after) {
  const auto side = [](const std::vector<SimulationPlan>& plans) {
    CapturedSide s;
    for (const SimulationPlan& p : plans) s.captures.push_back(simulate(p).value().capture);
    s.diagnosis.speed = Rpm{1480};
    return s;
  };
  FftPlans plans;
  return compare_captures(side(before), side(after), {orders}, plans).value();
}

constexpr std::array parts{Part::outer_ring, Part::inner_ring, Part::rolling_element};

}  // namespace

TEST_CASE(
    "a replacement is cured, its opposite a new problem, for every part [src:the plans' truth]") {
  for (std::uint64_t seed = 1; seed <= 6; ++seed)
    for (const Part part : parts) {
      CAPTURE(seed);
      CAPTURE(token(part));
      const auto bad = damaged(seed, part, 30);
      const auto good = visit(100 + seed);
      const BeforeAfter cured = compared({bad}, {good});
      CHECK(cured.change == Change::cured);
      CHECK(cured.families.at(static_cast<std::size_t>(part)).fate == FamilyFate::gone);
      const BeforeAfter broken = compared({good}, {bad});
      CHECK(broken.change == Change::new_problem);
      CHECK(broken.families.at(static_cast<std::size_t>(part)).fate == FamilyFate::fresh);
    }
}

TEST_CASE(
    "another visit to the same machine: no change seen, or unchanged [src:the plans' truth]") {
  for (std::uint64_t seed = 1; seed <= 12; ++seed) {
    CAPTURE(seed);
    // What is there as before is the unbalance of the plan.
    const BeforeAfter sound = compared({visit(seed)}, {visit(200 + seed)});
    CHECK(sound.change ==
          (sound.after.causes.empty() ? Change::no_change_seen : Change::unchanged));
    CHECK(sound.sensitivity.has_value());
    const Part part = parts.at(seed % parts.size());
    CHECK(compared({damaged(seed, part, 30)}, {damaged(200 + seed, part, 30)}).change ==
          Change::unchanged);
  }
}

TEST_CASE("the change is antisymmetric in dB, and gain moves every level by itself") {
  const auto a = visit(1);
  const auto b = visit(2);
  const BeforeAfter ab = compared({a}, {b});
  const BeforeAfter ba = compared({b}, {a});
  REQUIRE(ab.levels.size() == ba.levels.size());
  for (std::size_t i = 0; i < ab.levels.size(); ++i) {
    CHECK(std::abs(ab.levels[i].change_db + ba.levels[i].change_db) < 1e-9);
    CHECK(std::abs(ab.levels[i].scatter_db - ba.levels[i].scatter_db) < 1e-9);
  }
}

TEST_CASE("growing and shrinking damage [src:the plans' severities, 9.5 dB apart]") {
  for (std::uint64_t seed = 1; seed <= 4; ++seed) {
    CAPTURE(seed);
    const auto small = damaged(seed, Part::outer_ring, 20);
    const auto large = damaged(50 + seed, Part::outer_ring, 60);
    CHECK(compared({small}, {large}).change == Change::worse);
    CHECK(compared({large}, {small}).change == Change::improved);
  }
}

TEST_CASE("new noise without a family is grease or preload [src:the plans' truth]") {
  for (std::uint64_t seed = 1; seed <= 4; ++seed) {
    CAPTURE(seed);
    auto dry = visit(300 + seed);
    dry.noise *= 3;
    const BeforeAfter r = compared({damaged(seed, Part::outer_ring, 10)}, {dry});
    CHECK(r.after.verdict == Verdict::no_fault);
    // 9.5 dB of noise: another healthy bearing could do that, however often it is recorded.
    CHECK(compared({visit(seed)}, {dry}).change == Change::cannot_tell);
    auto dry_still = visit(340 + seed);
    dry_still.noise *= 3;
    CHECK(compared({visit(seed), visit(40 + seed)}, {dry, dry_still}).change ==
          Change::cannot_tell);
    dry.noise *= 2;
    dry_still.noise *= 2;
    CHECK(compared({visit(seed), visit(40 + seed)}, {dry, dry_still}).change ==
          Change::new_problem);
  }
}

TEST_CASE("several recordings a side agree with the plan [src:the plans' truth]") {
  std::vector<SimulationPlan> before;
  std::vector<SimulationPlan> after;
  for (std::uint64_t i = 0; i < 3; ++i) {
    before.push_back(damaged(10 + i, Part::inner_ring, 30));
    after.push_back(visit(20 + i));
  }
  const BeforeAfter r = compared(before, after);
  CHECK(r.change == Change::cured);
  CHECK(r.scatter == ScatterSource::recordings);
}
