#include "bearingdsp/dataset/metrics.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <stdexcept>
#include <vector>

#include "support/close.hpp"

using namespace bearingdsp;

TEST_CASE(
    "wilson interval of 81 in 263 is 0.2553 to 0.3662 [src:newcombe1998 table I, memory, "
    "recomputed from the formula of wilson1927]") {
  const Interval i = wilson_interval(81, 263);
  CHECK(test::close_abs(i.low, 0.2553, 5e-5));
  CHECK(test::close_abs(i.high, 0.3662, 5e-5));
}

TEST_CASE(
    "wilson interval of 15 in 148 is 0.0624 to 0.1605 [src:newcombe1998 table I, memory, "
    "recomputed from the formula of wilson1927]") {
  const Interval i = wilson_interval(15, 148);
  CHECK(test::close_abs(i.low, 0.0624, 5e-5));
  CHECK(test::close_abs(i.high, 0.1605, 5e-5));
}

TEST_CASE(
    "wilson interval of none in n ends at z^2/(n + z^2) [src:closed-form wilson1927, from "
    "memory]") {
  constexpr double z2 = 1.959963984540054 * 1.959963984540054;
  for (const std::size_t n : {std::size_t{1}, std::size_t{20}, std::size_t{1000}}) {
    const double expected = z2 / (static_cast<double>(n) + z2);
    const Interval none = wilson_interval(0, n);
    CHECK(none.low == 0.0);
    CHECK(test::close_rel(none.high, expected, 1e-12));
    const Interval all = wilson_interval(n, n);
    CHECK(all.high == 1.0);
    CHECK(test::close_rel(all.low, 1 - expected, 1e-12));
  }
}

TEST_CASE("wilson interval mirrors: k of n and n - k of n [src:closed-form symmetry]") {
  for (std::size_t k = 0; k <= 17; ++k) {
    const Interval a = wilson_interval(k, 17);
    const Interval b = wilson_interval(17 - k, 17);
    CHECK(test::close_abs(a.low, 1 - b.high, 1e-14));
    CHECK(a.low <= static_cast<double>(k) / 17.0);
    CHECK(a.high >= static_cast<double>(k) / 17.0);
  }
}

TEST_CASE(
    "wilson interval ends solve (p - k/n)^2 = z^2 p (1 - p)/n [src:closed-form wilson1927, from "
    "memory]") {
  constexpr double z2 = 1.959963984540054 * 1.959963984540054;
  const Interval i = wilson_interval(7, 31);
  for (const double p : {i.low, i.high}) {
    const double d = p - 7.0 / 31.0;
    CHECK(test::close_rel(d * d, z2 * p * (1 - p) / 31.0, 1e-10));
  }
}

TEST_CASE("wilson interval without trials knows nothing, more successes than trials is a bug") {
  CHECK(wilson_interval(0, 0).low == 0.0);
  CHECK(wilson_interval(0, 0).high == 1.0);
  CHECK_THROWS_AS(static_cast<void>(wilson_interval(2, 1)), std::invalid_argument);
}

TEST_CASE(
    "brier score by hand: (0.1^2 + 0.4^2 + 0.8^2) / 3 = 0.27 [src:closed-form brier1950, from "
    "memory]") {
  const std::array<StatedProbability, 3> f{{{0.9, true}, {0.4, false}, {0.2, true}}};
  CHECK(test::close_rel(brier_score(f), 0.27, 1e-12));
}

TEST_CASE(
    "brier score: 0 when sure and right, 1 when sure and wrong, 0.25 at one half "
    "[src:closed-form]") {
  CHECK(brier_score(std::array<StatedProbability, 2>{{{1, true}, {0, false}}}) == 0.0);
  CHECK(brier_score(std::array<StatedProbability, 2>{{{0, true}, {1, false}}}) == 1.0);
  CHECK(brier_score(std::array<StatedProbability, 2>{{{0.5, true}, {0.5, false}}}) == 0.25);
  CHECK(std::isnan(brier_score({})));
}

