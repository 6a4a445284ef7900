#include "bearingdsp/replacement/plan.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "bearingdsp/report/replacement.hpp"
#include "bearingdsp/report/text.hpp"
#include "support/close.hpp"

using namespace bearingdsp;
using test::close_rel;

namespace {

ReplacementPlan plan(std::string_view text, const MotorDuty& duty = {}) {
  return plan_replacement(read_designation(text).value().front(), duty).value();
}

/// How a topic was weighed; the topic must be there.
Weighing weighed(const ReplacementPlan& p, std::string_view topic) {
  for (const Advice& a : p.advice)
    if (a.topic == topic) return a.weighing;
  FAIL("no advice on ", std::string{topic});
  return Weighing::note;
}

std::string text_of(const ReplacementPlan& p, std::string_view topic) {
  for (const Advice& a : p.advice)
    if (a.topic == topic) return a.text;
  return {};
}

bool advises(const ReplacementPlan& p, std::string_view topic) {
  return std::any_of(p.advice.begin(), p.advice.end(),
                     [&](const Advice& a) { return a.topic == topic; });
}

}  // namespace

TEST_CASE(
    "the plan heats a closed bearing only if its manufacturer allows [common practice, no "
    "source]") {
  const auto closed = plan("6208-2Z", {});
  const auto heating = std::find_if(closed.advice.begin(), closed.advice.end(),
                                    [](const Advice& a) { return a.topic == "Heating"; });
  REQUIRE(heating != closed.advice.end());
  CHECK(heating->text.find("If the manufacturer allows") == 0);
}

TEST_CASE("a closed bearing is not regreased, an open one gets amount and interval") {
  MotorDuty m;
  m.speed = Rpm{1500};
  const auto closed = plan("6208-2Z", m);
  CHECK_FALSE(closed.regreasing_g);
  CHECK_FALSE(closed.regreasing);
  const auto open = plan("6208", m);
  CHECK(close_rel(open.regreasing_g.value(), 7.2, 1e-12));       // [src:manufacturer's catalogue D]
  CHECK(close_rel(open.regreasing.value().low_h, 13157, 1e-4));  // [src:manufacturer's catalogue E]
  m.vertical_shaft = true;
  CHECK(close_rel(plan("6208", m).regreasing.value().low_h, 13157 / 2.0, 1e-4));
}

TEST_CASE("wet and dusty places ask for seals") {
  MotorDuty m;
  m.wet = true;
  CHECK(weighed(plan("6205-2RS", m), "Sides") == Weighing::good);
  CHECK(weighed(plan("6205-2Z", m), "Sides") == Weighing::wrong);
  m = {};
  m.dusty = true;
  CHECK(weighed(plan("6205-2Z", m), "Sides") == Weighing::caution);
  CHECK_FALSE(advises(plan("6205-2Z"), "Sides"));
}

TEST_CASE("a drive asks for insulation and a grounded shaft") {
  MotorDuty m;
  m.variable_speed = true;
  CHECK(weighed(plan("6316", m), "Current") == Weighing::caution);
  CHECK(weighed(plan("6316/VL0241", m), "Current") == Weighing::good);
  CHECK(weighed(plan("6316/HC5", m), "Current") == Weighing::good);
  CHECK_FALSE(advises(plan("6316"), "Current"));
}

TEST_CASE("vertical thrust: direction of angular contact bearings, none on NU") {
  MotorDuty m;
  m.vertical_shaft = true;
  m.axial_n = 1000;
  CHECK(weighed(plan("7310 B", m), "Thrust") == Weighing::caution);
  CHECK(weighed(plan("NU310", m), "Thrust") == Weighing::wrong);
  CHECK(weighed(plan("6310", m), "Thrust") == Weighing::caution);
  CHECK_FALSE(advises(plan("6310"), "Thrust"));
}

TEST_CASE("a seat out of its fit is refused and sets the interference") {
  MotorDuty m;
  m.shaft_mm = 25.005;
  auto p = plan("6205", m);
  CHECK(weighed(p, "Seat as measured") == Weighing::good);
  CHECK(test::close_abs(p.interference_um.value(), 15, 1e-6));  // 5 um over, bore down to -10
  CHECK(p.heat.value().aim_c < plan("6205").heat.value().aim_c);
  // 5 to 20 um, less 0.8 of 2 to 12 um, less 4.4 um by heat: 2.5 um [src:closed-form].
  m.shaft_mm = 25.002;
  CHECK(text_of(plan("6205", m), "Clearance")
            .find("on a 25.002 mm shaft at operating temperature probably 3 µm remaining") !=
        std::string::npos);
  CHECK(text_of(plan("6205"), "Clearance").find("probably 1 µm below zero") != std::string::npos);
  m.shaft_mm = 24.98;
  CHECK(weighed(plan("6205", m), "Seat as measured") == Weighing::wrong);
  // 1 mm over was accepted, with heat and press; 24 mm is the shaft of another bearing.
  for (const double other : {30.0, 26.0, 25.3, 24.0}) {
    m.shaft_mm = other;
    CHECK_FALSE(plan_replacement(read_designation("6205").value().front(), m));
  }
  m.shaft_mm = 15.875;
  CHECK(plan_replacement(read_designation("6202-5/8").value().front(), m));
}

TEST_CASE(
    "the life of a 6208 with known loads [src:manufacturer's catalogue A section 5.7 example 3]") {
  MotorDuty m;
  m.speed = Rpm{900};
  m.radial_n = 2500;
  m.axial_n = 1000;
  CHECK(close_rel(plan("6208", m).life_h.value(), 15771, 0.01));
  CHECK_FALSE(plan("NU208", m).life_h);
  CHECK(weighed(plan("NU208", m), "Life") == Weighing::look_up);
  m.radial_n = 100;
  m.axial_n = 0;
  CHECK(weighed(plan("6208", m), "Minimum load") == Weighing::caution);
}

TEST_CASE("every advice names its source, and every number that cannot be is refused") {
  for (const char* text : {"6205", "6205-2Z/C3", "7310 B", "NU310", "22210 K", "30205", "51105",
                           "6405", "608", "6205/XYZ"}) {
    MotorDuty m;
    m.speed = Rpm{1480};
    m.vertical_shaft = m.wet = m.dusty = m.variable_speed = true;
    m.radial_n = 500;
    for (const Advice& a : plan(text, m).advice) {
      CAPTURE(text);
      CHECK_FALSE(a.source.empty());
      CHECK(a.text.size() > 10);
    }
  }
  const auto bad = [](auto change) {
    MotorDuty m;
    change(m);
    return !plan_replacement(read_designation("6205").value().front(), m);
  };
  CHECK(bad([](MotorDuty& m) { m.speed = Rpm{0}; }));
  CHECK(bad([](MotorDuty& m) { m.workshop_c = 90; }));
  CHECK(bad([](MotorDuty& m) { m.radial_n = -1; }));
  CHECK(bad([](MotorDuty& m) { m.shaft_height_mm = 5; }));
}

TEST_CASE("the report puts decisions first and says so in its headline") {
  MotorDuty m;
  m.wet = true;
  const auto bad = replacement_report(plan("6205-2Z/C3", m));
  CHECK(bad.tone == Tone::bad);
  CHECK(bad.sections.front().id == "decide");
  CHECK(to_text(bad).find("NO: Shields do not stop water") != std::string::npos);
  const auto good = replacement_report(plan("6310/C3"));
  CHECK(good.tone == Tone::good);
  CHECK(good.sections.front().id == "plan");
}
