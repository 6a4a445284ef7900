#include "bearingdsp/dsp/impulsiveness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <cstddef>
#include <numbers>
#include <vector>

#include "bearingdsp/simulate/random.hpp"
#include "support/close.hpp"

using namespace bearingdsp;

TEST_CASE(
    "impulsiveness: 3 for Gaussian noise, 1.5 for a tone, whatever tone lies below the noise "
    "[src:closed-form fourth moments of a normal variable and of a sine]") {
  constexpr std::size_t n = 200'000;
  Random random{3};
  std::vector<double> noise(n), tone(n), both(n);
  for (std::size_t i = 0; i < n; ++i) {
    noise[i] = random.normal();
    tone[i] = std::sin(2 * std::numbers::pi * 0.1237 * static_cast<double>(i));
    both[i] = noise[i] + 50 * std::sin(2 * std::numbers::pi * 0.001 * static_cast<double>(i));
  }
  CHECK(test::close_abs(impulsiveness(noise), 3, 0.06));
  CHECK(test::close_abs(impulsiveness(tone), 1.5, 0.001));
  CHECK(test::close_abs(impulsiveness(both), 3, 0.06));
}

TEST_CASE("impulsiveness: one impulse of n samples, and what has none [src:closed-form]") {
  // Second difference 1, -2, 1: sum of squares 6, of fourth powers 18.
  std::vector<double> x(1002, 0.0);
  x[500] = 1;
  CHECK(test::close_rel(impulsiveness(x), 18.0 / 36 * 1000, 1e-12));
  for (std::size_t i = 0; i < x.size(); ++i) x[i] = 0.5 * static_cast<double>(i);
  CHECK(impulsiveness(x) == 0);
  CHECK(impulsiveness({}) == 0);
}
