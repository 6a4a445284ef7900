#include "bearingdsp/report/balance.hpp"

#include <doctest/doctest.h>

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "bearingdsp/report/html.hpp"
#include "bearingdsp/report/svg.hpp"
#include "bearingdsp/report/text.hpp"

using namespace bearingdsp;
using nlohmann::json;

namespace {

bool contains(const std::string& text, const std::string& what) {
  return text.find(what) != std::string::npos;
}

/// The worked example of tests/unit/balancing/influence_test.cpp: 19.5 g at 43.5 degrees.
BalanceResult example() {
  const std::vector<std::string> runs{"6.0@40", "4.5@110:20@0"};
  BalanceJob job = job_of_runs(runs).value();
  job.planes[0].positions = Positions{8, Degrees{0}, {}};
  job.planes[0].radius = Millimetres{140};
  job.rotor = Kilograms{60};
  job.speed = Rpm{1480};
  job.grade = BalanceGrade{6.3};
  return solve(job).value();
}

BalanceResult unclear() {
  const std::vector<std::string> runs{"6.0@40", "6.1@45:20@0"};
  return solve(job_of_runs(runs).value()).value();
}

std::string shown(const Report& report) { return to_text(report, {}); }

}  // namespace

TEST_CASE("balance report: the answer first, then cautions before the steps") {
  const Report r = balance_report(example());
  CHECK(r.title == "BALANCE WEIGHT");
  CHECK(contains(r.headline, "at position 1"));
  CHECK(contains(r.headline, "at position 2 (45.0°)"));
  const std::string text = shown(r);
  CHECK(contains(text, "19.5 g at 43.5"));
  CHECK(text.find("lock out") < text.find("Take off all trial weights"));
  CHECK(contains(text, "plane of rotation"));
  CHECK(contains(text, "against the rotation"));
  CHECK(contains(text, "G6.3"));
}

TEST_CASE("balance report: runs that give no weight say why, and no weight is written") {
  const BalanceResult result = unclear();
  const Report r = balance_report(result);
  CHECK(r.title == "CANNOT TELL");
  CHECK(r.tone == Tone::doubt);
  CHECK(contains(r.headline, "30 degrees is needed"));
  CHECK_FALSE(contains(shown(r), "Mount on"));
  const json j = json::parse(balance_json(result));
  CHECK(j["usable"] == false);
  CHECK(j["planes"].empty());
  CHECK(j["cannot_tell_because"].size() == 1);
  CHECK(j["sensors"][0]["after"].is_null());
}

TEST_CASE("balance report: JSON has the numbers with their units in the names") {
  const BalanceResult result = example();
  const json j = json::parse(balance_json(result));
  CHECK(j["schema"] == "bearingdsp.balance/1");
  CHECK(j["planes"][0]["weight"]["mass_g"].get<double>() ==
        result.answer.planes[0].weight.mass.value());
  CHECK(j["planes"][0]["split"]["parts"].size() == 2);
  CHECK(j["sensors"][0]["after_at_most"].get<double>() == result.predicted[0].at_most);
  CHECK(j["permissible_unbalance_g_mm"].get<double>() == result.unbalance.permissible->value());
  CHECK(j["cautions"].size() >= 5);
}

TEST_CASE("balance report: pictures of the vectors and of the plane, whole and escaped") {
  BalanceResult result = example();
  result.job.planes[0].name = "<rim>";
  const Report r = balance_report(result);
  REQUIRE(r.polars.size() == 2);
  CHECK_FALSE(r.polars[1].rotation_clockwise);
  CHECK(r.polars[1].places.size() == 8);
  for (const std::string& drawn : {to_svg(r), to_html(r)}) {
    CHECK(contains(drawn, "rotation</text>"));
    CHECK(contains(drawn, "mark</text>"));
    CHECK_FALSE(contains(drawn, "<rim>"));
    CHECK(contains(drawn, "&lt;rim&gt;"));
  }
}

TEST_CASE("balance report: every report that asks for work on the rotor has its cautions") {
  BalancePlanInput in;
  in.rotor = Kilograms{120};
  in.speed = Rpm{1480};
  in.grade = BalanceGrade{6.3};
  in.grade_source = "given";
  in.radius = Millimetres{140};
  const FourRuns four{
      6.00, Grams{15}, {{3.34, Degrees{0}}, {7.16, Degrees{120}}, {8.52, Degrees{240}}}};
  const Positions positions{8, Degrees{0}, {}};
  const BalanceWeight weight{Grams{19.5}, Degrees{43.5}};
  for (const Report& r :
       {balance_report(example()), balance_report(unclear()),
        balance_plan_report(plan_balance(in).value()),
        four_run_report(four, balance_without_phase(four).value()),
        weight_split_report(weight, positions, split_weight(weight, positions).value())}) {
    const std::string text = shown(r);
    INFO(r.title);
    for (const char* caution : {"lock out", "flies like a bullet", "plane of rotation",
                                "starts per", "earth clamp", "local rules"})
      CHECK(contains(text, caution));
  }
  const json plan = json::parse(balance_plan_json(plan_balance(in).value()));
  CHECK(plan["schema"] == "bearingdsp.balance-plan/1");
  const json runs = json::parse(four_run_json(four, balance_without_phase(four).value()));
  CHECK(runs["weight"]["mass_g"].get<double>() > 29);
  CHECK(json::parse(weight_split_json(weight, split_weight(weight, positions).value()))["parts"]
            .size() == 2);
}
