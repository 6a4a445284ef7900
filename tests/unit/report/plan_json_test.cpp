#include "bearingdsp/report/plan_json.hpp"

#include <doctest/doctest.h>

#include <nlohmann/json.hpp>
#include <string>

#include "support/made_diagnosis.hpp"

using namespace bearingdsp;
using nlohmann::json;

namespace {

SimulationPlan full_plan() {
  SimulationPlan p;
  p.seed = 18446744073709551615ULL;  // larger than a double can tell apart
  p.rate = Hz{51200};
  p.duration = Seconds{1.5};
  p.speed = Rpm{1480.1};
  p.speed_drift = 0.1;
  p.orders = test::made_orders();
  p.defects.push_back({Part::rolling_element, 0.1 + 0.2, 0.5, 0.02, 0.3, 0.4});
  p.resonances = {{Hz{2000}, 0.05, 0.5}};
  p.shaft_harmonics = {1.5, 0.25};
  p.gear_lines = {{Order{23}, 0.75}};
  p.bits = 16;
  p.range = 78.5;
  return p;
}

}  // namespace

TEST_CASE("plan: written and read back, every field is the same") {
  const SimulationPlan p = full_plan();
  const std::string text = plan_json(p);
  const auto back = parse_plan(text, "t");
  REQUIRE(back);
  CHECK(plan_json(*back) == text);
  CHECK(back->seed == p.seed);
  CHECK(back->speed == p.speed);
  CHECK(back->defects.at(0).part == Part::rolling_element);
  CHECK(back->defects.at(0).severity == 0.1 + 0.2);
  CHECK(back->defects.at(0).cage_modulation == 0.4);
  CHECK(back->gear_lines.at(0).first == Order{23});
  CHECK(back->orders->bpfi == p.orders->bpfi);
  CHECK(back->bits == 16);
}

TEST_CASE("plan: what is left out keeps its default") {
  const auto p = parse_plan("{\"noise_m_s2\": 0.5}", "t");
  REQUIRE(p);
  SimulationPlan expected;
  expected.noise = 0.5;
  CHECK(plan_json(*p) == plan_json(expected));
}

TEST_CASE("plan: each kind of mistake is named") {
  const auto refused = [](const std::string& text) {
    const auto p = parse_plan(text, "plan.json");
    REQUIRE_FALSE(p);
    CHECK(p.error().code == Errc::corrupt_file);
    CHECK(p.error().where == "plan.json");
    return p.error().what;
  };
  CHECK(refused("{") == "is not JSON");
  CHECK(refused("[]") == "'plan' is not an object");
  CHECK(refused("{\"nois\": 1}") == "unknown key 'nois'");
  CHECK(refused("{\"noise_m_s2\": \"1\"}") == "'noise_m_s2' is not a number");
  CHECK(refused("{\"seed\": -1}") == "'seed' is not a whole number from 0 on");
  CHECK(refused("{\"bits\": 1.5}") == "'bits' is not a whole number");
  CHECK(refused("{\"defects\": [{\"part\": \"seal\"}]}").find("'part' is none of") == 0);
  CHECK(refused("{\"defects\": {}}") == "'defects' is not a list");
  CHECK(refused("{\"schema\": \"other/1\"}") == "'schema' is not bearingdsp.plan/1");
  CHECK(refused("{\"bearing\": {\"bpfo_orders\": 3}}").find("'bearing' needs") == 0);
}

TEST_CASE("truth: what is damaged, and the plan that made it") {
  SimulationTruth t;
  t.damaged = {Part::outer_ring};
  t.mean_shaft_rate_hz = 25;
  t.defect_to_noise_db = -3.5;
  t.plan = full_plan();
  const json j = json::parse(truth_json(t));
  CHECK(j["schema"] == "bearingdsp.truth/1");
  CHECK(j["damaged"][0] == "outer ring");
  CHECK(j["mean_speed_rpm"] == 1500.0);
  CHECK(parse_plan(j["plan"].dump(), "t"));
  t.damaged.clear();
  CHECK(json::parse(truth_json(t))["defect_to_noise_db"].is_null());
}
