#include "bearingdsp/verdict/together.hpp"

#include <doctest/doctest.h>

#include <vector>

#include "bearingdsp/verdict/assessment.hpp"
#include "support/close.hpp"
#include "support/made_diagnosis.hpp"

using namespace bearingdsp;

namespace {

Diagnosis with(double damage, Verdict verdict, Place place, double share = 0.95) {
  Diagnosis d = test::made_diagnosis();
  d.findings.clear();
  d.verdict = verdict;
  d.place = place;
  d.probability_of_damage = damage;
  d.probability_of_part = {};
  const std::size_t part = place == Place::inner_ring ? 1 : 0;
  d.probability_of_part.at(part) = share * damage;
  d.probability_of_place = verdict == Verdict::fault ? share * damage : 1 - damage;
  return d;
}

Diagnosis damaged(double p = 0.97) { return with(p, Verdict::fault, Place::outer_ring); }
Diagnosis healthy() { return with(0.18, Verdict::no_fault, Place::none); }
Diagnosis between() { return with(0.5, Verdict::indeterminate, Place::cannot_tell); }

Diagnosis joint(const std::vector<Diagnosis>& all) { return judge_together(all).value(); }

}  // namespace

TEST_CASE("together: equal recordings agree, and silence does not add up to certainty") {
  CHECK(joint({damaged(), damaged(), damaged()}).verdict == Verdict::fault);
  CHECK(joint({damaged(), damaged(), damaged()}).place == Place::outer_ring);
  const Diagnosis silent = joint({healthy(), healthy(), healthy(), healthy(), healthy()});
  CHECK(silent.verdict == Verdict::no_fault);
  // What hides damage from one recording hides it from all: closed form of the stated model.
  CHECK(silent.probability_of_damage > 0.18);
  CHECK(silent.probability_of_damage < 0.26);
  CHECK(test::close_abs(joint({damaged(0.9)}).probability_of_damage, 0.9, 1e-12));
}

TEST_CASE(
    "together: several weak signs of one component are damage, one between silent ones is not") {
  const Diagnosis weak = with(0.75, Verdict::fault, Place::outer_ring);
  CHECK(joint({weak, weak, weak, between()}).verdict == Verdict::fault);
  CHECK(joint({between(), healthy(), healthy(), healthy()}).verdict == Verdict::no_fault);
  const Diagnosis open = joint({damaged(0.7), healthy(), healthy(), healthy()});
  CHECK(open.verdict != Verdict::fault);
  REQUIRE(open.recordings.size() == 4);
  CHECK(open.recordings[0].contradicts);
  CHECK_FALSE(open.recordings[1].contradicts);
}

TEST_CASE(
    "together: a clear call outweighs one silent recording, and components that differ are open") {
  CHECK(joint({damaged(0.99), healthy()}).verdict == Verdict::fault);
  const Diagnosis two = joint({damaged(0.97), with(0.97, Verdict::fault, Place::inner_ring)});
  CHECK(two.verdict == Verdict::fault);
  CHECK(two.place == Place::unclear);
  CHECK(two.place_set.size() == 2);
  const Diagnosis most = joint(
      {damaged(0.97), damaged(0.97), damaged(0.97), with(0.97, Verdict::fault, Place::inner_ring)});
  CHECK(most.place == Place::outer_ring);
  CHECK(most.recordings[3].contradicts);
}

TEST_CASE("together: what cannot be judged does not count, and the worst vibration does") {
  Diagnosis lost = between();
  lost.speed = {};
  Diagnosis clipped = between();
  clipped.findings.push_back({FindingKind::clipped, Weight::blocking, "", "clipped", "", ""});
  const Diagnosis d = joint({damaged(), lost, clipped});
  CHECK(test::close_abs(d.probability_of_damage, 0.97, 1e-12));
  CHECK_FALSE(d.recordings[1].counted);
  CHECK(d.recordings[2].why_not_counted == "clipped");
  CHECK_FALSE(judge_together({}).has_value());
  CHECK_FALSE(judge_together(std::vector{lost, clipped}).has_value());

  Diagnosis quiet = damaged();
  quiet.machine = DiagnosedMachine{};
  Diagnosis loud = damaged(0.9);
  loud.machine = DiagnosedMachine{};
  loud.machine->vibration = judge_velocity({class_limits(1).value(), ""},
                                           {mm_per_s_rms(6), SampleUnit::acceleration, Hz{25600}});
  CHECK(assess(joint({quiet, loud})).zone == Zone::d);
}

TEST_CASE("together: recordings that show another bearing show it together [src:contract]") {
  Diagnosis other = with(0.95, Verdict::fault, Place::another_bearing);
  other.probability_of_part = {};
  const Diagnosis all = joint({other, other, other});
  CHECK(all.verdict == Verdict::fault);
  CHECK(all.place == Place::another_bearing);
  CHECK(all.probability_of_place == all.probability_of_damage);
  CHECK(all.headline.find("not the one given") != std::string::npos);
  CHECK(joint({other, damaged(), damaged()}).place == Place::outer_ring);
}
