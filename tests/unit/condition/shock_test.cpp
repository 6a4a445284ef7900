#include "bearingdsp/condition/shock.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "support/close.hpp"
#include "support/vectors.hpp"

using namespace bearingdsp;
using test::close_abs;

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
  CHECK(find_shocks(x, Hz{20000}).value().all.empty());
  ring(x, 43210, 60);
  const auto s = find_shocks(x, Hz{20000}).value();
  REQUIRE(s.all.size() == 1);
  CHECK(s.all[0].first <= 43210);
  CHECK(s.all[0].first + 200 > 43210);
  CHECK(s.all[0].last > 43230);
  CHECK(s.all[0].last < 43600);
  CHECK(s.all[0].ratio > 50);
  CHECK(close_abs(s.share, static_cast<double>(s.all[0].last - s.all[0].first) / 100000, 1e-12));
}

TEST_CASE("repeating bursts of a bearing are no isolated shocks, a knock among them is") {
  auto x = test::noise(200000, 4);
  for (double& v : x) v *= 0.05;
  for (std::size_t i = 100; i + 400 < x.size(); i += 257) ring(x, i, 1);  // 78 bursts a second
  CHECK(find_shocks(x, Hz{20000}).value().all.empty());
  auto slow = test::noise(200000, 5);
  for (double& v : slow) v *= 0.02;
  for (std::size_t i = 100; i + 400 < slow.size(); i += 6000) ring(slow, i, 1);  // 3.3 a second
  CHECK(find_shocks(slow, Hz{20000}).value().all.empty());
  ring(slow, 101000, 40);
  CHECK(find_shocks(slow, Hz{20000}).value().all.size() == 1);
  ring(x, 100000, 40);
  const auto s = find_shocks(x, Hz{20000}).value();
  REQUIRE(s.all.size() == 1);
  CHECK(s.all[0].first <= 100000);
  CHECK(s.all[0].last > 100000);
}

TEST_CASE("knocks at random are brought down, and only they [src:simulated signal]") {
  auto quiet = test::noise(80000, 4);
  const auto shaft = test::sine(80000, 25, 20000);
  for (std::size_t i = 0; i < quiet.size(); ++i) quiet[i] += 10 * shaft[i];
  auto x = quiet;
  const std::vector<std::size_t> at{1234, 9000, 9900, 22222, 30001, 41000, 47777, 60123, 77001};
  for (const std::size_t i : at) ring(x, i, 200);
  const auto s = find_shocks(x, Hz{20000}).value();
  REQUIRE(s.all.size() == at.size());
  const auto y = without_shocks(x, Hz{20000}, s);
  for (std::size_t k = 0; k < at.size(); ++k) {
    CHECK(s.all[k].first <= at[k]);
    CHECK(s.all[k].last > at[k]);
    // Of 200 a few times the noise is left, and below 500 Hz the push of the knock, some 10 (200
    // over 2 pi 3000 Hz, within a millisecond); the shaft's line runs on.
    double most = 0;
    for (std::size_t i = at[k]; i < at[k] + 400; ++i)
      most = std::max(most, std::abs(y[i] - 10 * shaft[i]));
    CHECK(most < 17);
  }
  CHECK(y[20000] == x[20000]);
  CHECK(without_shocks(quiet, Hz{20000}, {}) == quiet);
}

TEST_CASE("sines, silence and short recordings have no shocks, options are checked") {
  CHECK(find_shocks(test::sine(20000, 47.3, 20000), Hz{20000}).value().all.empty());
  CHECK(find_shocks(std::vector<double>(20000, 0.0), Hz{20000}).value().all.empty());
  CHECK(find_shocks(test::noise(100), Hz{20000}).value().all.empty());
  CHECK(find_shocks({}, Hz{20000}).value().all.empty());
  CHECK(find_shocks(test::noise(100), Hz{0}).error().code == Errc::bad_argument);
  for (const ShockOptions& bad :
       {ShockOptions{.window = Seconds{0}}, ShockOptions{.usual_share = 1},
        ShockOptions{.over_bursts = 0}, ShockOptions{.max_per_second = 0}})
    CHECK(find_shocks(test::noise(100), Hz{1}, bad).error().code == Errc::bad_argument);
  const Shocks outside{.all = {{5, 1001, 1}}, .usual = 1, .share = 0};
  CHECK_THROWS_AS((void)without_shocks(test::noise(1000), Hz{20000}, outside),
                  std::invalid_argument);
}
