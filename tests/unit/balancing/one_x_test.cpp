#include "bearingdsp/balancing/one_x.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <numbers>

#include "bearingdsp/simulate/simulation.hpp"
#include "support/close.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

namespace {

constexpr double pi = std::numbers::pi;

/// x = amplitude cos(angle - lag), with 2x and a constant; the tacho steps up when the angle is a
/// whole revolution, at `mark` revolutions.
Capture rotor(double amplitude, double lag_deg, SampleUnit unit, double mark = 0.37,
              double hz = 24.7, double rate = 8192, double seconds = 8) {
  Capture c;
  c.source = "simulated";
  c.rate = Hz{rate};
  Channel x{"DE", unit, {}, {}}, tacho{"tacho", SampleUnit::revolution, {}, {}};
  for (std::size_t i = 0; i < static_cast<std::size_t>(rate * seconds); ++i) {
    const double turns = hz * static_cast<double>(i) / rate - mark;
    const double angle = 2 * pi * turns;
    x.samples.push_back(amplitude * std::cos(angle - lag_deg * pi / 180) +
                        0.4 * amplitude * std::cos(2 * angle + 1) + 0.3);
    // A ramp of one sample at the edge, as a converter sees it.
    const double phase = turns - std::floor(turns);
    const double step = hz / rate;
    tacho.samples.push_back(phase < step ? phase / step : phase < 0.1 ? 1.0 : 0.0);
  }
  c.channels = {x, tacho};
  return c;
}

double difference(double a, double b) { return std::remainder(a - b, 360); }

}  // namespace

TEST_CASE("1x: amplitude rms and lag of a velocity are recovered [src:closed-form]") {
  for (const double lag : {0.0, 40.0, 185.0, 310.0}) {
    const auto r = measure_one_x(rotor(0.006, lag, SampleUnit::velocity), "tacho").value();
    REQUIRE(r.channels.size() == 1);
    const OneX& c = r.channels[0];
    CHECK(c.unit == SampleUnit::velocity);
    CHECK(close_rel(std::abs(c.vector), 0.006 / std::sqrt(2.0), 1e-4));
    // The edge crosses half its height half a sample after the whole revolution.
    CHECK(close_abs(difference(angle_of(c.vector).value(), lag), 0, 1.0));
    CHECK(close_rel(r.speed.value(), 60 * 24.7, 1e-5));
    CHECK(r.revolutions >= 190);
  }
}

TEST_CASE("1x: acceleration and displacement become velocity [src:closed-form v = a/w, w s]") {
  const double omega = 2 * pi * 24.7;
  const auto of = [](double amplitude, double lag, SampleUnit unit) {
    return measure_one_x(rotor(amplitude, lag, unit), "tacho")->channels[0].vector;
  };
  const auto v = of(0.006, 75, SampleUnit::velocity);
  // Acceleration leads velocity by 90 degrees, displacement lags it.
  const auto a = of(0.006 * omega, 75 - 90, SampleUnit::acceleration);
  const auto s = of(0.006 / omega, 75 + 90, SampleUnit::displacement);
  CHECK(std::abs(a - v) < 1e-4 * std::abs(v));
  CHECK(std::abs(s - v) < 1e-4 * std::abs(v));
}

TEST_CASE("1x: the lag turns with the mark, and the other sense is its mirror image") {
  const auto at = [](double mark, AngleSense sense) {
    return measure_one_x(rotor(1, 50, SampleUnit::volt, mark), "tacho", {"DE"}, sense)
        ->channels[0]
        .vector;
  };
  const auto a = at(0.1, AngleSense::against_rotation);
  const auto b = at(0.6, AngleSense::against_rotation);
  CHECK(std::abs(a - b) < 1e-3);  // the signal moves with its mark
  const auto m = at(0.1, AngleSense::with_rotation);
  CHECK(std::abs(m - std::conj(a)) < 1e-12);
}

TEST_CASE("1x: simulated recordings with noise agree with their plan within their scatter") {
  for (const std::uint64_t seed : {1U, 2U, 3U, 4U, 5U}) {
    SimulationPlan plan;
    plan.seed = seed;
    plan.duration = Seconds{10};
    plan.rate = Hz{12800};
    plan.noise = 1;
    plan.shaft_harmonics = {0.8, 0.2};
    plan.shaft_phases = {30, 0};
    plan.tacho_pulses = 1;
    plan.speed_wander = 0.0005;
    const auto simulated = simulate(plan).value();
    const auto r = measure_one_x(simulated.capture, "tacho").value();
    const double omega = r.speed.value() * pi / 30;
    const double truth = 0.8 / omega / std::sqrt(2.0);
    const OneX& c = r.channels[0];
    CHECK(c.scatter > 0);
    CHECK(std::abs(std::abs(c.vector) - truth) < 4 * c.scatter + 2e-3 * truth);
    CHECK(c.scatter < 0.05 * truth);
  }
}

TEST_CASE("1x: what cannot be measured is refused") {
  const Capture c = rotor(1, 0, SampleUnit::volt);
  CHECK(measure_one_x(c, "keyphasor").error().code == Errc::not_found);
  CHECK(measure_one_x(c, "tacho", {"NDE"}).error().code == Errc::not_found);
  CHECK(measure_one_x(rotor(1, 0, SampleUnit::volt, 0.37, 24.7, 8192, 0.7), "tacho").error().code ==
        Errc::too_short);
  Capture only_tacho = c;
  only_tacho.channels.erase(only_tacho.channels.begin());
  CHECK(measure_one_x(only_tacho, "tacho").error().code == Errc::missing_metadata);
}
