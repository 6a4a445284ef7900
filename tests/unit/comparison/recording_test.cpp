#include "bearingdsp/comparison/recording.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <cstdint>
#include <numbers>
#include <utility>

#include "bearingdsp/comparison/before_after.hpp"
#include "bearingdsp/dsp/resample.hpp"
#include "bearingdsp/simulate/random.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "support/close.hpp"
#include "support/orders.hpp"

using namespace bearingdsp;
using test::close_db;
using test::close_rel;

namespace {

SimulationPlan sound_plan() {
  SimulationPlan p;
  p.seed = 5;
  p.orders = test::orders_of(9, 3.585, 5.415, 2.357, 0.3983);
  p.shaft_harmonics = {1.0, 0.5, 0.25};
  return p;
}

DiagnoseOptions at_1480(const SimulationPlan& plan = {}) {
  DiagnoseOptions o;
  o.speed = Rpm{1480};
  if (plan.orders) o.bearings = {*plan.orders};
  return o;
}

CapturedSide side(const Capture& capture) { return {{capture}, at_1480(), {}}; }

}  // namespace

TEST_CASE("1x, 2x, 3x as velocity [src:closed-form v = a / (sqrt(2) 2 pi f)]") {
  SimulationPlan plan = sound_plan();
  plan.noise = 0.02;
  FftPlans plans;
  const Capture capture = simulate(plan).value().capture;
  const auto r = measure_recording(capture, at_1480(plan), {}, {}, plans);
  REQUIRE(r.has_value());
  for (std::size_t k = 0; k < shaft_orders; ++k) {
    const double f = static_cast<double>(k + 1) * 1480 / 60;
    const double expected = plan.shaft_harmonics[k] / (std::sqrt(2) * 2 * std::numbers::pi * f);
    REQUIRE(r->reading.levels.shaft.at(k).has_value());
    // The skirts of a line between two bins that fall outside the width: a few per cent.
    CHECK(close_rel(*r->reading.levels.shaft.at(k), expected, 0.04));
  }
  CHECK(r->pieces.size() == 8);
  CHECK(close_rel(r->reach.value(), 0.45 * 25600, 1e-9));
  CHECK(usable(*r));
}

TEST_CASE("a recording that was low-passed says how far it reaches [src:the filter's corner]") {
  SimulationPlan plan = sound_plan();
  FftPlans plans;
  Capture capture = simulate(plan).value().capture;
  // Down to 10 kHz and back up: nothing is left above 5 kHz.
  auto& x = capture.channels.front().samples;
  x = resample(resample(x, 10.0 / 25.6), 2.56);
  const auto r = measure_recording(capture, at_1480(plan), {}, {}, plans);
  REQUIRE(r.has_value());
  CHECK(close_rel(r->reach.value(), 5000, 0.12));
}

TEST_CASE("another rate keeps the level of what both hold, and the tacho stays behind") {
  SimulationPlan plan = sound_plan();
  plan.tacho_pulses = 1;
  const Capture capture = simulate(plan).value().capture;
  REQUIRE(capture.channels.size() == 2);
  const Capture slow = at_rate(capture, Hz{12800});
  REQUIRE(slow.channels.size() == 1);
  CHECK(slow.rate == Hz{12800});
  CHECK(at_rate(capture, capture.rate).channels.size() == 2);
  CHECK_THROWS_AS((void)at_rate(capture, Hz{51200}), std::invalid_argument);
  FftPlans plans;
  const auto a = measure_levels(std::vector{capture.view(0)}, plans);
  const auto b = measure_levels(std::vector{slow.view(0)}, plans);
  CHECK(close_db(*a.at(Indicator::velocity), *b.at(Indicator::velocity), 0.1));
}

