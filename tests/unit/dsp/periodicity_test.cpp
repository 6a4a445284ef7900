#include "bearingdsp/dsp/periodicity.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <stdexcept>
#include <vector>

#include "bearingdsp/simulate/random.hpp"
#include "support/close.hpp"

using namespace bearingdsp;
using test::close_rel;

namespace {

std::vector<double> at_random(std::size_t n, double duration, std::uint64_t seed) {
  Random random{seed};
  std::vector<double> t(n);
  for (double& v : t) v = duration * random.uniform();
  std::sort(t.begin(), t.end());
  return t;
}

/// Intervals that scatter by that share; some instants missing.
std::vector<double> series(double rate, double duration, double scatter, double kept,
                           std::uint64_t seed) {
  Random random{seed};
  std::vector<double> t;
  for (double now = 0.1; now < duration; now += (1 + scatter * random.normal()) / rate)
    if (random.uniform() <= kept) t.push_back(now);
  return t;
}

}  // namespace

TEST_CASE(
    "instants at random keep a rate as seldom as the chance says [src:mardia2000 6.3, from "
    "memory]") {
  for (const std::size_t n : {5U, 12U, 40U, 200U}) {
    int rare = 0;
    for (std::uint64_t seed = 1; seed <= 400; ++seed)
      if (strongest_period(at_random(n, 4, seed), 4).chance < 0.05) ++rare;
    // 5 % of 400 are 20; the charge for the rates tried is on the safe side.
    CHECK_MESSAGE(rare <= 28, n);
  }
}

TEST_CASE("even intervals are found, with slip and with instants missing [src:made series]") {
  const auto few = strongest_period(series(1.9, 4, 0, 1, 1), 4);
  CHECK(few.chance < 0.01);
  CHECK(close_rel(few.rate, 1.9, 0.05));
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const auto cage = strongest_period(series(9.8, 4, 0.01, 1, seed), 4);
    CHECK(cage.chance < 1e-6);
    CHECK(close_rel(cage.rate, 9.8, 0.02));
    CHECK(strongest_period(series(9.8, 4, 0.01, 0.5, seed), 4).chance < 0.01);
    // A minute of it: what the scatter adds up to does not matter.
    CHECK(strongest_period(series(9.8, 60, 0.02, 0.7, seed), 60).chance < 1e-9);
  }
}

TEST_CASE("too few instants are not judged, arguments are checked [src:contract]") {
  CHECK(strongest_period({}, 4).chance == 1);
  CHECK(strongest_period(std::vector<double>{1, 2, 3}, 4).chance == 1);
  CHECK_THROWS_AS((void)strongest_period({}, 0), std::invalid_argument);
  CHECK_THROWS_AS((void)strongest_period({}, 1, {.lowest = 0, .highest = 1}),
                  std::invalid_argument);
  CHECK_THROWS_AS((void)strongest_period({}, 1, {.lowest = 2, .highest = 1}),
                  std::invalid_argument);
}

TEST_CASE("rates above half the sample rate of the instants are not tried [src:Nyquist]") {
  std::vector<double> even;
  for (int i = 0; i < 40; ++i) even.push_back(0.1 * i);
  CHECK(strongest_period(even, 4).chance < 1e-6);
  CHECK(strongest_period(even, 4, {.lowest = 1.75, .highest = 60, .resolved = 20}).chance < 1e-6);
  CHECK(strongest_period(even, 4, {.lowest = 1.75, .highest = 60, .resolved = 8}).rate <= 8);
  // A recording of 1e300 s ends here, with nothing to say.
  for (double& t : even) t *= 1e300;
  CHECK(strongest_period(even, 4e300, {.resolved = 5e-301}).chance == 1);
}
