#include "bearingdsp/dsp/resample.hpp"

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
constexpr double pi = std::numbers::pi;
}

TEST_CASE("a sine below 0.9 Nyquist is read between samples within 3e-5 [src:header's bound]") {
  double worst = 0;
  for (const double nu : {0.01, 0.3, 0.7, 0.85, 0.9}) {  // fraction of Nyquist
    const auto x = test::sine(2000, nu, 2, 1, 0.4);
    std::vector<double> at;
    for (double p = 40; p < 1950; p += 0.7310001) at.push_back(p);
    const auto y = interpolate_at(x, at);
    for (std::size_t i = 0; i < at.size(); ++i)
      worst = std::max(worst, std::abs(y[i] - std::sin(pi * nu * at[i] + 0.4)));
  }
  CHECK(worst < 3e-5);
}

TEST_CASE("samples and constants are kept") {
  const auto x = test::noise(300, 1);
  std::vector<double> at(300);
  for (std::size_t i = 0; i < at.size(); ++i) at[i] = static_cast<double>(i);
  const auto y = interpolate_at(x, at);
  for (std::size_t i = 0; i < x.size(); ++i) CHECK(close_abs(y[i], x[i], 1e-13));
  const std::vector<double> level(50, 3.0);
  for (const double v : interpolate_at(level, std::vector<double>{0, 0.5, 17.123, 48.999, 49}))
    CHECK(close_abs(v, 3, 1e-13));
  for (const double v : decimate(level, 7)) CHECK(close_abs(v, 3, 1e-13));
}

TEST_CASE("change of rate keeps sines in band and stops what would alias [src:header's bound]") {
  for (const double ratio : {0.31, 2.0 / 3.0, 1.0, 1.7, 4.0}) {
    CAPTURE(ratio);
    const double edge = std::min(1.0, ratio);
    const auto x = test::sine(6000, 0.88 * edge, 2, 1, 0.1);
    const auto y = resample(x, ratio);
    CHECK(y.size() == static_cast<std::size_t>(std::floor(5999 * ratio + 1e-9)) + 1);
    double worst = 0;
    for (std::size_t i = y.size() / 10; i < y.size() * 9 / 10; ++i)
      worst = std::max(
          worst,
          std::abs(y[i] - std::sin(pi * 0.88 * edge * static_cast<double>(i) / ratio + 0.1)));
    CHECK(worst < 3e-5);
  }
  for (const std::size_t q : {2U, 5U, 12U}) {
    CAPTURE(q);
    const double edge = 1 / static_cast<double>(q);
    const auto keep = test::sine(9000, 0.88 * edge, 2);
    const auto stop = test::sine(9000, 1.12 * edge, 2);
    const auto y = decimate(keep, q);
    const auto z = decimate(stop, q);
    CHECK(y.size() == (9000 - 1) / q + 1);
    for (std::size_t i = y.size() / 10; i < y.size() * 9 / 10; ++i) {
      CHECK(close_abs(y[i], keep[i * q], 3e-5));
      CHECK(std::abs(z[i]) < 3e-5);
    }
  }
}

TEST_CASE("awkward lengths and a caller's mistakes") {
  CHECK(close_abs(interpolate_at(std::vector<double>{4}, std::vector<double>{0, 0})[1], 4, 1e-14));
  CHECK(
      close_abs(interpolate_at(std::vector<double>{1, 3}, std::vector<double>{0.5})[0], 2, 1e-12));
  CHECK(interpolate_at(std::vector<double>{1, 3}, {}).empty());
  CHECK(close_abs(resample(std::vector<double>{5}, 3).at(0), 5, 1e-14));
  CHECK(decimate(std::vector<double>{1, 2, 3}, 1) == std::vector<double>{1, 2, 3});
  CHECK(decimate(std::vector<double>{1, 2, 3}, 3).size() == 1);
  CHECK_THROWS_AS((void)interpolate_at({}, {}), std::invalid_argument);
  CHECK_THROWS_AS((void)interpolate_at(std::vector<double>{1, 3}, std::vector<double>{1.1}),
                  std::invalid_argument);
  CHECK_THROWS_AS(
      (void)interpolate_at(std::vector<double>{1, 3}, std::vector<double>{std::nan("")}),
      std::invalid_argument);
  CHECK_THROWS_AS((void)resample(std::vector<double>{1, 3}, 0), std::invalid_argument);
  CHECK_THROWS_AS((void)decimate(std::vector<double>{1, 3}, 0), std::invalid_argument);
}