TEST_CASE("rates that differ are brought to one band, and said so") {
  SimulationPlan before = sound_plan();
  before.defects = {{.part = Part::outer_ring, .severity = 25}};
  SimulationPlan after = sound_plan();
  after.rate = Hz{12800};
  FftPlans plans;
  const auto r = compare_captures(side(simulate(before).value().capture),
                                  side(simulate(after).value().capture), {*before.orders}, plans);
  REQUIRE(r.has_value());
  CHECK(r->change == Change::cured);
  REQUIRE_FALSE(r->differences.empty());
  CHECK(r->differences[0].kind == DifferenceKind::rate);
  CHECK(r->differences[0].bar == Bar::allowed);
  CHECK(r->differences[0].what.find("up to 5120 Hz") != std::string::npos);

  after.rate = Hz{4000};
  const auto refused =
      compare_captures(side(simulate(before).value().capture),
                       side(simulate(after).value().capture), {*before.orders}, plans);
  REQUIRE(refused.has_value());
  CHECK(refused->change == Change::not_comparable);
  CHECK_FALSE(compare_captures({}, side(simulate(after).value().capture), {}, plans).has_value());
}

TEST_CASE("one signal in two scales, or cut short, is the same, another recording is not") {
  const auto noise = [](std::uint64_t seed, double scale, std::size_t n) {
    Random random{seed, 5};
    Capture c;
    c.rate = Hz{12800};
    Channel channel;
    channel.name = "radial";
    // The shaft's line, the same in every recording, is far above the noise.
    for (std::size_t i = 0; i < n; ++i)
      channel.samples.push_back(scale *
                                (10 * std::sin(0.012 * static_cast<double>(i)) + random.normal()));
    c.channels.push_back(std::move(channel));
    return c;
  };
  const Capture a = noise(1, 1, 20000);
  CHECK(same_signal(a, a));
  CHECK(same_signal(a, noise(1, 9.80665, 20000)));
  CHECK(same_signal(a, noise(1, 0.01, 8000)));
  CHECK_FALSE(same_signal(a, noise(2, 1, 20000)));
  Capture slow = a;
  slow.rate = Hz{6400};
  CHECK_FALSE(same_signal(a, slow));
  Capture dead = a;
  dead.channels.front().samples.assign(20000, 0.0);
  CHECK_FALSE(same_signal(dead, dead));
}

TEST_CASE("a recording of a known point is judged as diagnose_at() does, the other end too") {
  const SimulationPlan plan = [] {
    SimulationPlan p = sound_plan();
    p.defects = {{.part = Part::outer_ring, .severity = 25}};
    return p;
  }();
  FftPlans plans;
  const Capture capture = simulate(plan).value().capture;
  KnownPoint at;
  at.machine.name = "saw";
  at.point.name = "NDE";
  at.point.end = MachineEnd::non_drive_end;
  at.other_end = {*plan.orders};
  DiagnoseOptions here = at_1480();
  here.bearings = {test::orders_of(13, 5.2, 7.8, 3.3, 0.4)};
  const auto r = measure_recording(capture, here, at, {}, plans);
  REQUIRE(r.has_value());
  PointSetup setup;
  setup.diagnosis = here;
  setup.other_end = at.other_end;
  const Diagnosis d = diagnose_at(capture, plans, at.machine, at.point, setup).value();
  REQUIRE(d.machine->other_end);
  CHECK(d.machine->other_end->verdict == Verdict::fault);
  REQUIRE(r->reading.other_end);
  CHECK(r->reading.other_end->verdict == Verdict::fault);
  CHECK(r->reading.other_end->probability_of_damage == d.machine->other_end->probability_of_damage);
  CHECK(r->reading.verdict == d.verdict);
}

TEST_CASE("the speed that a file states counts where no other is given") {
  SimulationPlan plan = sound_plan();
  plan.shaft_harmonics = {};
  Capture capture = simulate(plan).value().capture;
  capture.noted_speed = Rpm{1480};
  DiagnoseOptions none;
  CHECK(with_noted_speed(none, capture).speed == Rpm{1480});
  none.speed = Rpm{2900};
  CHECK(with_noted_speed(none, capture).speed == Rpm{2900});
  none = {};
  none.speed_low = Rpm{1000};
  CHECK_FALSE(with_noted_speed(none, capture).speed);
  none = {};
  none.tacho_channel = "tacho";  // there is none
  CHECK(with_noted_speed(none, capture).speed == Rpm{1480});
  none.tacho_channel = capture.channels.front().name;
  CHECK_FALSE(with_noted_speed(none, capture).speed);
}
