#include "bearingdsp/condition/shock.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <stdexcept>

#include "support/close.hpp"
#include "support/vectors.hpp"

using namespace bearingdsp;

namespace {
void ring(std::vector<double>& x, std::size_t at, double amplitude) {
  for (std::size_t i = at; i < x.size() && i < at + 400; ++i) {
    const double t = static_cast<double>(i - at) / 20000;
    x[i] += amplitude * std::exp(-800 * t) * std::sin(2 * std::numbers::pi * 3000 * t);
  }
}
}  // namespace

TEST_CASE("one knock in noise is found where it is, and nothing in noise alone") {
  auto x = test::noise(100000, 4);
  CHECK(find_shocks(x, Hz{20000}).value().empty());
  ring(x, 43210, 60);
  const auto s = find_shocks(x, Hz{20000}).value();
  REQUIRE(s.size() == 1);
  CHECK(s[0].first <= 43210);
  CHECK(s[0].first + 200 > 43210);
  CHECK(s[0].last > 43230);
  CHECK(s[0].last < 43600);
  CHECK(s[0].ratio > 50);
}

TEST_CASE("repeating bursts of a bearing are no single shocks, a knock among them is") {
  auto x = test::noise(200000, 4);
  for (double& v : x) v *= 0.05;
  for (std::size_t i = 100; i + 400 < x.size(); i += 257) ring(x, i, 1);  // 78 bursts a second
  CHECK(find_shocks(x, Hz{20000}).value().empty());
  auto slow = test::noise(200000, 5);
  for (double& v : slow) v *= 0.02;
  for (std::size_t i = 100; i + 400 < slow.size(); i += 6000) ring(slow, i, 1);  // 3.3 a second
  CHECK(find_shocks(slow, Hz{20000}).value().empty());
  ring(x, 100000, 40);
  const auto s = find_shocks(x, Hz{20000}).value();
  REQUIRE(s.size() == 1);
  CHECK(s[0].first <= 100000);
  CHECK(s[0].last > 100000);
}

TEST_CASE("sines, silence and short records have no shocks, options are checked") {
  CHECK(find_shocks(test::sine(20000, 47.3, 20000), Hz{20000}).value().empty());
  CHECK(find_shocks(std::vector<double>(20000, 0.0), Hz{20000}).value().empty());
  CHECK(find_shocks(test::noise(100), Hz{20000}).value().empty());
  CHECK(find_shocks({}, Hz{20000}).value().empty());
  CHECK(find_shocks(test::noise(100), Hz{0}).error().code == Errc::bad_argument);
  CHECK(find_shocks(test::noise(100), Hz{1}, {.threshold = -1}).error().code == Errc::bad_argument);
}

TEST_CASE("weights are 0 in a shock, rise beside it and are 1 elsewhere") {
  const std::vector<Shock> s{{5, 10, 100}, {98, 100, 50}};
  const auto w = shock_weights(s, 100, 4);
  REQUIRE(w.size() == 100);
  for (std::size_t i = 5; i < 10; ++i) CHECK(w[i] == 0);
  CHECK(w[0] == 1);
  CHECK(w[14] == 1);
  CHECK(w[50] == 1);
  CHECK(w[99] == 0);
  for (std::size_t i = 10; i < 13; ++i) CHECK(w[i] < w[i + 1]);
  CHECK(shock_weights({}, 3, 2) == std::vector<double>{1, 1, 1});
  const std::vector<Shock> outside{{5, 11, 1}};
  CHECK_THROWS_AS((void)shock_weights(outside, 10, 1), std::invalid_argument);
}
