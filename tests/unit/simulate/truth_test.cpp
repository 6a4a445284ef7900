#include "bearingdsp/simulate/truth.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <string>

#include "bearingdsp/bearing/geometry.hpp"
#include "support/close.hpp"

using namespace bearingdsp;

namespace {

std::string refusal(const std::string& text) {
  const auto p = plan_from_json(text, "plan.json");
  REQUIRE_FALSE(p);
  const auto message = p.error().message();
  CAPTURE(message);
  CHECK(message.find("plan.json") == 0);
  CHECK(message.find('\n') == std::string::npos);
  return message;
}

bool has(const std::string& text, const char* word) {
  const bool found = text.find(word) != std::string::npos;
  if (!found) MESSAGE("not in: " << text);
  return found;
}

}  // namespace

TEST_CASE("an empty plan is the default plan") {
  const auto p = plan_from_json("{}", "plan.json").value();
  CHECK(to_json(p) == to_json(SimulationPlan{}));
}

TEST_CASE("a plan comes back from its own text with the same samples") {
  SimulationPlan p;
  p.seed = 18446744073709551615ULL;
  p.duration = Seconds{0.5};
  p.speed_drift = 0.1;
  p.speed_wander = 0.001;
  p.orders = defect_orders({9, 7.94, 39.04, Degrees{0}}).value();
  p.defects = {{.part = Part::inner_ring, .severity = 3, .roughness = 0.3},
               {.part = Part::cage, .orders = defect_orders({8, 10, 40, Degrees{0}}).value()}};
  p.resonances = {{Hz{1234.5}, 0.02, 0.3}};
  p.shaft_harmonics = {0.1, 0.2};
  p.shaft_phases = {10};
  p.gear_lines = {{Order{17}, 0.3}};
  p.fixed_lines = {{Hz{4200}, 0.1}};
  p.noise_colour = 0.5;
  p.range = 20;
  p.bits = 12;
  p.tacho_pulses = 2;
  const auto text = to_json(p);
  const auto back = plan_from_json(text, "plan.json").value();
  CHECK(to_json(back) == text);
  const auto a = simulate(p).value();
  const auto b = simulate(back).value();
  for (std::size_t c = 0; c < 2; ++c)
    CHECK(a.capture.channels.at(c).samples == b.capture.channels.at(c).samples);
}

TEST_CASE("a bearing by sizes, by designation, by orders") {
  const auto by = [](const std::string& bearing) {
    return plan_from_json("{\"bearing\": " + bearing + "}", "plan.json").value().orders.value();
  };
  const auto sizes = by(R"({"rolling_elements": 8, "element_diameter_mm": 10,
                            "pitch_diameter_mm": 40})");
  CHECK(sizes.bpfo == Order{3});
  CHECK(sizes.origin == OrdersOrigin::geometry);
  const auto given = by(R"({"bpfo": 3, "bpfi": 5, "bsf": 1.875, "ftf": 0.375})");
  CHECK(given.bpfi == Order{5});
  CHECK(given.origin == OrdersOrigin::given);
  const auto named = by(R"({"designation": "6204-2Z"})");
  CHECK(test::close_abs(named.bpfo.value(), 3.0522, 1e-3));
  CHECK(named.origin == OrdersOrigin::catalogue);
}

TEST_CASE("trouble in a plan is one line that names the key") {
  CHECK(has(refusal(R"({"rate": 25600})"), "did you mean rate_hz"));
  CHECK(has(refusal(R"({"defects": [{}, {"severty_m_s2": 3}]})"), "defects[1].severty_m_s2"));
  CHECK(has(refusal(R"({"defects": [{"part": "outer rign"}]})"), "did you mean outer ring"));
  CHECK(has(refusal(R"({"defects": 3})"), "defects: 3 is not a list"));
  CHECK(has(refusal(R"({"speed_rpm": "fast"})"), "speed_rpm: \"fast\" is not a number"));
  CHECK(has(refusal(R"({"seed": -1})"), "seed"));
  CHECK(has(refusal(R"({"bits": 12.5})"), "bits"));
  CHECK(has(refusal(R"({"bits": 99999999999})"), "bits"));
  CHECK(has(refusal(R"({"seed": 1, "seed": 2})"), "'seed' is given twice"));
  CHECK(has(refusal("{\n\"seed\": 1,\n,\n}"), "plan.json:3"));
  CHECK(has(refusal(R"({"duration_s": 1e999})"), "too large"));
  CHECK(has(refusal("[1]"), "not an object"));
  CHECK(has(refusal(""), "not valid JSON"));
  CHECK(has(refusal(std::string(100000, '[')), "not valid JSON"));
  // Deeper than any stack: what is within it is not shown.
  const std::string deep = std::string(500'000, '[') + std::string(500'000, ']');
  CHECK(has(refusal("{\"rate_hz\": " + deep + "}"), "rate_hz: [...] is not a number"));
  CHECK(has(refusal(R"({"rate_hz": {"a": 1}})"), "rate_hz: {...} is not a number"));
  CHECK(has(refusal(R"({"bearing": {"designation": "6209"}})"), "different elements"));
  CHECK(has(refusal(R"({"bearing": {"designation": "6025"}})"), "--sizes"));
  CHECK(has(refusal(R"({"bearing": {}})"), "exactly one description"));
  CHECK(has(refusal(R"({"bearing": {"bpfo": 3}})"), "bpfi is missing"));
  CHECK(has(refusal(R"({"bearing": {"rolling_elements": 8, "element_diameter_mm": 40,
                        "pitch_diameter_mm": 10}})"),
            "swapped"));
  CHECK(has(refusal(R"({"gear_lines": [{"order": 17, "amplitude": 2}]})"),
            "gear_lines[0].amplitude"));
  CHECK(has(refusal(R"({"shaft_harmonics_m_s2": [1, null]})"), "shaft_harmonics_m_s2[1]"));
}

TEST_CASE("the truth is JSON and carries what the simulation knows") {
  SimulationPlan p;
  p.duration = Seconds{1};
  p.orders = defect_orders({9, 7.94, 39.04, Degrees{0}}).value();
  p.mean_slip = 0.01;
  p.defects = {{.part = Part::rolling_element}};
  const auto s = simulate(p).value();
  auto j = nlohmann::json::parse(to_json(s.truth));
  CHECK(j["schema"] == 1);
  CHECK(j["invented"] == true);
  CHECK(j["damaged"] == nlohmann::json::array({"rolling element"}));
  CHECK(j["mean_shaft_rate_hz"].get<double>() == s.truth.mean_shaft_rate_hz);
  CHECK(j["impacts"][0] == s.truth.impact_times[0].size());
  CHECK(j["orders"]["bpfo"].get<double>() == with_slip(*p.orders, 0.01).bpfo.value());
  CHECK(j["defect_to_noise_db"].get<double>() == s.truth.defect_to_noise_db);
  CHECK(plan_from_json(j["plan"].dump(), "plan.json"));
  p.defects.clear();
  j = nlohmann::json::parse(to_json(simulate(p).value().truth));
  CHECK(j["defect_to_noise_db"].is_null());
  CHECK(j["damaged"].empty());
}
