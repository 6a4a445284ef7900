#include "bearingdsp/bearing/size.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <string>

using namespace bearingdsp;

namespace {

BearingSize size_by_name(std::string_view text) {
  return size_of(read_designation(text).value().front());
}

bool has(const std::vector<std::string>& list, std::string_view what) {
  return std::find(list.begin(), list.end(), what) != list.end();
}

}  // namespace

TEST_CASE(
    "sizes and corners [src:ISO 15 in four manufacturers' tables, confirmed: 6205 25x52x15 r 1, "
    "6310 "
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
    const auto s = size_by_name(r.text);
    CHECK(s.bore == r.bore);
    CHECK(s.outside_diameter == r.outside);
    CHECK(s.width == r.width);
    CHECK(s.chamfer == r.chamfer);
    CHECK(s.source.find("ISO 15") != std::string::npos);
  }
}

TEST_CASE(
    "every size of series 10, 02 and 03 up to 120 mm [src:ISO 15 in four manufacturers' tables "
    "that "
    "agree, "
    "corners in one, confirmed]") {
  struct Size {
    double outside, width, chamfer;
  };
  struct {
    const char* code;
    double bore;
    Size sizes[3];  // of 60xx, 62xx, 63xx
  } const rows[] = {
      {"00", 10, {{26, 8, 0.3}, {30, 9, 0.6}, {35, 11, 0.6}}},
      {"01", 12, {{28, 8, 0.3}, {32, 10, 0.6}, {37, 12, 1}}},
      {"02", 15, {{32, 9, 0.3}, {35, 11, 0.6}, {42, 13, 1}}},
      {"03", 17, {{35, 10, 0.3}, {40, 12, 0.6}, {47, 14, 1}}},
      {"04", 20, {{42, 12, 0.6}, {47, 14, 1}, {52, 15, 1.1}}},
      {"05", 25, {{47, 12, 0.6}, {52, 15, 1}, {62, 17, 1.1}}},
      {"06", 30, {{55, 13, 1}, {62, 16, 1}, {72, 19, 1.1}}},
      {"07", 35, {{62, 14, 1}, {72, 17, 1.1}, {80, 21, 1.5}}},
      {"08", 40, {{68, 15, 1}, {80, 18, 1.1}, {90, 23, 1.5}}},
      {"09", 45, {{75, 16, 1}, {85, 19, 1.1}, {100, 25, 1.5}}},
      {"10", 50, {{80, 16, 1}, {90, 20, 1.1}, {110, 27, 2}}},
      {"11", 55, {{90, 18, 1.1}, {100, 21, 1.5}, {120, 29, 2}}},
      {"12", 60, {{95, 18, 1.1}, {110, 22, 1.5}, {130, 31, 2.1}}},
      {"13", 65, {{100, 18, 1.1}, {120, 23, 1.5}, {140, 33, 2.1}}},
      {"14", 70, {{110, 20, 1.1}, {125, 24, 1.5}, {150, 35, 2.1}}},
      {"15", 75, {{115, 20, 1.1}, {130, 25, 1.5}, {160, 37, 2.1}}},
      {"16", 80, {{125, 22, 1.1}, {140, 26, 2}, {170, 39, 2.1}}},
      {"17", 85, {{130, 22, 1.1}, {150, 28, 2}, {180, 41, 3}}},
      {"18", 90, {{140, 24, 1.5}, {160, 30, 2}, {190, 43, 3}}},
      {"19", 95, {{145, 24, 1.5}, {170, 32, 2.1}, {200, 45, 3}}},
      {"20", 100, {{150, 24, 1.5}, {180, 34, 2.1}, {215, 47, 3}}},
      {"21", 105, {{160, 26, 2}, {190, 36, 2.1}, {225, 49, 3}}},
      {"22", 110, {{170, 28, 2}, {200, 38, 2.1}, {240, 50, 3}}},
      {"24", 120, {{180, 28, 2}, {215, 40, 2.1}, {260, 55, 3}}},
  };
  for (const auto& r : rows)
    for (std::size_t k = 0; k < 3; ++k) {
      const std::string number = std::array{"60", "62", "63"}.at(k) + std::string{r.code};
      CAPTURE(number);
      const BearingSize s = size_by_name(number);
      CHECK(s.bore == r.bore);
      CHECK(s.outside_diameter == r.sizes[k].outside);
      CHECK(s.width == r.sizes[k].width);
      CHECK(s.chamfer == r.sizes[k].chamfer);
    }
}

