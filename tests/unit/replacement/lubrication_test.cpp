#include "bearingdsp/replacement/lubrication.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "support/close.hpp"

using namespace bearingdsp;
using test::close_rel;

TEST_CASE(
    "regreasing of 6208 at 1500 rpm 60 C light is 13157 h and grease life 32893 h at the middle "
    "of 20 to 40 being 25 [src:manufacturer's catalogue E, worked example, confirmed]") {
  const GreaseDuty duty{Rpm{1500}, 60, LoadLevel::light};
  const auto t = regreasing_interval(BearingType::deep_groove_ball, 40, duty).value();
  CHECK(close_rel(t.low_h, 13157, 1e-4));
  CHECK(t.low_h == t.high_h);
  const auto life = grease_life(BearingType::deep_groove_ball, 40, duty).value();
  CHECK(close_rel(life.low_h * 25 / 20, 32893, 1e-4));
  CHECK(close_rel(life.high_h, 2 * life.low_h, 1e-12));
}

TEST_CASE(
    "temperature and load factors [src:manufacturer's catalogue E: 70 C 1, 85 C 0.5, 100 C 0.25]") {
  const auto at = [](double c, LoadLevel load) {
    return regreasing_interval(BearingType::deep_groove_ball, 40, {Rpm{1500}, c, load}).value();
  };
  const double base = at(70, LoadLevel::light).low_h;
  CHECK(close_rel(at(85, LoadLevel::light).low_h, base / 2, 1e-12));
  CHECK(close_rel(at(100, LoadLevel::light).low_h, base / 4, 1e-12));
  CHECK(at(40, LoadLevel::light).low_h == base);
  CHECK(close_rel(at(70, LoadLevel::heavy).low_h, 0.4 * base, 1e-12));
  CHECK(close_rel(at(70, LoadLevel::heavy).high_h, 0.7 * base, 1e-12));
  CHECK(
      close_rel(regreasing_interval(BearingType::cylindrical_roller, 40, {Rpm{1500}}).value().low_h,
                base / 2, 1e-12));
}

TEST_CASE("grease is not computed where no source supports it") {
  CHECK(regreasing_interval(BearingType::deep_groove_ball, 40, {Rpm{1500}, 101}).error().code ==
        Errc::bad_argument);
  CHECK(regreasing_interval(BearingType::deep_groove_ball, 40, {Rpm{0}}).error().code ==
        Errc::bad_argument);
  CHECK(grease_life(BearingType::spherical_roller, 40, {Rpm{1500}}).error().code ==
        Errc::not_found);
  CHECK(regreasing_interval(BearingType::deep_groove_ball, 100, {Rpm{6000}}).error().code ==
        Errc::not_found);
}

TEST_CASE(
    "no hours where the formula is near its zero: 6322 at 2980 rpm would be 79 h [src:closed-form, "
    "the bracket below a quarter of its first term]") {
  const auto at = [](double bore, double rpm) {
    return regreasing_interval(BearingType::deep_groove_ball, bore, {Rpm{rpm}});
  };
  CHECK(at(110, 2980).error().code == Errc::not_found);
  CHECK(at(95, 2980).error().code == Errc::not_found);
  CHECK(at(110, 1485));
  // Just inside and just outside: 4 d is three quarters of 14e6 / (n sqrt d).
  const double edge = 0.75 * 14e6 / (4 * 80 * std::sqrt(80.0));
  CHECK(at(80, 0.999 * edge));
  CHECK_FALSE(at(80, 1.001 * edge));
}

TEST_CASE(
    "6312 at 1480 rpm 9 800 h, at 740 rpm 22 000 h, 6317 at 1485 rpm 6 800 h, 6205 at 2900 rpm 8 "
    "700 "
    "h [src:the formula of a tribology handbook, computed]") {
  const auto at = [](double bore, double rpm) {
    return regreasing_interval(BearingType::deep_groove_ball, bore, {Rpm{rpm}}).value().low_h;
  };
  CHECK(close_rel(at(60, 1480), 9800, 0.01));
  CHECK(close_rel(at(60, 740), 22000, 0.01));
  CHECK(close_rel(at(85, 1485), 6800, 0.01));
  CHECK(close_rel(at(25, 2900), 8700, 0.01));
}

TEST_CASE(
    "factors by type: radial ball 10, cylindrical and needle roller 5, spherical, tapered and "
    "thrust "
    "1 [src:a tribology handbook, confirmed], angular contact 1 [src:manufacturer's catalogue E] "
    "to "
    "10") {
  const auto at = [](BearingType type) {
    return regreasing_interval(type, 40, {Rpm{1500}}).value();
  };
  const double ten = at(BearingType::deep_groove_ball).low_h;
  for (const auto type : {BearingType::insert_ball, BearingType::self_aligning_ball})
    CHECK(close_rel(at(type).low_h, ten, 1e-12));
  for (const auto type : {BearingType::cylindrical_roller, BearingType::needle_roller})
    CHECK(close_rel(at(type).high_h, 0.5 * ten, 1e-12));
  for (const auto type : {BearingType::spherical_roller, BearingType::tapered_roller,
                          BearingType::thrust_ball, BearingType::spherical_roller_thrust})
    CHECK(close_rel(at(type).high_h, 0.1 * ten, 1e-12));
  const auto angular = at(BearingType::angular_contact_ball);
  CHECK(close_rel(angular.low_h, 0.1 * ten, 1e-12));
  CHECK(close_rel(angular.high_h, ten, 1e-12));
}

TEST_CASE("above 300 mm bore half [src:a rolling bearing catalogue, confirmed]") {
  const auto at = [](double bore) {
    return regreasing_interval(BearingType::deep_groove_ball, bore, {Rpm{300}}).value().low_h;
  };
  const double formula = 10 * (14e6 / (300 * std::sqrt(320.0)) - 4 * 320);
  CHECK(close_rel(at(320), 0.5 * formula, 1e-12));
  CHECK(at(300) > 1.9 * at(301));
}

TEST_CASE(
    "grease amount [src:manufacturer's catalogue D: 0.005 D B, 6208 7.2 g, 6310 14.85 g, "
    "computed]") {
  CHECK(close_rel(regreasing_from_side_g(80, 18), 7.2, 1e-12));
  CHECK(close_rel(regreasing_from_side_g(110, 27), 14.85, 1e-12));
  CHECK(close_rel(regreasing_through_ring_g(110, 27), 5.94, 1e-12));
}
