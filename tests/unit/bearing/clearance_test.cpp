#include "bearingdsp/bearing/clearance.hpp"

#include <doctest/doctest.h>

using namespace bearingdsp;

TEST_CASE("clearances [src:iso5753-1 as in five makers' catalogues, confirmed, rollers in two]") {
  const auto is = [](BearingType t, ClearanceClass c, double bore, double low, double high) {
    const auto r = radial_clearance(t, c, bore);
    return r && r->low_um == low && r->high_um == high && !r->source.empty();
  };
  using enum ClearanceClass;
  const auto ball = BearingType::deep_groove_ball;
  const auto roller = BearingType::cylindrical_roller;
  CHECK(is(ball, normal, 25, 5, 20));
  CHECK(is(ball, c3, 25, 13, 28));
  CHECK(is(ball, c2, 8, 0, 7));
  CHECK(is(ball, c4, 65, 38, 61));
  CHECK(is(ball, c5, 160, 120, 180));
  // a bore on the border belongs to the row below it
  CHECK(is(ball, c3, 10, 8, 23));
  CHECK(is(ball, c3, 30, 13, 28));
  CHECK(is(ball, c3, 50, 18, 36));
  CHECK(is(ball, cm, 10, 4, 11));
  CHECK(is(ball, cm, 50, 9, 17));
  CHECK(is(roller, c3, 50, 50, 80));
  CHECK(is(roller, cm, 100, 35, 55));
}

TEST_CASE("no row, no number") {
  using enum ClearanceClass;
  CHECK_FALSE(radial_clearance(BearingType::deep_groove_ball, normal, 170));
  CHECK_FALSE(radial_clearance(BearingType::deep_groove_ball, c1, 25));
  CHECK_FALSE(radial_clearance(BearingType::cylindrical_roller, c5, 50));
  CHECK_FALSE(radial_clearance(BearingType::tapered_roller, c3, 50));
}
