#include "bearingdsp/history/record.hpp"

#include <doctest/doctest.h>

#include <string>

#include "support/made_reading.hpp"

using namespace bearingdsp;

TEST_CASE("reading: it holds what the diagnosis says") {
  const Reading r = test::made_reading(3);
  CHECK(r.speed == Rpm{24.75 * 60});
  CHECK(r.verdict == Verdict::fault);
  CHECK(r.parts.at(0).harmonics == 3);
  CHECK(r.parts.at(0).strength == 0.9);
  CHECK(r.parts.at(1).harmonics == 0);
  CHECK(r.stage.verdict == Verdict::fault);
  CHECK(r.stage.parts == 1);
  CHECK(r.causes.size() == 1);
  CHECK(r.findings.size() == 2);
  CHECK(r.advice.size() == 2);
  CHECK_FALSE(r.version.empty());
  Diagnosis without_speed = test::made_diagnosis();
  without_speed.speed = {};
  CHECK_FALSE(make_reading(without_speed, {}).speed);
}

TEST_CASE("reading: what is seen of the bearing at the other end is kept") {
  Diagnosis d = test::made_diagnosis();
  CHECK_FALSE(make_reading(d, {}).other_end);
  d.machine.emplace();
  CHECK_FALSE(make_reading(d, {}).other_end);
  d.machine->other_end =
      OtherEnd{MachineEnd::non_drive_end, "6206", true, Verdict::fault, Place::outer_ring, 0.9};
  const Reading r = make_reading(d, {});
  REQUIRE(r.other_end);
  CHECK(r.other_end->bearing == "6206");
  CHECK(r.other_end->verdict == Verdict::fault);
}

TEST_CASE("event: kinds are found by name, with or without hyphens") {
  for (const EventKind kind : {EventKind::bearing_replaced, EventKind::greased, EventKind::repaired,
                               EventKind::alarm_acknowledged, EventKind::note})
    CHECK(event_kind(token(kind)) == kind);
  CHECK(event_kind("bearing-replaced") == EventKind::bearing_replaced);
  CHECK(event_kind("alarm_acknowledged") == EventKind::alarm_acknowledged);
  CHECK_FALSE(event_kind("bearing"));
  CHECK_FALSE(event_kind(""));
  CHECK(begins_baseline(EventKind::bearing_replaced));
  CHECK_FALSE(begins_baseline(EventKind::note));
  CHECK_FALSE(begins_baseline(EventKind::alarm_acknowledged));
}

TEST_CASE("points: names are compared as people write them, and digits are kept apart") {
  const auto same = [](const std::string& a, const std::string& b) {
    return same_point({a, "DE"}, {b, "d-e"}) && same_point({"fan", a}, {"FAN", b});
  };
  for (const char* name : {"M-1", "m1", "M 1", "m_1", " M1 ", "m-1-"}) CHECK(same("M-1", name));
  for (const char* name : {"M-2", "M-11", "M", "", "M-1b"}) CHECK_FALSE(same("M-1", name));
  CHECK(same("pump 1-1", "PUMP 1_1"));
  CHECK(same("pump 1-1", "pump1 - 1"));
  CHECK_FALSE(same("pump 1-1", "pump 11"));
  CHECK_FALSE(same("pump 11", "pump 1 1"));
  CHECK(same("", "- "));
}

TEST_CASE("reading: two components one of which is damaged are kept and named") {
  Diagnosis d = test::made_diagnosis();
  d.place = Place::unclear;
  d.place_set = {Part::rolling_element, Part::cage};
  const Reading r = make_reading(d, {});
  CHECK(r.place_set == d.place_set);
  CHECK(damaged_component(r.place, r.place_set) == "rolling element or cage");
  CHECK(damaged_component(Place::unclear, {}) == "component not identified");
  CHECK(damaged_component(Place::inner_ring, {}) == "inner ring");
  CHECK(damaged_component(Place::several, {}) == "both rings");
}
