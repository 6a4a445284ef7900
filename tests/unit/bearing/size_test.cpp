#include "bearingdsp/bearing/size.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

using namespace bearingdsp;

namespace {

BearingSize size(std::string_view text) { return size_of(read_designation(text).value().front()); }

bool has(const std::vector<std::string>& list, std::string_view what) {
  return std::find(list.begin(), list.end(), what) != list.end();
}

}  // namespace

TEST_CASE(
    "sizes and corners [src:ISO 15 in four makers' tables, confirmed: 6205 25x52x15 r 1, 6310 "
    "50x110x27 r 2, 6008 40x68x15 r 1, 6224 120x215x40 r 2.1]") {
  struct {
    const char* text;
    double bore, outside, width, chamfer;
  } const rows[] = {{"6205-2RS", 25, 52, 15, 1},
                    {"6310 C3", 50, 110, 27, 2},
                    {"6008", 40, 68, 15, 1},
                    {"6224", 120, 215, 40, 2.1}};
  for (const auto& r : rows) {
    CAPTURE(r.text);
    const auto s = size(r.text);
    CHECK(s.bore == r.bore);
    CHECK(s.outside_diameter == r.outside);
    CHECK(s.width == r.width);
    CHECK(s.chamfer == r.chamfer);
    CHECK(s.source.find("ISO 15") != std::string::npos);
  }
}

TEST_CASE(
    "a dimension series is one size whatever the kind [src:a catalogue of angular contact "
    "bearings, confirmed: 35 x 72 x 17 in series 02]") {
  for (const char* text : {"6207", "7207 B", "NU207", "1207"}) {
    CAPTURE(text);
    CHECK(size(text).outside_diameter == 72);
    CHECK(size(text).width == 17);
  }
  CHECK(size("2207").outside_diameter == 72);
  CHECK_FALSE(size("2207").width);
  CHECK(size("UC205").outside_diameter == 52);
  CHECK_FALSE(size("UC205").width);
  CHECK_FALSE(size("UC201").outside_diameter);
  CHECK_FALSE(size("30207").outside_diameter);
  CHECK(size("30207").source.find("maker") != std::string::npos);
  CHECK_FALSE(size("6205").boundary()->width != 15);
}

TEST_CASE("a caliper finds the size, worn and measured a little off") {
  const auto s = find_by_size({25.2, 51.8, 14.9}).value();
  REQUIRE(s.fitting.size() == 1);
  CHECK(has(s.fitting.front().designations, "6205"));
  CHECK(has(s.fitting.front().designations, "7205"));
  CHECK(has(s.fitting.front().designations, "NU205"));
  CHECK(s.fitting.front().dimension_series == "02");
  CHECK(s.inch.empty());
  CHECK(find_by_size({25.0, {}, 12.0}).value().fitting.front().designations.front() == "6005");
}

TEST_CASE("another width is said to be of another series") {
  const auto s = find_by_size({25.0, 52.0, 18.0}).value();
  REQUIRE_FALSE(s.fitting.empty());
  CHECK_FALSE(s.fitting.front().width_fits);
  CHECK(has(s.fitting.front().designations, "22205"));
  CHECK(has(s.fitting.front().designations, "62205"));
  CHECK_FALSE(has(s.fitting.front().designations, "6205"));
}

TEST_CASE("measures that were taken in inches are noticed [src:closed-form 1 in = 25.4 mm]") {
  // 25 x 52 x 15 mm
  const auto s = find_by_size({0.9843, 2.0472, 0.5906}).value();
  CHECK(s.fitting.empty());
  CHECK(s.fits_in_inches);
  CHECK_FALSE(find_by_size(from_inches({0.9843, 2.0472, 0.5906})).value().fitting.empty());
  CHECK_FALSE(find_by_size({31.0, 52.0, 15.0}).value().fits_in_inches);
}

TEST_CASE("inch sizes are told apart from metric ones [src:closed-form 1 in = 25.4 mm]") {
  const auto s = find_by_size(from_inches({0.5, 1.125, 0.25})).value();
  CHECK(s.inch == "1/2 x 1 1/8 x 1/4 in");
  CHECK(s.fitting.empty());
  CHECK(s.nearest.size() == 3);
  CHECK(find_by_size({25.0, 52.0, 15.0}).value().inch.empty());
}

TEST_CASE("sizes that cannot be are refused") {
  for (const MeasuredSize& m : {MeasuredSize{}, MeasuredSize{25.0, {}, {}},
                                MeasuredSize{52.0, 25.0, 15.0}, MeasuredSize{25.0, 52.0, 60.0},
                                MeasuredSize{-1.0, 52.0, 15.0}, MeasuredSize{25.0, 5200.0, 15.0}}) {
    const auto s = find_by_size(m);
    REQUIRE_FALSE(s);
    CHECK(s.error().code == Errc::bad_argument);
  }
}
