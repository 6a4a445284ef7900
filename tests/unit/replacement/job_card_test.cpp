#include "bearingdsp/replacement/job_card.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "support/close.hpp"

#include "bearingdsp/report/replacement.hpp"

using namespace bearingdsp;

namespace {

JobCard card(std::string_view text, const MotorDuty& duty) {
  return job_card(plan_replacement(read_designation(text).value().front(), duty).value());
}

bool has(const std::string& text, std::string_view part) {
  return text.find(part) != std::string::npos;
}

MotorDuty feed() {
  MotorDuty m;
  m.machine = "planer <feed>";
  m.position = "DE";
  m.speed = Rpm{1432};
  m.shaft_height_mm = 90;
  m.power_kw = 1.5;
  m.variable_speed = true;
  return m;
}

}  // namespace

TEST_CASE(
    "no-load limits [src:iec60034-14 edition 2003 grade A, as two makers print them, confirmed]") {
  const auto is = [](double height, bool rigid, double um, double mm_s, double m_s2) {
    const auto l = no_load_limit(height, rigid);
    return l && test::close_rel(l->displacement_um, um, 1e-12) &&
           test::close_rel(l->velocity_mm_s, mm_s, 1e-12) && l->acceleration_m_s2 == m_s2;
  };
  CHECK(is(56, false, 25, 1.6, 2.5));
  CHECK(is(90, false, 25, 1.6, 2.5));
  CHECK(is(132, true, 21, 1.3, 2.0));
  CHECK(is(132.5, false, 35, 2.2, 3.5));
  CHECK(is(280, true, 29, 1.8, 2.8));
  CHECK(is(281, false, 45, 2.8, 4.4));
  CHECK(is(315, true, 37, 2.3, 3.6));
  CHECK_FALSE(no_load_limit(55, false));
}

TEST_CASE("two hours for small motors, ten for large ones [src:common practice]") {
  MotorDuty m = feed();
  CHECK(card("6205", m).hours == 2);
  m.shaft_height_mm = 200;
  CHECK(card("6312", m).hours == 5);
  m.shaft_height_mm = 315;
  CHECK(card("6318", m).hours == 10);
  m.shaft_height_mm.reset();
  CHECK(card("6208", m).hours == 2);
  CHECK(card("6220", m).hours == 10);
}

TEST_CASE(
    "a closed bearing is not heated beyond 80 °C on the card's word alone [common practice]") {
  const std::string words = "closed bearing: above 80 °C only if its maker allows";
  CHECK(has(job_card_markdown(card("6205-2Z/C3", feed())), words));
  CHECK_FALSE(has(job_card_markdown(card("6205", feed())), words));
}

TEST_CASE("the card of a known motor has each number filled in") {
  const std::string text = job_card_markdown(card("6205-2Z/C3", feed()));
  for (const char* number : {"25.002 to 25.011 mm (k5)", "52.000 to 52.019 mm", "110 °C",
                             "1432 rpm", "1.6 mm/s, 25 µm and 2.5 m/s²", "25 x 52 x 15 mm",
                             "micrometer 25-50 mm", "Hours to allow: 2", "smaller than 1 mm"})
    CHECK(has(text, number));
  // blanks are left only for what the person measures or reads
  for (const char* line : {"Speed", "Shaft height", "Power", "Heat to", "Shaft seat", "Housing"})
    CHECK_FALSE(has(text, std::string{"- "} + line + ": __"));
}

TEST_CASE("each danger is named before its step") {
  const JobCard c = card("6205-2Z/C3", feed());
  const auto caution_at = [&](std::string_view step, std::string_view caution) {
    for (const auto& section : c.sections)
      for (const auto& s : section.steps)
        if (has(s.text, step))
          return std::any_of(s.cautions.begin(), s.cautions.end(),
                             [&](const std::string& t) { return has(t, caution); });
    return false;
  };
  CHECK(caution_at("Isolate electrically", "Stored energy"));
  CHECK(caution_at("Prove dead", "stays charged"));
  CHECK(caution_at("Prove dead", "licensed"));
  CHECK(caution_at("draw out the rotor", "Heavy rotor"));
  CHECK(caution_at("Pull the old bearing", "fragments fly"));
  CHECK(caution_at("Pull the old bearing", "Do not grind or flame-cut"));
  CHECK(caution_at("Heat the bearing", "Hot bearing"));
  CHECK(caution_at("Heat the bearing", "never in an oil bath"));
  CHECK(caution_at("Slide it on", "Never push or strike through the balls"));
  CHECK(has(c.notes.front(), "Local rules"));
}

TEST_CASE("the card is in the order of work") {
  const JobCard c = card("6205", feed());
  std::vector<std::string> order;
  for (const auto& s : c.sections) order.push_back(s.title.substr(0, 1));
  CHECK(order == std::vector<std::string>{"0", "1", "2", "3", "4", "5", "6", "7"});
}

TEST_CASE("unknown numbers are blanks that say where to look") {
  const std::string text = job_card_markdown(card("30205", {}));
  CHECK(has(text, "look the fit up"));
  CHECK(has(text, "give --shaft-height"));
  CHECK(has(text, "never above 120 °C"));
}

TEST_CASE("the page escapes what was typed and loads nothing") {
  MotorDuty m = feed();
  m.position = "<script>alert(1)</script>\x1b[31m";
  const std::string html = job_card_html(card("6205-2Z/C3", m));
  CHECK(has(html, "planer &lt;feed&gt;"));
  CHECK_FALSE(has(html, "<script"));
  CHECK_FALSE(has(html, "\x1b"));
  CHECK_FALSE(has(html, "http"));
  CHECK(has(html, "</html>"));
  CHECK_FALSE(has(job_card_markdown(card("6205", m)), "\x1b"));
}
