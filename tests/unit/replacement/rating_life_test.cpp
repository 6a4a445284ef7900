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
    "[src:the same, example 3, f0 14.0]") {
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
}

TEST_CASE(
    "ratings by type, suffix and design, N [src:manufacturers' catalogues A, B, D and G, "
    "confirmed]") {
  const auto c = [](std::string_view text) { return of(text).dynamic_n; };
  CHECK(c("6008") == 16700);      // G
  CHECK(c("6322 C3") == 205000);  // G
  CHECK(c("6905") == 7000);       // G, as 61905
  CHECK(c("61905-2RS1") == 7000);
  CHECK(c("UC205") == 14000);  // the ball set of 6205
  CHECK(c("62205-2RS") == c("6205"));
  CHECK(c("7309 BEP") == 61000);   // B, 40 degrees
  CHECK(c("3308 B-TV") == 59600);  // B
  CHECK(c("1210") == 26300);       // B
  CHECK(c("22218-K") == 308000);   // B
  CHECK(c("30208") == 68000);      // B
  CHECK(c("51105") == 19500);      // G
  // Two designs under one number: the weaker for the life, the stronger for the least load.
  CHECK(c("NU316 ECP") == 300000);  // D
  CHECK(c("NU316") == 194000);      // G, the older design
  CHECK(of("NU316").highest_dynamic_n == 300000);
  CHECK(c("NJ316 EC") == 300000);  // the rollers of NU316
  // Other rollers, another angle, or none that is known: no rating.
  for (const char* text : {"NU2316", "NU316 V", "7309 AC", "7309", "NCF3016 V", "UC201"}) {
    CAPTURE(text);
    CHECK_FALSE(load_ratings(read_designation(text).value().front()));
  }
}

TEST_CASE(
    "f0 as printed, or from the elements [src:manufacturer's catalogue G, confirmed, iso76 from "
    "memory]") {
  CHECK(close_rel(of("6322").f0, 13.2, 1e-9));
  CHECK(close_rel(of("6309").f0, 32000 / (8 * 17.462 * 17.462), 1e-3));
  CHECK(of("NU316").f0 == 0);
}

TEST_CASE("equivalent load by type [src:iso281, 40 degrees from memory]") {
  const auto p = [](std::string_view text, double radial, double axial) {
    const auto d = read_designation(text).value().front();
    return equivalent_load_of(d, load_ratings(d).value(), radial, axial);
  };
  CHECK(p("NU316", 5000, 0).value().newtons == 5000);
  CHECK_FALSE(p("NU316", 5000, 10));
  CHECK(p("7309 BEP", 1000, 1000).value().newtons == 1000);
  CHECK(close_rel(p("7309 BEP", 1000, 2000).value().newtons, 350 + 1140, 1e-12));
  CHECK(p("51105", 0, 700).value().newtons == 700);
  CHECK_FALSE(p("51105", 1, 700));
  CHECK(close_abs(p("6208", 2500, 1000).value().newtons, 3070, 10));
  CHECK_FALSE(p("22218", 1000, 0));
}

TEST_CASE(
    "least load: balls 1 %, rollers 2 %, rollers without cage 4 % of C [src:manufacturer's "
    "catalogue "
    "B, confirmed]") {
  const auto share = [](std::string_view text) {
    return min_load_share(read_designation(text).value().front());
  };
  CHECK(share("6309") == 0.01);
  CHECK(share("7309 B") == 0.01);
  CHECK(share("NU316") == 0.02);
  CHECK(share("22218") == 0.02);
  CHECK(share("NCF3016 V") == 0.04);
}

TEST_CASE(
    "10 000 h at 1900 rpm under 3000 N ask for 31 339 N [src:manufacturer's catalogue A, example "
    "2]") {
  CHECK(close_abs(rating_life_h(31339, 3000, Rpm{1900}, false), 10000, 1));
}
