#include "bearingdsp/capture/glitch.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <stdexcept>
#include <vector>

#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "support/close.hpp"
#include "support/orders.hpp"
#include "support/vectors.hpp"

using namespace bearingdsp;
using test::close_abs;

TEST_CASE("single and double wrong samples are found where they are [src:simulated signal]") {
  auto x = test::noise(100000, 4);
  CHECK(find_glitches(x, Hz{25600}).empty());
  x[5000] += 50;
  x[40000] -= 1000;
  x[70000] += 60;
  x[70001] += 55;
  x[0] = 90;
  const auto found = find_glitches(x, Hz{25600});
  REQUIRE(found.size() == 4);
  CHECK(found[0].first == 0);
  CHECK(found[1].first == 5000);
  CHECK(found[1].count == 1);
  CHECK(found[2].first == 40000);
  CHECK(found[3].first == 70000);
  CHECK(found[3].count == 2);
  const auto y = without_glitches(x, found);
  CHECK(close_abs(y[5000], (x[4999] + x[5001]) / 2, 1e-12));
  CHECK(close_abs(y[70000], x[69999] + (x[70002] - x[69999]) / 3, 1e-12));
  CHECK(close_abs(y[70001], x[69999] + 2 * (x[70002] - x[69999]) / 3, 1e-12));
  CHECK(y[0] == x[1]);
  CHECK(y[6000] == x[6000]);
}

TEST_CASE("impacts that ring, sines and steps are no glitches [src:simulated signal]") {
  for (const Part part : {Part::outer_ring, Part::inner_ring, Part::rolling_element, Part::cage}) {
    for (const double rate : {12000.0, 25600.0, 51200.0}) {
      SimulationPlan p;
      p.rate = Hz{rate};
      p.noise = 0.1;
      p.orders = test::orders_of(9, 3.585, 5.415, 2.357, 0.398);
      p.resonances = {{Hz{2200}, 0.08, 1}, {Hz{0.36 * rate}, 0.08, 0.7}};
      SimulatedDefect d;
      d.part = part;
      d.severity = 60;
      p.defects = {d};
      const auto made = simulate(p).value();
      CHECK(find_glitches(made.capture.channels[0].samples, p.rate).empty());
    }
  }
  CHECK(find_glitches(test::sine(20000, 47.3, 20000), Hz{20000}).empty());
  std::vector<double> step(20000, 0.0);
  for (std::size_t i = 10000; i < step.size(); ++i) step[i] = 5;
  CHECK(find_glitches(step, Hz{20000}).empty());
}

TEST_CASE("impulses that keep a rate are part of the signal [src:simulated signal]") {
  auto x = test::noise(102400, 4);
  for (std::size_t i = 77; i < x.size(); i += 256) x[i] += 40;  // 100 a second: a rectifier
  CHECK(find_glitches(x, Hz{25600}).empty());
  auto y = test::noise(25600, 4);
  for (std::size_t i = 10; i < y.size(); i += 97 + i % 7) y[i] += 40;
  CHECK(find_glitches(y, Hz{25600}).empty());
}

TEST_CASE("odd input has no glitches, wrong places are refused [src:contract]") {
  CHECK(find_glitches({}, Hz{25600}).empty());
  CHECK(find_glitches(test::noise(63), Hz{25600}).empty());
  CHECK(find_glitches(test::noise(1000), Hz{0}).empty());
  auto x = test::noise(1000);
  x[10] = std::numeric_limits<double>::quiet_NaN();
  CHECK(find_glitches(x, Hz{25600}).empty());
  CHECK(find_glitches(std::vector<double>(1000, 3.0), Hz{25600}).empty());
  const std::vector<Glitch> outside{{999, 2}};
  CHECK_THROWS_AS((void)without_glitches(x, outside), std::invalid_argument);
  const std::vector<Glitch> all{{0, 2}};
  CHECK(without_glitches(std::vector<double>{1, 2}, all) == std::vector<double>{1, 2});
}
