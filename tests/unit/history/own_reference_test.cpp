#include "bearingdsp/history/own_reference.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <stdexcept>
#include <string>
#include <vector>

#include "bearingdsp/history/standing.hpp"
#include "bearingdsp/verdict/judgement.hpp"
#include "support/made_reading.hpp"

using namespace bearingdsp;

namespace {

/// A reading whose only series is that of the outer ring; the verdict is the model's.
Reading with_strength(int day, double strength) {
  Reading r = test::made_reading(day);
  r.findings.clear();
  r.causes.clear();
  r.parts = {};
  r.parts[0].strength = strength;
  r.bearing.variants = equal_candidates({test::made_diagnosis().orders.value()});
  const JudgementModel model;
  Judgement j;
  j.damage = damage_probability(strength, model);
  j.part[0] = j.damage;
  decide(j, false, model);
  r.verdict = r.stage.verdict = j.verdict;
  r.place = j.place;
  r.probability_of_damage = j.damage;
  r.probability_of_place = j.place_probability;
  return r;
}

PointHistory history_of(const std::vector<double>& strengths) {
  PointHistory h;
  h.at = {"edger", "DE horizontal"};
  for (std::size_t i = 0; i < strengths.size(); ++i)
    h.readings.push_back(with_strength(static_cast<int>(7 * i), strengths[i]));
  return h;
}

Verdict last(const PointHistory& h) { return with_references(h).readings.back().verdict; }

}  // namespace

TEST_CASE("own reference: a series as strong as when the point was healthy counts less") {
  const PointHistory h = history_of({0.15, 0.14, 0.16, 0.15, 0.24});
  REQUIRE(h.readings.back().verdict == Verdict::fault);
  const auto share = own_reference(h, 4);
  REQUIRE(share);
  CHECK(share->log_odds < 0);
  CHECK(share->readings == 4);
  CHECK(share->by_itself == Verdict::fault);
  CHECK(last(h) != Verdict::fault);
}

TEST_CASE("own reference: a series that was not there counts more") {
  const PointHistory h = history_of({0.03, 0.04, 0.03, 0.04, 0.19});
  REQUIRE(h.readings.back().verdict == Verdict::indeterminate);
  CHECK(own_reference(h, 4)->log_odds > 0);
  CHECK(last(h) == Verdict::fault);
}

TEST_CASE("own reference: never more than the bounds of the model [src:closed-form of the model]") {
  const OwnReferenceModel model;
  for (const double before : {0.0, 0.05, 0.1, 0.16})
    for (const double now : {0.01, 0.1, 0.2, 0.5, 2.0}) {
      const std::vector<double> healthy(5, before);
      const double change = reference_log_odds(now, healthy, model);
      CHECK(change <= std::log(model.max_raised) + 1e-12);
      CHECK(change >= -std::log(model.max_lowered) - 1e-12);
      if (now > model.grown * std::max(before, model.weakest)) CHECK(change >= 0);
    }
  CHECK_THROWS_AS(static_cast<void>(reference_log_odds(0.1, {})), std::invalid_argument);
}

TEST_CASE("own reference: what was damaged from the start does not become healthy") {
  const PointHistory first = history_of({0.30, 0.15, 0.15, 0.15, 0.15, 0.25});
  CHECK_FALSE(own_reference(first, 5));
  CHECK(last(first) == Verdict::fault);
  // Two healthy readings are too few.
  const PointHistory few = history_of({0.15, 0.15, 0.26, 0.15, 0.15, 0.25});
  CHECK_FALSE(own_reference(few, 5));
}

TEST_CASE("own reference: damage that grows out of a known series is called") {
  const PointHistory h = history_of({0.10, 0.11, 0.10, 0.11, 0.13, 0.15, 0.18, 0.22, 0.27, 0.33});
  CHECK(last(h) == Verdict::fault);
  CHECK(with_references(h).readings[8].verdict == Verdict::fault);
  // Healthy readings that rise steadily are no reference for more of the same.
  const PointHistory rising =
      history_of({0.06, 0.07, 0.08, 0.09, 0.10, 0.11, 0.12, 0.14, 0.16, 0.24});
  CHECK(own_reference(rising, 9)->readings ==
        static_cast<std::size_t>(OwnReferenceModel{}.min_readings));
  CHECK(last(rising) == Verdict::fault);
}

TEST_CASE("own reference: another bearing, speed or a replacement is no reference") {
  PointHistory h = history_of({0.15, 0.14, 0.16, 0.15, 0.24});
  PointHistory faster = h;
  faster.readings.back().speed = Rpm{faster.readings.back().speed->value() * 1.2};
  CHECK_FALSE(own_reference(faster, 4));
  PointHistory other = h;
  other.readings.back().bearing.variants.front().orders.bpfo = Order{4.1};
  CHECK_FALSE(own_reference(other, 4));
  h.events.push_back({EventKind::bearing_replaced, test::day(20), "", "", {}});
  CHECK_FALSE(own_reference(h, 4));
}

TEST_CASE("own reference: the list judges with it, says so, and the reading stays as it is") {
  const PointHistory h = history_of({0.15, 0.14, 0.16, 0.15, 0.24});
  const Standing s = find_standing(h);
  CHECK(s.verdict != Verdict::fault);
  REQUIRE(s.reference);
  CHECK(s.reference->by_itself == Verdict::fault);
  CHECK(s.why.find("healthy readings of this point") != std::string::npos);
  CHECK(h.readings.back().verdict == Verdict::fault);
}
