#include "bearingdsp/history/end_judgement.hpp"

#include <doctest/doctest.h>

#include <chrono>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "support/made_reading.hpp"

using namespace bearingdsp;

namespace {

Reading reading(int hours, double damage, Verdict verdict, Place place) {
  Reading r = test::made_reading(0, std::to_string(hours) + std::to_string(damage));
  r.taken = test::day(0) + std::chrono::hours{hours};
  r.findings.clear();
  r.causes.clear();
  r.parts = {};
  r.bearing.variants = equal_candidates({test::made_diagnosis().orders.value()});
  r.verdict = r.stage.verdict = verdict;
  r.place = place;
  r.probability_of_damage = damage;
  r.probability_of_place = verdict == Verdict::fault ? 0.95 * damage : 1 - damage;
  r.place_set.clear();
  return r;
}

Reading healthy(int hours) { return reading(hours, 0.18, Verdict::no_fault, Place::none); }
Reading damaged(int hours, double p = 0.97, Place place = Place::outer_ring) {
  return reading(hours, p, Verdict::fault, place);
}

PointHistory point(const std::string& name, std::vector<Reading> readings) {
  PointHistory h;
  h.at = {"edger", name};
  h.readings = std::move(readings);
  return h;
}

std::optional<EndStanding> judged(const std::vector<PointHistory>& points) {
  std::vector<const PointHistory*> all;
  for (const PointHistory& p : points) all.push_back(&p);
  return judge_end(all, MachineEnd::drive_end);
}

}  // namespace

TEST_CASE("end: directions of one survey are one answer, healthy ones raise no alarm") {
  const auto bad = judged({point("H", {damaged(0)}), point("V", {damaged(1)})});
  REQUIRE(bad);
  CHECK(bad->verdict == Verdict::fault);
  CHECK(bad->place == Place::outer_ring);
  CHECK(bad->assessment.urgency >= Urgency::plan);
  CHECK(bad->recordings.size() == 2);
  const auto good = judged({point("H", {healthy(0), healthy(2)}), point("V", {healthy(1)})});
  REQUIRE(good);
  CHECK(good->verdict == Verdict::no_fault);
  CHECK(good->assessment.urgency == Urgency::none);
  CHECK(good->recordings.size() == 3);
}

TEST_CASE("end: a recording that contradicts the others is named, and takes nothing from its own") {
  const auto open = judged({point("H", {damaged(0, 0.7)}), point("V", {healthy(0), healthy(1)}),
                            point("A", {healthy(1)})});
  REQUIRE(open);
  CHECK(open->verdict != Verdict::fault);
  CHECK(open->recordings.front().share.contradicts);
  std::vector<Standing> list(1);
  list[0].at = {"edger", "H"};
  list[0].assessment.urgency = Urgency::plan;
  raise_by_ends(list, std::vector{*open});
  CHECK(list[0].assessment.urgency == Urgency::plan);
}

TEST_CASE(
    "end: recordings of another survey, another bearing or a doubtful date do not take part") {
  CHECK_FALSE(judged({point("H", {damaged(0)}), point("V", {damaged(24 * 7)})}));
  CHECK_FALSE(judged({point("H", {damaged(0)})}));
  Reading other = damaged(1);
  other.bearing.number = "6309";
  CHECK_FALSE(judged({point("H", {damaged(0)}), point("V", {other})}));
  Reading doubtful = damaged(1);
  doubtful.doubt = DateDoubt::behind;
  CHECK_FALSE(judged({point("H", {damaged(0)}), point("V", {doubtful})}));
  PointHistory replaced = point("V", {damaged(2)});
  replaced.events.push_back(
      {EventKind::bearing_replaced, test::day(0) + std::chrono::hours{1}, "", "", {}});
  CHECK_FALSE(judged({point("H", {damaged(0)}), replaced}));
}

TEST_CASE("end: what several recordings say more urgently than each is in the list") {
  const auto end = judged({point("H", {damaged(0, 0.75)}), point("V", {damaged(1, 0.75)})});
  REQUIRE(end);
  REQUIRE(end->verdict == Verdict::fault);
  std::vector<Standing> list(2);
  list[0].at = {"other", "H"};
  list[1].at = {"edger", end->shown};
  list[1].assessment.urgency = Urgency::measure_again;
  raise_by_ends(list, std::vector{*end});
  CHECK(list[0].at.machine == "edger");
  CHECK(list[0].assessment.urgency == end->assessment.urgency);
}