TEST_CASE("reliability puts each forecast into one bin, ends included [src:closed-form]") {
  const std::array<StatedProbability, 6> f{
      {{0.0, false}, {0.05, false}, {0.1, true}, {0.95, true}, {0.97, false}, {1.0, true}}};
  const auto table = reliability(f, 10);
  REQUIRE(table.size() == 10);
  CHECK(table[0].count == 2);
  CHECK(table[0].happened == 0);
  CHECK(test::close_rel(table[0].mean_probability, 0.025, 1e-12));
  CHECK(table[1].count == 1);  // [0.1, 0.2)
  CHECK(table[1].frequency == 1.0);
  CHECK(table[9].count == 3);
  CHECK(table[9].happened == 2);
  CHECK(test::close_rel(table[9].frequency, 2.0 / 3.0, 1e-12));
  CHECK(table[9].high == 1.0);
  CHECK(table[5].count == 0);
  CHECK(std::isnan(table[5].frequency));
  std::size_t sum = 0;
  for (const ReliabilityBin& b : table) sum += b.count;
  CHECK(sum == f.size());
}

TEST_CASE("reliability refuses what is no probability") {
  CHECK_THROWS_AS(static_cast<void>(reliability(std::array<StatedProbability, 1>{{{1.5, true}}})),
                  std::invalid_argument);
  CHECK_THROWS_AS(
      static_cast<void>(reliability(std::array<StatedProbability, 1>{{{std::nan(""), true}}})),
      std::invalid_argument);
  CHECK_THROWS_AS(static_cast<void>(reliability({}, 0)), std::invalid_argument);
}

TEST_CASE("detection curve by hand: a point a probability, ties together [src:closed-form]") {
  const std::array<StatedProbability, 5> f{
      {{0.9, true}, {0.9, false}, {0.6, true}, {0.2, false}, {0.1, true}}};
  const auto curve = detection_curve(f);
  REQUIRE(curve.size() == 5);
  CHECK(std::isinf(curve[0].threshold));
  CHECK(curve[0].called_damaged + curve[0].called_sound == 0);
  CHECK(curve[1].threshold == 0.9);
  CHECK(curve[1].called_damaged == 1);
  CHECK(curve[1].called_sound == 1);
  CHECK(curve[4].called_damaged == 3);
  CHECK(curve[4].called_sound == 2);
  for (std::size_t i = 1; i < curve.size(); ++i) {
    const DetectionPoint at = detection_at(f, curve[i].threshold);
    CHECK(at.called_damaged == curve[i].called_damaged);
    CHECK(at.called_sound == curve[i].called_sound);
    CHECK(at.detection.low == curve[i].detection.low);
    CHECK(at.false_alarm.high == curve[i].false_alarm.high);
  }
  // Pairs damaged over sound: 0.9 ties with 0.9 and beats 0.2; 0.6 beats 0.2; 0.1 beats none.
  CHECK(test::close_rel(area_under_curve(curve), (0.5 + 1 + 1) / 6, 1e-12));
}

TEST_CASE(
    "detection curve: perfect is 1, all alike is 0.5, one kind alone has no area "
    "[src:closed-form]") {
  CHECK(area_under_curve(
            detection_curve(std::array<StatedProbability, 2>{{{0.8, true}, {0.1, false}}})) == 1.0);
  CHECK(area_under_curve(
            detection_curve(std::array<StatedProbability, 2>{{{0.5, true}, {0.5, false}}})) == 0.5);
  CHECK(std::isnan(
      area_under_curve(detection_curve(std::array<StatedProbability, 1>{{{0.5, true}}}))));
  CHECK(std::isnan(area_under_curve({})));
  CHECK_THROWS_AS(static_cast<void>(
                      detection_at(std::array<StatedProbability, 1>{{{std::nan(""), true}}}, 0.5)),
                  std::invalid_argument);
}
