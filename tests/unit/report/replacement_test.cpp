#include "bearingdsp/report/replacement.hpp"

#include <doctest/doctest.h>

#include <nlohmann/json.hpp>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/report/text.hpp"

using namespace bearingdsp;
using nlohmann::json;

namespace {

ReplacementPlan plan(std::string_view text, const MotorDuty& duty = {}) {
  return plan_replacement(read_designation(text).value().front(), duty).value();
}

ReplacementPlan advised(std::vector<Advice> advice) {
  ReplacementPlan p = plan("6205");
  p.advice = std::move(advice);
  return p;
}

const Advice good{"Speed", Weighing::good, "half of what it bears", "catalogue"};
const Advice open{"Clearance", Weighing::caution, "C3 or normal", "common practice"};
const Advice wrong{"Heating", Weighing::wrong, "the seal melts", "catalogue"};
const Advice unknown{"Grease", Weighing::look_up, "the fill", "nobody here"};

}  // namespace

TEST_CASE("replacement report: what is wrong or open comes first and makes the headline") {
  const Report fine = replacement_report(advised({good}));
  CHECK(fine.tone == Tone::good);
  CHECK(fine.headline == "Suitable.");
  REQUIRE(fine.sections.size() == 1);

  // What was not judged is no part of what is suitable.
  const Report partly = replacement_report(advised({good, unknown}));
  CHECK(partly.tone == Tone::doubt);
  CHECK(partly.headline == "Suitable in what was judged. Not judged: Grease.");
  REQUIRE(partly.sections.size() == 2);
  CHECK(partly.sections[0].figures[0].text == "Not judged: the fill [nobody here]");
  CHECK(replacement_report(advised({unknown, open})).headline ==
        "Suitable when 1 point is clarified. Not judged: Grease.");

  const Report one = replacement_report(advised({good, open}));
  CHECK(one.tone == Tone::doubt);
  CHECK(one.headline == "Suitable when 1 point is clarified.");
  CHECK(replacement_report(advised({open, good, open})).headline ==
        "Suitable when 2 points are clarified.");

  const Report bad = replacement_report(advised({good, open, wrong}));
  CHECK(bad.tone == Tone::bad);
  CHECK(bad.headline == "Not suitable as specified: see the points marked NO.");
  REQUIRE(bad.sections.size() == 2);
  REQUIRE(bad.sections[0].figures.size() == 2);
  CHECK(bad.sections[0].figures[1].text == "NO: the seal melts [catalogue]");
  CHECK(bad.sections[1].figures.size() == 1);
}

TEST_CASE("replacement report: it says for which machine and end") {
  MotorDuty duty;
  CHECK(replacement_report(plan("6205-2Z C3", duty)).title == "Replacement: 6205-2Z/C3");
  duty.machine = "planer-feed";
  duty.position = "DE";
  CHECK(replacement_report(plan("6205-2Z C3", duty)).title ==
        "Replacement: 6205-2Z/C3, planer-feed DE");
}

TEST_CASE("replacement JSON: the plan's numbers bit by bit, null for what is not known") {
  MotorDuty duty;
  duty.machine = "fan";
  duty.position = "NDE";
  duty.speed = Rpm{1478};
  duty.radial_n = 900;
  duty.axial_n = 100;
  const ReplacementPlan p = plan("6208", duty);
  REQUIRE(p.fit);
  REQUIRE(p.heat);
  REQUIRE(p.regreasing);
  const json j = json::parse(replacement_json(p));
  CHECK(j["schema"] == "bearingdsp.replacement/1");
  CHECK(j["designation"] == "6208");
  CHECK(j["machine"] == "fan");
  CHECK(j["position"] == "NDE");
  CHECK(j["speed_rpm"] == 1478.0);
  CHECK(j["fit"]["code"] == p.fit->code);
  CHECK(j["fit"]["shaft_lower_um"] == p.fit->shaft.lower_um);
  CHECK(j["fit"]["shaft_upper_um"] == p.fit->shaft.upper_um);
  CHECK(j["fit"]["bore_lower_um"] == p.fit->bore.lower_um);
  // What they are: the largest shaft in the smallest bore and the other way round.
  CHECK(j["fit"]["most_interference_um"] == p.fit->shaft.upper_um - p.fit->bore.lower_um);
  CHECK(j["fit"]["least_interference_um"] == p.fit->shaft.lower_um - p.fit->bore.upper_um);
  CHECK(j["interference_um"] == p.interference_um.value());
  CHECK(j["heating"]["free_at_c"] == p.heat->free_at_c);
  CHECK(j["heating"]["aim_c"] == p.heat->aim_c);
  CHECK(j["heating"]["slides"] == p.heat->slides);
  CHECK(j["regreasing_g"] == p.regreasing_g.value());
  CHECK(j["regreasing_low_h"] == p.regreasing->low_h);
  CHECK(j["regreasing_high_h"] == p.regreasing->high_h);
  CHECK(j["life_h"] == p.life_h.value());
  REQUIRE(j["advice"].size() == p.advice.size());
  for (const json& a : j["advice"]) CHECK_FALSE(a["source"].get<std::string>().empty());

  const json bare = json::parse(replacement_json(plan("6208-2Z")));
  for (const char* key : {"machine", "position", "speed_rpm", "regreasing_g", "regreasing_low_h",
                          "regreasing_high_h", "life_h"}) {
    CAPTURE(key);
    CHECK(bare.at(key).is_null());
  }
}
