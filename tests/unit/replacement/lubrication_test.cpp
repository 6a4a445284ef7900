#include "bearingdsp/replacement/lubrication.hpp"

#include <doctest/doctest.h>

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
  CHECK(regreasing_interval(BearingType::spherical_roller, 40, {Rpm{1500}}).error().code ==
        Errc::not_found);
  CHECK(regreasing_interval(BearingType::deep_groove_ball, 100, {Rpm{6000}}).error().code ==
        Errc::not_found);
}

TEST_CASE(
    "grease amount [src:manufacturer's catalogue D: 0.005 D B, 6208 7.2 g, 6310 14.85 g, "
    "computed]") {
  CHECK(close_rel(regreasing_from_side_g(80, 18), 7.2, 1e-12));
  CHECK(close_rel(regreasing_from_side_g(110, 27), 14.85, 1e-12));
  CHECK(close_rel(regreasing_through_ring_g(110, 27), 5.94, 1e-12));
}