TEST_CASE(
    "a dimension series is one size whatever the kind [src:a catalogue of angular contact "
    "bearings, confirmed: 35 x 72 x 17 in series 02]") {
  for (const char* text : {"6207", "7207 B", "NU207", "1207"}) {
    CAPTURE(text);
    CHECK(size_by_name(text).outside_diameter == 72);
    CHECK(size_by_name(text).width == 17);
  }
  CHECK(size_by_name("2207").outside_diameter == 72);
  CHECK(size_by_name("2207").width == 23);
  // [src:catalogue B, printed: 30207 35 x 72 x 18.25, 3207 27 wide, 51107 35 x 52 x 12]
  CHECK(size_by_name("30207").outside_diameter == 72);
  CHECK(size_by_name("30207").width == 18.25);
  CHECK(size_by_name("3207").width == 27);
  CHECK(size_by_name("51107").width == 12);
  // [src:tables of inch sizes, printed: R8 1/2 x 1 1/8 x 1/4 in, 5/16 with seals; 1614 3/8 x 1 1/8
  // x 3/8]
  CHECK(size_by_name("R8").width == 6.35);
  CHECK(size_by_name("R8-2RS").width == 7.938);
  CHECK(size_by_name("1614").outside_diameter == 28.575);
  CHECK(size_by_name("6203/16").bore == 16);
  CHECK(size_by_name("6203/16").outside_diameter == 40);
  CHECK(size_by_name("UC205").outside_diameter == 52);
  CHECK_FALSE(size_by_name("UC205").width);
  CHECK_FALSE(size_by_name("UC201").outside_diameter);
  CHECK_FALSE(size_by_name("29412").outside_diameter);
  CHECK(size_by_name("29412").source.find("manufacturer") != std::string::npos);
  CHECK_FALSE(size_by_name("6205").boundary()->width != 15);
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

TEST_CASE("the width tells the series") {
  const auto s = find_by_size({25.0, 52.0, 18.0}).value();
  REQUIRE_FALSE(s.fitting.empty());
  CHECK(s.fitting.front().width_fits);
  CHECK(has(s.fitting.front().designations, "22205"));
  CHECK(has(s.fitting.front().designations, "62205"));
  CHECK_FALSE(has(s.fitting.front().designations, "6205"));
  // A tapered bearing is not offered as a ball or cylindrical one.
  const auto tapered = find_by_size({40.0, 80.0, 19.75}).value();
  REQUIRE_FALSE(tapered.fitting.empty());
  CHECK(tapered.fitting.front().designations == std::vector<std::string>{"30208"});
  const auto other = find_by_size({25.0, 52.0, 34.0}).value();
  REQUIRE_FALSE(other.fitting.empty());
  CHECK_FALSE(other.fitting.front().width_fits);
}

TEST_CASE("measures that were taken in inches are noticed [src:closed-form 1 in = 25.4 mm]") {
  // 25 x 52 x 15 mm
  const auto s = find_by_size({0.9843, 2.0472, 0.5906}).value();
  CHECK(s.fitting.empty());
  CHECK(s.fits_in_inches);
  CHECK_FALSE(find_by_size(from_inches({0.9843, 2.0472, 0.5906})).value().fitting.empty());
  CHECK_FALSE(find_by_size({31.0, 52.0, 15.0}).value().fits_in_inches);
}

TEST_CASE("inch sizes are distinguished from metric ones [src:closed-form 1 in = 25.4 mm]") {
  const auto s = find_by_size(from_inches({0.5, 1.125, 0.25})).value();
  CHECK(s.inch == "1/2 x 1 1/8 x 1/4 in");
  REQUIRE_FALSE(s.fitting.empty());
  CHECK(has(s.fitting.front().designations, "R8"));
  const auto unlisted = find_by_size(from_inches({0.5, 1.25, 0.25})).value();
  CHECK(unlisted.inch == "1/2 x 1 1/4 x 1/4 in");
  CHECK(unlisted.fitting.empty());
  CHECK(unlisted.nearest.size() == 3);
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
