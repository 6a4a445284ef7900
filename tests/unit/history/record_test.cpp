#include "bearingdsp/history/record.hpp"

#include <doctest/doctest.h>

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

TEST_CASE("event: kinds are found by name, with or without hyphens") {
  for (const EventKind kind : {EventKind::bearing_replaced, EventKind::greased, EventKind::repaired,
                               EventKind::alarm_acknowledged, EventKind::note})
    CHECK(event_kind(name(kind)) == kind);
  CHECK(event_kind("bearing-replaced") == EventKind::bearing_replaced);
  CHECK(event_kind("alarm_acknowledged") == EventKind::alarm_acknowledged);
  CHECK_FALSE(event_kind("bearing"));
  CHECK_FALSE(event_kind(""));
  CHECK(begins_baseline(EventKind::bearing_replaced));
  CHECK_FALSE(begins_baseline(EventKind::note));
  CHECK_FALSE(begins_baseline(EventKind::alarm_acknowledged));
}
