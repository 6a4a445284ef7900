#include "bearingdsp/history/growth.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <vector>

#include "support/close.hpp"
#include "support/vectors.hpp"

using namespace bearingdsp;
using test::close_rel;

namespace {
double rising(const std::vector<double>& y) { return rising_by_chance(y); }
}  // namespace

TEST_CASE("growth: one order of n! rises throughout, all fall no further [src:closed-form]") {
  CHECK(close_rel(rising({1, 2}), 1.0 / 2, 1e-12));
  CHECK(close_rel(rising({1, 2, 3, 4, 5}), 1.0 / 120, 1e-12));
  CHECK(close_rel(rising({1, 2, 3, 4, 5, 6, 7, 8}), 1.0 / 40320, 1e-12));
  CHECK(close_rel(rising({5, 4, 3, 2, 1}), 1.0, 1e-12));
  CHECK(close_rel(rising({2, 2, 2, 2}), 0.625, 1e-12));  // 15 of 24 orders: at most 3 inversions
}

TEST_CASE("growth: the chance is the share of all orders, counted one by one [src:enumeration]") {
  const std::vector<double> y{2, 1, 4, 3, 6, 5};
  const auto score = [](const std::vector<double>& v) {
    int s = 0;
    for (std::size_t i = 0; i < v.size(); ++i)
      for (std::size_t j = i + 1; j < v.size(); ++j) s += v[j] > v[i] ? 1 : -1;
    return s;
  };
  std::vector<double> order{1, 2, 3, 4, 5, 6};
  int as_good = 0;
  int all = 0;
  do {
    ++all;
    if (score(order) >= score(y)) ++as_good;
  } while (std::next_permutation(order.begin(), order.end()));
  CHECK(close_rel(rising(y), static_cast<double>(as_good) / all, 1e-12));
}

TEST_CASE("growth: the score counts pairs, ties as neither [src:closed-form]") {
  CHECK(rising_score(std::vector<double>{1, 2, 3}) == 3);
  CHECK(rising_score(std::vector<double>{3, 2, 1}) == -3);
  CHECK(rising_score(std::vector<double>{1, 1, 2}) == 2);
  CHECK(rising_score({}) == 0);
}

TEST_CASE("growth: beyond forty values the approximation meets the exact chance") {
  std::vector<double> y;
  for (int i = 0; i < 40; ++i)
    y.push_back(i % 3 == 0 ? i + 9 : i % 7 == 0 ? i - 20 : (i * 17) % 41);
  const double exact = rising(y);
  y.push_back(20);
  const double approximate = rising(y);
  CHECK(exact > 1e-4);
  CHECK(exact < 0.5);
  CHECK(approximate < 2 * exact);
  CHECK(approximate > exact / 2);
  CHECK_THROWS_AS(static_cast<void>(rising({1})), std::invalid_argument);
}

TEST_CASE("growth: a straight line is found whatever a few points do [src:closed-form]") {
  std::vector<double> x;
  std::vector<double> y;
  for (int i = 0; i < 20; ++i) {
    x.push_back(i + 0.1 * (i % 3));
    y.push_back(3 - 0.5 * x.back());
  }
  y[4] += 1000;
  y[15] -= 500;
  const RobustLine line = robust_line(x, y);
  CHECK(close_rel(line.slope, -0.5, 1e-12));
  CHECK(close_rel(line.intercept, 3, 1e-12));
  CHECK(line.scatter < 1e-12);
  CHECK_THROWS_AS(static_cast<void>(robust_line(x, std::vector<double>{1})), std::invalid_argument);
  const std::vector<double> same{1, 1, 1};
  CHECK_THROWS_AS(static_cast<void>(robust_line(same, same)), std::invalid_argument);
}

TEST_CASE(
    "growth: the exact chances of Kendall's table [src:kendall1948 appendix table 1, from "
    "memory]") {
  struct Row {
    std::size_t n;
    int score;
    double chance;  ///< of that score or a higher one, as printed
  };
  for (const Row& row :
       {Row{4, 4, 0.167}, Row{4, 6, 0.042}, Row{5, 6, 0.117}, Row{5, 8, 0.042}, Row{8, 16, 0.031},
        Row{10, 1, 0.500}, Row{10, 11, 0.190}, Row{10, 17, 0.078}, Row{10, 21, 0.036},
        Row{10, 23, 0.023}, Row{10, 25, 0.014}, Row{10, 27, 0.0083}}) {
    CAPTURE(row.n);
    CAPTURE(row.score);
    CHECK(test::close_abs(chance_of_score(row.n, row.score), row.chance, 5.1e-4));
  }
}

TEST_CASE(
    "growth: chance of a rise and line through it are SciPy's [src:tests/reference, scipy 1.10]") {
  const auto& rows = test::load_vectors("trend_vectors.json").at("rises");
  REQUIRE(rows.size() == 21);
  for (const auto& row : rows) {
    const auto x = test::doubles(row.at("x"));
    const auto y = test::doubles(row.at("y"));
    const double chance = row.at("chance");
    CAPTURE(x.size());
    CAPTURE(chance);
    CAPTURE(rising(y));
    // Theirs is exact at any length; ours is the normal approximation with correction for
    // continuity above 40, whose far tail is too thick: never less than the chance, and less than
    // twice as large here.
    if (x.size() <= 40) {
      CHECK(close_rel(rising(y), chance, 1e-9));
    } else {
      CHECK(rising(y) > chance);
      CHECK(rising(y) < 2 * chance);
    }
    const RobustLine line = robust_line(x, y);
    CHECK(close_rel(line.slope, row.at("slope"), 1e-9));
    CHECK(test::close_abs(line.intercept, row.at("intercept"), 1e-7));
  }
}

TEST_CASE("growth: a drift is a steady rise or fall that gained enough [src:closed-form]") {
  const std::vector<double> x{0, 1, 2, 3, 4, 5, 6, 7};
  const std::vector<double> rises{0, 1, 2, 3, 4, 5, 6, 7};
  const auto rise = drift_of(x, rises);
  REQUIRE(rise);
  CHECK(close_rel(rise->gain, 7, 1e-12));
  CHECK(close_rel(rise->line.slope, 1, 1e-12));
  const std::vector<double> falls{7, 6, 5, 4, 3, 2, 1, 0};
  CHECK(close_rel(drift_of(x, falls)->gain, -7, 1e-12));
  // Steady, but less than 3 in all; and much, but in no order.
  const std::vector<double> little{0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7};
  CHECK_FALSE(drift_of(x, little));
  const std::vector<double> scattered{0, 7, 1, 6, 2, 5, 3, 4};
  CHECK_FALSE(drift_of(x, scattered));
  // Four in ascending order come up once in 24 draws: too often for 1 %, not for 5 %.
  const std::vector<double> x4{0, 1, 2, 3};
  const std::vector<double> y4{0, 2, 4, 6};
  CHECK_FALSE(drift_of(x4, y4));
  CHECK(drift_of(x4, y4, {0.05, 3, 3}));
  CHECK_FALSE(drift_of(std::vector<double>{1, 1, 1, 1}, y4, {0.05, 3, 3}));
  CHECK_THROWS_AS(static_cast<void>(drift_of(x, y4)), std::invalid_argument);
}
