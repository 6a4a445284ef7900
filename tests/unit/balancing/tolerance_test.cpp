#include "bearingdsp/balancing/tolerance.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "support/close.hpp"

using namespace bearingdsp;
using test::close_rel;

TEST_CASE(
    "unbalance tolerance: U = 9549 G m / n [src:iso21940-11 formula, secondary, workshop "
    "references rows 5.1, 5.6, 5.7]") {
  const auto e = [](double g, double rpm) {
    return permissible_eccentricity_um(BalanceGrade{g}, Rpm{rpm}).value();
  };
  const auto u = [](double g, double rpm) {
    return permissible_unbalance(BalanceGrade{g}, Kilograms{120}, Rpm{rpm}).value().value();
  };
  CHECK(close_rel(e(2.5, 1480), 16.1, 3e-3));
  CHECK(close_rel(u(2.5, 1480), 1936, 3e-4));
  CHECK(close_rel(e(6.3, 1480), 40.6, 2e-3));
  CHECK(close_rel(u(6.3, 1480), 4878, 3e-4));
  CHECK(close_rel(e(2.5, 2970), 8.0, 5e-3));
  CHECK(close_rel(u(2.5, 2970), 965, 1e-3));
  CHECK(close_rel(u(6.3, 2970), 2431, 1e-3));
  CHECK_FALSE(permissible_unbalance(BalanceGrade{0}, Kilograms{1}, Rpm{1}));
  CHECK_FALSE(permissible_unbalance(BalanceGrade{1}, Kilograms{-1}, Rpm{1}));
  CHECK_FALSE(permissible_unbalance(BalanceGrade{1}, Kilograms{1}, Rpm{std::nan("")}));
}

TEST_CASE(
    "unbalance tolerance: ounce inches by the second form of the formula [src:workshop references "
    "row 5.2, U = 6.015 G lb / rpm, secondary]") {
  const double lb = 0.45359237, oz_in = 28.349523125 * 25.4;
  const double u =
      permissible_unbalance(BalanceGrade{6.3}, Kilograms{100 * lb}, Rpm{1800})->value() / oz_in;
  CHECK(close_rel(u, 6.015 * 6.3 * 100 / 1800, 1e-3));
}

TEST_CASE("unbalance tolerance: the grade is the inverse, and scales [src:closed-form]") {
  for (const double g : {1.0, 2.5, 6.3, 16.0})
    for (const double rpm : {600.0, 1480.0, 2970.0}) {
      const auto u = permissible_unbalance(BalanceGrade{g}, Kilograms{37}, Rpm{rpm}).value();
      CHECK(close_rel(grade_of(u, Kilograms{37}, Rpm{rpm})->value(), g, 1e-12));
      CHECK(close_rel(permissible_unbalance(BalanceGrade{g}, Kilograms{74}, Rpm{2 * rpm})->value(),
                      u.value(), 1e-12));
    }
}

TEST_CASE(
    "unbalance tolerance: shares of the bearings by the distances, within the limits "
    "[src:iso21940-11 allocation, limits from memory 85 %]") {
  const auto share = [](double a, double b, bool overhung = false) {
    return allocate_to_bearings(GramMillimetres{1000}, {Millimetres{a}, Millimetres{b}, overhung})
        .value();
  };
  CHECK(share(100, 100).a == GramMillimetres{500});
  const auto nearer = share(100, 150);  // nearer to A: A carries more
  CHECK(close_rel(nearer.a.value(), 600, 1e-12));
  CHECK(close_rel(nearer.b.value(), 400, 1e-12));
  CHECK_FALSE(nearer.limited);
  const auto limited = share(50, 450);
  CHECK(close_rel(limited.a.value(), 700, 1e-12));
  CHECK(close_rel(limited.b.value(), 300, 1e-12));
  CHECK(limited.limited);
  // Overhung beyond B: A 400 mm, B 100 mm, the bearings 300 mm apart: shares 1/3 and 4/3.
  const auto overhung = share(400, 100, true);
  CHECK(close_rel(overhung.a.value(), 1000.0 / 3, 1e-12));
  CHECK(close_rel(overhung.b.value(), 1300, 1e-12));
  CHECK(overhung.limited);
  CHECK_FALSE(allocate_to_bearings(GramMillimetres{1}, {Millimetres{1}, Millimetres{1}, true}));
  CHECK_FALSE(allocate_to_bearings(GramMillimetres{1}, {Millimetres{0}, Millimetres{1}, false}));
}

TEST_CASE(
    "unbalance tolerance: the grade of a machine by what it drives [src:workshop references rows "
    "5.4, 5.5, 6.29, partly memory]") {
  Machine m;
  m.name = "m";
  CHECK_FALSE(grade_for(m));
  m.rated_speed = Rpm{950};
  CHECK(grade_for(m)->grade == BalanceGrade{6.3});
  m.rated_speed = Rpm{951};
  CHECK(grade_for(m)->grade == BalanceGrade{2.5});
  m.driven = DrivenMachine::pump;
  CHECK(grade_for(m)->grade == BalanceGrade{6.3});
  m.driven = DrivenMachine::fan;
  CHECK(grade_for(m)->grade == BalanceGrade{6.3});
  for (const auto& [category, grade] :
       {std::pair{FanCategory::bv1, 16.0}, std::pair{FanCategory::bv2, 16.0},
        std::pair{FanCategory::bv3, 6.3}, std::pair{FanCategory::bv4, 2.5},
        std::pair{FanCategory::bv5, 1.0}}) {
    m.fan_category = category;
    CHECK(grade_for(m)->grade == BalanceGrade{grade});
  }
  for (const auto& row : recommended_grades()) CHECK_FALSE(row.source.empty());
}
