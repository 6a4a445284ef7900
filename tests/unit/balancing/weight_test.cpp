#include "bearingdsp/balancing/weight.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>

#include "support/close.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

TEST_CASE("balance weights: a vector and back, angles from 0 to 360 [src:closed-form polar form]") {
  const auto v = vector_of({Grams{10}, Degrees{30}});
  CHECK(close_rel(v.real(), 10 * std::sqrt(3.0) / 2, 1e-12));
  CHECK(close_rel(v.imag(), 5, 1e-12));
  for (const double angle : {0.0, 43.5, 180.0, 359.0}) {
    const BalanceWeight w = weight_of(vector_of({Grams{7}, Degrees{angle}}));
    CHECK(close_rel(w.mass.value(), 7, 1e-12));
    CHECK(close_abs(w.angle.value(), angle, 1e-9));
  }
  // Material taken away is a weight on the opposite side.
  CHECK(close_abs(weight_of(vector_of({Grams{-3}, Degrees{20}})).angle.value(), 200, 1e-9));
  CHECK(angle_of({1, -1e-30}).value() == 0);
  CHECK_FALSE(std::signbit(angle_of({1, -0.0}).value()));  // "-0.0 degrees" is not shown
}

TEST_CASE(
    "balance weights: split onto two positions is the parallelogram [src:closed-form sines]") {
  // 10 g at 30 degrees between positions at 0 and 90: 10 cos 30 and 10 sin 30.
  const auto s = split_weight({Grams{10}, Degrees{30}}, {4, Degrees{0}, {}}).value();
  REQUIRE(s.parts.size() == 2);
  CHECK(s.parts[0].position == 1);
  CHECK(close_rel(s.parts[0].mass.value(), 8.660254037844387, 1e-12));
  CHECK(s.parts[1].position == 2);
  CHECK(close_rel(s.parts[1].mass.value(), 5, 1e-12));
  CHECK(close_rel(s.mounted.mass.value(), 10, 1e-12));
  CHECK(close_abs(s.mounted.angle.value(), 30, 1e-9));
}

TEST_CASE("balance weights: the sum of the parts is the weight, at every angle and count") {
  for (const int count : {3, 4, 5, 8, 12, 24, 360})
    for (double angle = -10; angle < 400; angle += 17.3) {
      const BalanceWeight w{Grams{12.5}, Degrees{angle}};
      const auto s = split_weight(w, {count, Degrees{11}, {}});
      REQUIRE(s);
      CHECK(std::abs(vector_of(w) - vector_of(s->mounted)) < 1e-9);
      for (const auto& p : s->parts) CHECK(p.mass.value() >= 0);
    }
}

TEST_CASE("balance weights: on a position there is one part, and blocked ones are passed over") {
  const auto one = split_weight({Grams{10}, Degrees{360}}, {6, Degrees{0}, {}}).value();
  REQUIRE(one.parts.size() == 1);
  CHECK(one.parts[0].position == 1);
  const auto passed = split_weight({Grams{10}, Degrees{50}}, {6, Degrees{0}, {2}}).value();
  REQUIRE(passed.parts.size() == 2);
  CHECK(passed.parts[0].position == 1);
  CHECK(passed.parts[1].position == 3);
  CHECK(std::abs(vector_of(passed.mounted) - vector_of({Grams{10}, Degrees{50}})) < 1e-9);
  // 180 degrees apart they cannot make a vector between them.
  CHECK_FALSE(split_weight({Grams{10}, Degrees{50}}, {4, Degrees{0}, {2}}));
  CHECK_FALSE(split_weight({Grams{10}, Degrees{50}}, {3, Degrees{0}, {1}}));
  CHECK_FALSE(split_weight({Grams{10}, Degrees{50}}, {2, Degrees{0}, {}}));
  CHECK_FALSE(split_weight({Grams{10}, Degrees{50}}, {8, Degrees{0}, {9}}));
  CHECK_FALSE(split_weight({Grams{10}, Degrees{50}}, {8, Degrees{0}, {}}, Grams{-1}));
}

TEST_CASE("balance weights: with pieces of a given mass each part is a whole number of them") {
  const auto s = split_weight({Grams{10}, Degrees{30}}, {4, Degrees{0}, {}}, Grams{5}).value();
  CHECK(s.parts[0].mass == Grams{10});  // 8.66 to 10
  CHECK(s.parts[1].mass == Grams{5});
  CHECK(close_rel(s.mounted.mass.value(), std::sqrt(125.0), 1e-12));
  // Less than half a piece is none.
  CHECK(split_weight({Grams{1}, Degrees{30}}, {4, Degrees{0}, {}}, Grams{5})->parts.empty());
}

TEST_CASE(
    "balance weights: force of 1936 g mm at 1480 rpm is 46.5 N [src:workshop references row 5.8, "
    "derived]") {
  CHECK(close_rel(unbalance_force(GramMillimetres{1936}, Rpm{1480}).value(), 46.5, 1e-3));
  CHECK(unbalance_of(Grams{20}, Millimetres{140}) == GramMillimetres{2800});
}

TEST_CASE(
    "balance weights: the trial weight pulls with 5 to 10 % of the rotor's weight share "
    "[src:workshop references row 5.11, memory 90 %]") {
  const auto t = trial_weight(Kilograms{120}, 2, Rpm{1480}, Millimetres{140}).value();
  const double share = 60 * 9.80665;
  CHECK(close_rel(t.force_low.value(), 0.05 * share, 1e-12));
  CHECK(close_rel(t.force_high.value(), 0.10 * share, 1e-12));
  CHECK(close_rel(unbalance_force(unbalance_of(t.high, Millimetres{140}), Rpm{1480}).value(),
                  t.force_high.value(), 1e-12));
  CHECK(close_rel(trial_weight(Kilograms{120}, 1, Rpm{1480}, Millimetres{140})->high.value(),
                  2 * t.high.value(), 1e-12));
  CHECK_FALSE(trial_weight(Kilograms{0}, 1, Rpm{1480}, Millimetres{140}));
  CHECK_FALSE(trial_weight(Kilograms{120}, 3, Rpm{1480}, Millimetres{140}));
  CHECK_FALSE(trial_weight(Kilograms{120}, 1, Rpm{0}, Millimetres{140}));
}
