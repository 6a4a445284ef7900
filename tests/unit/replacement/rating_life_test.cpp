#include "bearingdsp/replacement/rating_life.hpp"

#include <doctest/doctest.h>

#include <stdexcept>

#include "support/close.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

namespace {
LoadRatings of(std::string_view text) {
  return load_ratings(read_designation(text).value().front()).value();
}
}  // namespace

TEST_CASE(
    "6208 with 2500 N at 900 rpm: about 29 000 h [src:manufacturer's catalogue A section 5.7 "
    "example 1, "
    "exact 29 206 h]") {
  CHECK(of("6208-2Z C3").dynamic_n == 29100);
  CHECK(close_abs(rating_life_h(29100, 2500, Rpm{900}, false), 29206, 1));
}

TEST_CASE("6210 with 3000 N at 1900 rpm: 13 930 h [src:the same, example 2]") {
  CHECK(of("6210").dynamic_n == 35000);
  CHECK(close_abs(rating_life_h(35000, 3000, Rpm{1900}, false), 13930, 1));
}

TEST_CASE(
    "6208 with 2500 N radial and 1000 N axial: e 0.26, X 0.56, Y 1.67, P 3070 N, 15 771 h "
    "[src:the same, example 3; f0 14.0]") {
  const auto r = of("6208");
  CHECK(close_abs(r.f0, 14.0, 0.05));
  const auto p = equivalent_load(r, 2500, 1000);
  CHECK(close_abs(p.e, 0.26, 0.01));
  CHECK(p.x == 0.56);
  CHECK(close_abs(p.y, 1.67, 0.01));
  CHECK(close_abs(p.newtons, 3070, 10));
  CHECK(close_rel(rating_life_h(r.dynamic_n, p.newtons, Rpm{900}, false), 15771, 0.01));
}

TEST_CASE("a small axial load does not count, rollers use 10/3 [src:iso281]") {
  const auto p = equivalent_load(of("6208"), 2500, 300);
  CHECK(p.newtons == 2500);
  CHECK(close_rel(rating_life_h(8, 1, Rpm{1e6 / 60}, true), 1024, 1e-12));
  CHECK_THROWS_AS(static_cast<void>(rating_life_h(8, 0, Rpm{1}, true)), std::invalid_argument);
  CHECK_FALSE(load_ratings(read_designation("NU208").value().front()));
  CHECK_FALSE(load_ratings(read_designation("6008").value().front()));
}

TEST_CASE(
    "10 000 h at 1900 rpm under 3000 N ask for 31 339 N [src:manufacturer's catalogue A, example "
    "2]") {
  CHECK(close_abs(rating_life_h(31339, 3000, Rpm{1900}, false), 10000, 1));
}
