#include "bearingdsp/replacement/greasing.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <stdexcept>
#include <string>

#include "support/close.hpp"

using namespace bearingdsp;
using test::close_rel;

namespace {

bool has(const std::string& text, std::string_view part) {
  return text.find(part) != std::string::npos;
}

ReplacementPlan plan(std::string_view number, MotorDuty duty = {}) {
  if (!duty.speed) duty.speed = Rpm{1480};
  return plan_replacement(read_designation(number).value().front(), duty).value();
}

std::string words(const GreaseJob& j) {
  std::string text;
  for (const JobStep& s : j.steps) text += s.text + "\n";
  return text;
}

bool cautioned(const GreaseJob& j, std::string_view step, std::string_view caution) {
  for (const JobStep& s : j.steps)
    if (has(s.text, step))
      return std::any_of(s.cautions.begin(), s.cautions.end(),
                         [&](const Caution& c) { return has(c.text, caution); });
  return false;
}

}  // namespace

TEST_CASE(
    "strokes of 6312: 20 g (0.005 x 130 x 31), 17 strokes of 1.2 g, 9800 h at 1480 rpm [src:three "
    "bearing manufacturers, formula of catalogue E, worked example of workshop practice]") {
  const GreaseJob j = grease_job(plan("6312"), {1.2, 8760});
  CHECK(close_rel(j.grams.value(), 20.15, 1e-9));
  CHECK(j.strokes == 17);
  CHECK(close_rel(j.interval->low_h, 9800, 0.01));
  CHECK(j.days == static_cast<int>(j.interval->low_h / 8760 * 365.25));
  CHECK(has(words(j), "20.2 g = 17 strokes. Press in 9 of them, wait 5 minutes, then the rest"));
  CHECK(has(words(j), "Open the outlet"));
  CHECK(has(words(j), "outlet open for 10 to 30 minutes"));
  CHECK_FALSE(grease_job(plan("6312"), {}).strokes.has_value());
  CHECK(has(words(grease_job(plan("6312"), {})), "ten strokes onto a scale"));
  CHECK(strokes_for(0.1, 3) == 1);
  CHECK_THROWS_AS((void)strokes_for(1, 0), std::invalid_argument);
  CHECK_THROWS_AS((void)strokes_for(1, 1e-300), std::invalid_argument);
  // Half the running time, twice the days.
  CHECK(grease_job(plan("6312"), {1.2, 4380}).days.value() >= 2 * j.days.value());
}

TEST_CASE("each danger of greasing is named before its step [src:1000 bar: workshop practice 20]") {
  const GreaseJob j = grease_job(plan("6312"), {});
  CHECK(cautioned(j, "Press in", "1000 bar"));
  CHECK(cautioned(j, "Press in", "keep guards on"));
  CHECK(cautioned(j, "Motor running and warm", "Stored energy"));
  CHECK(cautioned(j, "Purge", "keep guards on"));
  CHECK_FALSE(j.overgreased.empty());
}

TEST_CASE("sealed bearings are not regreased, mixing is answered by the table of 1990") {
  const GreaseJob closed = grease_job(plan("6205-2RS"), {1.2, 8760});
  CHECK(closed.for_life);
  CHECK(closed.steps.empty());
  CHECK_FALSE(closed.days.has_value());
  MotorDuty m;
  m.old_grease = "lithium";
  m.grease = "polyurea";
  CHECK(has(words(grease_job(plan("6312", m), {})), "incompatible. Do not add it"));
  m.grease = "lithium complex";
  CHECK(has(words(grease_job(plan("6312", m), {})), "compatible by the table"));
}

TEST_CASE("the fleet: last greasing of that end, else from the start, closed ones have no day") {
  const auto machines = parse_machines(
      "[[machine]]\nname = \"saw\"\nrated_rpm = 1480\n"
      "bearing.DE = { designation = \"6312\" }\nbearing.NDE = { designation = \"6312-2RS\" }\n"
      "point = [{ name = \"front\", end = \"DE\" }, { name = \"rear\", end = \"NDE\" }]\n"
      "[[machine]]\nname = \"fan\"\nrated_rpm = 1480\n"
      "bearing.DE = { designation = \"6312\" }\nbearing.NDE = { elements = 9 }\n",
      "mill.toml");
  REQUIRE(machines.has_value());
  const UtcTime start = parse_time("2026-03-01", "test").value();
  Event greased{EventKind::greased, parse_time("2026-02-01", "test").value(), "front", "", {}};
  Event rear = greased;
  rear.point = "rear";
  rear.when = parse_time("2026-02-20", "test").value();
  const auto due = grease_plan(*machines, {{"saw", greased}, {"saw", rear}}, start, {});
  REQUIRE(due.size() == 4);
  CHECK(due[0].last == greased.when);
  CHECK(due[0].on == greased.when + std::chrono::days{*due[0].job.days});
  CHECK(due[1].job.for_life);
  CHECK_FALSE(due[1].on.has_value());
  CHECK_FALSE(due[2].last.has_value());
  CHECK(due[2].on == start + std::chrono::days{*due[2].job.days});
  CHECK(has(due[3].why_not, "designation"));
}
