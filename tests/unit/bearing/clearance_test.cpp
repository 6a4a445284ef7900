#include "bearingdsp/bearing/clearance.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <string>

using namespace bearingdsp;

TEST_CASE(
    "clearances [src:iso5753-1 as in five manufacturers' catalogues, confirmed, rollers in two]") {
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

TEST_CASE(
    "every row up to 160 mm [src:iso5753-1, balls as in five manufacturers' catalogues that agree, "
    "rollers "
    "in two, confirmed]") {
  using enum ClearanceClass;
  // At the largest bore of each row, which still belongs to it, and just above that of the one
  // before.
  const auto hold = [](BearingType type, double low_bore, double bore, ClearanceClass c,
                       const double(&r)[2]) {
    for (const double d : {std::nextafter(low_bore, bore), bore}) {
      CAPTURE(d);
      const auto found = radial_clearance(type, c, d);
      REQUIRE(found);
      CHECK(found->low_um == r[0]);
      CHECK(found->high_um == r[1]);
    }
  };
  struct {
    double bore;
    double classes[5][2];
  } const balls[] = {
      {10, {{0, 7}, {2, 13}, {8, 23}, {14, 29}, {20, 37}}},
      {18, {{0, 9}, {3, 18}, {11, 25}, {18, 33}, {25, 45}}},
      {24, {{0, 10}, {5, 20}, {13, 28}, {20, 36}, {28, 48}}},
      {30, {{1, 11}, {5, 20}, {13, 28}, {23, 41}, {30, 53}}},
      {40, {{1, 11}, {6, 20}, {15, 33}, {28, 46}, {40, 64}}},
      {50, {{1, 11}, {6, 23}, {18, 36}, {30, 51}, {45, 73}}},
      {65, {{1, 15}, {8, 28}, {23, 43}, {38, 61}, {55, 90}}},
      {80, {{1, 15}, {10, 30}, {25, 51}, {46, 71}, {65, 105}}},
      {100, {{1, 18}, {12, 36}, {30, 58}, {53, 84}, {75, 120}}},
      {120, {{2, 20}, {15, 41}, {36, 66}, {61, 97}, {90, 140}}},
      {140, {{2, 23}, {18, 48}, {41, 81}, {71, 114}, {105, 160}}},
      {160, {{2, 23}, {18, 53}, {46, 91}, {81, 130}, {120, 180}}},
  };
  double before = 6;
  for (const auto& row : balls) {
    for (std::size_t k = 0; k < 5; ++k)
      hold(BearingType::deep_groove_ball, before, row.bore,
           std::array{c2, normal, c3, c4, c5}.at(k), row.classes[k]);
    before = row.bore;
  }
  struct {
    double bore;
    double classes[4][2];
  } const rollers[] = {
      {24, {{0, 25}, {20, 45}, {35, 60}, {50, 75}}},
      {30, {{0, 25}, {20, 45}, {35, 60}, {50, 75}}},
      {40, {{5, 30}, {25, 50}, {45, 70}, {60, 85}}},
      {50, {{5, 35}, {30, 60}, {50, 80}, {70, 100}}},
      {65, {{10, 40}, {40, 70}, {60, 90}, {80, 110}}},
      {80, {{10, 45}, {40, 75}, {65, 100}, {90, 125}}},
      {100, {{15, 50}, {50, 85}, {75, 110}, {105, 140}}},
      {120, {{15, 55}, {50, 90}, {85, 125}, {125, 165}}},
  };
  before = 10;
  for (const auto& row : rollers) {
    for (std::size_t k = 0; k < 4; ++k)
      hold(BearingType::cylindrical_roller, before, row.bore, std::array{c2, normal, c3, c4}.at(k),
           row.classes[k]);
    before = row.bore;
  }
}

TEST_CASE("clearance of electric motors [src:manufacturer's catalogue A, table 9.13, confirmed]") {
  struct {
    double bore, low, high;
  } const balls[] = {{18, 4, 11},  {30, 5, 12},   {50, 9, 17},
                     {80, 12, 22}, {120, 18, 30}, {160, 24, 38}};
  for (const auto& r : balls) {
    const auto c = radial_clearance(BearingType::deep_groove_ball, ClearanceClass::cm, r.bore);
    REQUIRE(c);
    CHECK(c->low_um == r.low);
    CHECK(c->high_um == r.high);
  }
  struct {
    double bore, low, high;
  } const rollers[] = {{40, 15, 30}, {50, 20, 35},  {65, 25, 40},
                       {80, 30, 45}, {100, 35, 55}, {120, 35, 60}};
  for (const auto& r : rollers) {
    const auto c = radial_clearance(BearingType::cylindrical_roller, ClearanceClass::cm, r.bore);
    REQUIRE(c);
    CHECK(c->low_um == r.low);
    CHECK(c->high_um == r.high);
  }
}

TEST_CASE(
    "every row from 160 to 500 mm, rollers from 120 [src:iso5753-1, from memory: C2 C3 C4 were not "
    "looked up]") {
  using enum ClearanceClass;
  struct Row {
    double over, to;
    double classes[4][2];
  };
  const Row balls[] = {
      {160, 180, {{2, 25}, {20, 61}, {53, 102}, {91, 147}}},
      {180, 200, {{2, 30}, {25, 71}, {63, 117}, {107, 163}}},
      {200, 225, {{2, 35}, {25, 85}, {75, 140}, {125, 195}}},
      {225, 250, {{2, 40}, {30, 95}, {85, 160}, {145, 225}}},
      {250, 280, {{2, 45}, {35, 105}, {90, 170}, {155, 245}}},
      {280, 315, {{2, 55}, {40, 115}, {100, 190}, {175, 270}}},
      {315, 355, {{3, 60}, {45, 125}, {110, 210}, {195, 300}}},
      {355, 400, {{3, 70}, {55, 145}, {130, 240}, {225, 340}}},
      {400, 450, {{3, 80}, {60, 170}, {150, 270}, {250, 380}}},
      {450, 500, {{3, 90}, {70, 190}, {170, 300}, {280, 420}}},
  };
  const Row rollers[] = {
      {120, 140, {{15, 60}, {60, 105}, {100, 145}, {145, 190}}},
      {140, 160, {{20, 70}, {70, 120}, {115, 165}, {165, 215}}},
      {160, 180, {{25, 75}, {75, 125}, {120, 170}, {170, 220}}},
      {180, 200, {{35, 90}, {90, 145}, {140, 195}, {195, 250}}},
      {200, 225, {{45, 105}, {105, 165}, {160, 220}, {220, 280}}},
      {225, 250, {{45, 110}, {110, 175}, {170, 235}, {235, 300}}},
      {250, 280, {{55, 125}, {125, 195}, {190, 260}, {260, 330}}},
      {280, 315, {{55, 130}, {130, 205}, {200, 275}, {275, 350}}},
      {315, 355, {{65, 145}, {145, 225}, {225, 305}, {305, 385}}},
      {355, 400, {{100, 190}, {190, 280}, {280, 370}, {370, 460}}},
      {400, 450, {{110, 210}, {210, 310}, {310, 410}, {410, 510}}},
      {450, 500, {{110, 220}, {220, 330}, {330, 440}, {440, 550}}},
  };
  const auto hold = [](BearingType type, const Row& row) {
    for (std::size_t k = 0; k < 4; ++k)
      for (const double bore : {std::nextafter(row.over, row.to), row.to}) {
        CAPTURE(bore);
        const auto found = radial_clearance(type, std::array{c2, normal, c3, c4}.at(k), bore);
        REQUIRE(found);
        CHECK(found->low_um == row.classes[k][0]);
        CHECK(found->high_um == row.classes[k][1]);
        CHECK(found->source.find("memory") != std::string::npos);
      }
  };
  for (const Row& row : balls) hold(BearingType::deep_groove_ball, row);
  for (const Row& row : rollers) hold(BearingType::cylindrical_roller, row);
}

TEST_CASE("clearance grows with class and bore, whatever its source") {
  using enum ClearanceClass;
  for (const auto type : {BearingType::deep_groove_ball, BearingType::cylindrical_roller}) {
    double before = 0;
    for (double bore = 25; bore <= 500; bore += 5) {
      CAPTURE(bore);
      double low = -1;
      for (const auto c : {c2, normal, c3, c4}) {
        const auto found = radial_clearance(type, c, bore);
        REQUIRE(found);
        CHECK(found->low_um > low);
        CHECK(found->high_um > found->low_um);
        low = found->low_um;
      }
      const double high = radial_clearance(type, c3, bore)->high_um;
      CHECK(high >= before);
      before = high;
    }
  }
}

TEST_CASE("no row, no number") {
  using enum ClearanceClass;
  CHECK_FALSE(radial_clearance(BearingType::deep_groove_ball, normal, 501));
  CHECK_FALSE(radial_clearance(BearingType::deep_groove_ball, c1, 25));
  CHECK_FALSE(radial_clearance(BearingType::cylindrical_roller, c5, 50));
  CHECK_FALSE(radial_clearance(BearingType::tapered_roller, c3, 50));
}
