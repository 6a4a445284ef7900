// Whole chains over simulated recordings that are apt to be misread: no speed given, knocks from
// outside, wrong samples, tones without a machine. The truth is what was simulated.
#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/simulate/random.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "support/orders.hpp"

using namespace bearingdsp;

namespace {

constexpr std::array parts{Part::outer_ring, Part::inner_ring, Part::rolling_element, Part::cage};
constexpr std::array places{Place::outer_ring, Place::inner_ring, Place::rolling_element,
                            Place::cage};

/// 4 s at 1480 rpm, noise of 1 m/s^2, a little unbalance and misalignment.
SimulationPlan plan_of(std::uint64_t seed, std::optional<Part> part, double severity = 30) {
  SimulationPlan p;
  p.seed = seed;
  p.orders = test::nine_elements();
  p.shaft_harmonics = {0.5, 0.2};
  if (part) {
    SimulatedDefect d;
    d.part = *part;
    d.severity = severity;
    d.load_zone = part == Part::outer_ring ? 0 : 1;
    p.defects = {d};
  }
  return p;
}

Diagnosis diagnosis_of(const Capture& capture, const DiagnoseOptions& given) {
  FftPlans plans;
  DiagnoseOptions options = given;
  options.bearings = {test::nine_elements()};
  return diagnose(capture, plans, options).value();
}

DiagnoseOptions with_speed() {
  DiagnoseOptions o;
  o.speed = Rpm{1480};
  return o;
}

bool has(const Diagnosis& d, FindingKind kind) {
  return std::any_of(d.findings.begin(), d.findings.end(),
                     [&](const Finding& f) { return f.kind == kind; });
}

void add_glitches(Capture& capture, int count, double height, std::uint64_t seed) {
  Random random{seed, 5};
  auto& x = capture.channels[0].samples;
  for (int i = 0; i < count; ++i) {
    const auto at = static_cast<std::size_t>(random.uniform() * static_cast<double>(x.size() - 1));
    x[at] += random.uniform() < 0.5 ? -height : height;
  }
}

struct Disturbance {
  std::string name;
  double knocks_per_second{0};
  double knock_peak{0};
  int glitches{0};
  double glitch_height{0};
  FindingKind finding{};
};

const std::array disturbances{
    Disturbance{"knocks of 200", 5, 200, 0, 0, FindingKind::shocks},
    Disturbance{"knocks of 50", 3, 50, 0, 0, FindingKind::shocks},
    Disturbance{"ten wrong samples", 0, 0, 10, 50, FindingKind::repaired},
    Disturbance{"one wrong sample", 0, 0, 1, 1000, FindingKind::repaired}};

Diagnosis disturbed(SimulationPlan plan, const Disturbance& by) {
  plan.shocks_per_second = by.knocks_per_second;
  plan.shock_peak = by.knock_peak;
  auto made = simulate(plan).value();
  add_glitches(made.capture, by.glitches, by.glitch_height, plan.seed);
  return diagnosis_of(made.capture, with_speed());
}

}  // namespace

TEST_CASE(
    "a fault whose own rate passes for the shaft's is never called healthy [src:made truth]") {
  std::vector<DiagnoseOptions> known(3);
  known[1].line_frequency = Hz{50};
  known[2].speed_low = Rpm{900};
  known[2].speed_high = Rpm{6000};
  for (const auto& options : known)
    for (std::size_t p = 0; p < parts.size(); ++p)
      for (std::uint64_t seed = 1; seed <= 3; ++seed) {
        const auto plan = plan_of(seed, parts[p], parts[p] == Part::cage ? 10 : 30);
        const auto d = diagnosis_of(simulate(plan).value().capture, options);
        CAPTURE(p);
        CAPTURE(seed);
        CHECK_MESSAGE(d.verdict != Verdict::no_fault, d.headline);
        if (d.verdict == Verdict::fault && d.place != Place::unclear) CHECK(d.place == places[p]);
      }
}

TEST_CASE(
    "knocks and wrong samples make no healthy bearing faulty, and hide no fault "
    "[src:made truth]") {
  for (const auto& by : disturbances)
    for (std::uint64_t seed = 1; seed <= 4; ++seed) {
      CAPTURE(by.name);
      CAPTURE(seed);
      const auto healthy = disturbed(plan_of(seed, std::nullopt), by);
      CHECK_MESSAGE(healthy.verdict == Verdict::no_fault, healthy.headline);
      CHECK(has(healthy, by.finding));
      const auto outer = disturbed(plan_of(seed, Part::outer_ring), by);
      CHECK_MESSAGE(outer.place == Place::outer_ring, outer.headline);
      const auto inner = disturbed(plan_of(seed, Part::inner_ring), by);
      CHECK_MESSAGE(inner.place == Place::inner_ring, inner.headline);
    }
}

TEST_CASE("without disturbance nothing is repaired or brought down [src:made truth]") {
  for (const Part part : parts)
    for (std::uint64_t seed = 1; seed <= 3; ++seed) {
      const auto d = diagnosis_of(simulate(plan_of(seed, part, 60)).value().capture, with_speed());
      CHECK_FALSE(has(d, FindingKind::shocks));
      CHECK_FALSE(has(d, FindingKind::repaired));
    }
}

TEST_CASE(
    "a tone or hum alone says nothing of a bearing, and the answer says so [src:made truth]") {
  for (const double noise : {0.0, 1e-3}) {
    for (const bool hum : {false, true}) {
      auto plan = plan_of(7, std::nullopt);
      plan.shaft_harmonics.clear();
      plan.noise = noise;
      if (hum)
        plan.mains_hum = 5;
      else
        plan.fixed_lines = {{Hz{159.155}, 10}};  // 1000 rad/s, 10 m/s^2: a hand-held calibrator
      const auto d = diagnosis_of(simulate(plan).value().capture, with_speed());
      CHECK(d.verdict == Verdict::indeterminate);
      CHECK_MESSAGE(d.headline.find("tones") != std::string::npos, d.headline);
      CHECK(has(d, FindingKind::no_broadband));
    }
  }
  // A very quiet machine is no tone.
  auto quiet = plan_of(8, std::nullopt);
  quiet.noise = 0.05;
  const auto d = diagnosis_of(simulate(quiet).value().capture, with_speed());
  CHECK(d.verdict == Verdict::no_fault);
}
