#include "verdict/steadiness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "bearingdsp/simulate/random.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "support/orders.hpp"

using namespace bearingdsp;

namespace {

constexpr double sampling = 10000;

/// A sine whose frequency changes evenly by `change` over 4 s, in noise of the same strength.
std::vector<double> tone(double f, double change) {
  constexpr double seconds = 4;
  Random random{7, 1};
  std::vector<double> x;
  for (int i = 0; i < static_cast<int>(seconds * sampling); ++i) {
    const double t = i / sampling;
    const double turns = f * t * (1 + change * (t / (2 * seconds) - 0.5));
    x.push_back(std::sin(2 * std::numbers::pi * turns) + random.normal());
  }
  return x;
}

bool steady(const std::vector<double>& x, double rate) {
  FftPlans plans;
  const SignalView axis{x, Hz{sampling}, SampleUnit::acceleration};
  return steady_harmonic({&axis, 1}, Hz{rate}, {{Hz{50}}, {}}, plans);
}

double left(const SimulationPlan& plan) {
  const Capture c = simulate(plan)->capture;
  FftPlans plans;
  return impulsiveness_left(record_spectrum(c.view(0), plans), shaft_rate(plan.speed),
                            {{Hz{50}}, {}}, plans);
}

/// The highest hump in the spectrum of the squared samples.
double hump(const SimulationPlan& plan) {
  const Capture c = simulate(plan)->capture;
  std::vector<double> squares{c.channels.at(0).samples.begin(), c.channels.at(0).samples.end()};
  for (double& v : squares) v *= v;
  FftPlans plans;
  const SignalView envelope{squares, c.rate, SampleUnit::uncalibrated};
  return smeared_impacts({&envelope, 1}, shaft_rate(plan.speed), {}, plans);
}

SimulationPlan noise() {
  SimulationPlan p;
  p.rate = Hz{20000};
  p.duration = Seconds{4};
  p.orders = test::nine_elements();
  return p;
}

}  // namespace

TEST_CASE("a line that keeps its frequency shows a steady speed [src:closed form]") {
  CHECK(steady(tone(23.4, 0), 23.4));
  CHECK(steady(tone(46.8, 0), 23.4));  // 2x
  CHECK(steady(tone(23.4, 0), 24.2));  // of a speed that is only nominal
  CHECK_FALSE(steady(tone(23.4, 0.1), 23.4));
  CHECK_FALSE(steady(tone(50, 0), 49.5));  // the supply's
  CHECK_FALSE(steady(tone(1000, 0), 23.4));
}

// The kurtosis of noise is 3; without its strongest events it is a little less.
TEST_CASE("impacts of the supply and single knocks are no bearing's [src:simulated truth]") {
  const double impulsive = ModelParameters{}.motion.impulsive;
  CHECK(left(noise()) < impulsive);
  CHECK(left(noise()) > 2.8);
  SimulationPlan p = noise();
  p.electrical_impulses = 6;
  CHECK(left(p) < impulsive);
  p = noise();
  p.shocks_per_second = 2;
  p.shock_peak = 20;
  CHECK(left(p) < impulsive);
  p = noise();
  for (const double drift : {0.0, 1.0}) {
    p.speed_drift = drift;
    p.defects = {{.part = Part::outer_ring, .severity = 12}};
    CHECK(left(p) > 1.5 * impulsive);
  }
}

// Noise has no hump, an even rate without slip leaves single lines, and one that changes by a
// quarter spreads them over a quarter of their frequency.
TEST_CASE("impacts at a changing rate make a hump [src:simulated truth]") {
  const double least = ModelParameters{}.motion.hump;
  SimulationPlan p = noise();
  CHECK(hump(p) < 0.7 * least);
  p.shaft_harmonics = {3, 1, 1};
  p.electrical_impulses = 6;
  CHECK(hump(p) < 0.7 * least);
  p = noise();
  p.defects = {{.part = Part::outer_ring, .severity = 6}};
  p.defects[0].slip = 0;
  CHECK(hump(p) < 0.7 * least);
  p.speed_drift = 0.25;
  CHECK(hump(p) > 1.5 * least);
}
