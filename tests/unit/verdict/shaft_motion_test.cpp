#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "bearingdsp/simulate/simulation.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "support/close.hpp"
#include "support/orders.hpp"

using namespace bearingdsp;

namespace {

/// A motor on a frequency converter; the shaft shows 1x, 2x and 3x.
SimulationPlan changing_speed(double drift) {
  SimulationPlan p;
  p.seed = 2;
  p.duration = Seconds{6};
  p.speed = Rpm{1480};
  p.speed_drift = drift;
  p.orders = test::nine_elements();
  p.shaft_harmonics = {0.8, 0.4, 0.2};
  return p;
}

Diagnosis diagnosed(const Capture& capture, const std::string& tacho = {}) {
  FftPlans plans;
  DiagnoseOptions options;
  options.bearings = {test::nine_elements()};
  options.speed = Rpm{1480};
  options.tacho_channel = tacho;
  auto d = diagnose(capture, plans, options);
  REQUIRE(d);
  return *d;
}

bool remarked(const Diagnosis& d, Weight weight) {
  return std::any_of(d.findings.begin(), d.findings.end(), [&](const Finding& f) {
    return f.kind == FindingKind::speed_varies && f.weight == weight;
  });
}

}  // namespace

TEST_CASE("damage is named while the speed rises or falls by a fifth [src:simulated truth]") {
  for (const double drift : {0.2, -0.2}) {
    CAPTURE(drift);
    SimulationPlan p = changing_speed(drift);
    p.defects = {{.part = Part::inner_ring, .severity = 12}};
    const Diagnosis d = diagnosed(simulate(p)->capture);
    CHECK(d.verdict == Verdict::fault);
    CHECK(d.place == Place::inner_ring);
    CHECK(d.speed.method == SpeedMethod::followed);
    // Linear drift: the mean rate is that of the middle of the recording.
    CHECK(test::close_rel(shaft_speed(d.speed.rate).value(), 1480 * (1 + drift / 2), 0.002));
    CHECK(test::close_abs(d.speed.relative_variation, 0.2, 0.05));
    CHECK(remarked(d, Weight::note));
  }
}

TEST_CASE("a healthy bearing stays sound while the speed rises [src:simulated truth]") {
  const Diagnosis d = diagnosed(simulate(changing_speed(0.2))->capture);
  CHECK(d.verdict == Verdict::no_fault);
  CHECK(d.speed.method == SpeedMethod::followed);
}

TEST_CASE("a steady speed is not followed") {
  const Diagnosis d = diagnosed(simulate(changing_speed(0))->capture);
  CHECK(d.verdict == Verdict::no_fault);
  CHECK(d.speed.method != SpeedMethod::followed);
  CHECK(d.speed.relative_variation == 0);
}

TEST_CASE("one strong steady line at 1x is no changing speed") {
  SimulationPlan p = changing_speed(0);
  p.shaft_harmonics = {1.2};
  const Diagnosis d = diagnosed(simulate(p)->capture);
  CHECK(d.verdict == Verdict::no_fault);
  CHECK_FALSE(remarked(d, Weight::blocking));
}

TEST_CASE("no fault is not said of a speed that changed too fast to follow") {
  SimulationPlan p = changing_speed(0);
  p.speed_wander = 0.1;
  const Diagnosis d = diagnosed(simulate(p)->capture);
  CHECK(d.verdict == Verdict::indeterminate);
  CHECK(remarked(d, Weight::blocking));
  CHECK(d.headline.find("speed changed") != std::string::npos);
}

TEST_CASE(
    "damage of a shaft that shows no line and changes its speed is never healthy "
    "[src:simulated truth]") {
  SimulationPlan p = changing_speed(0);
  p.duration = Seconds{8};
  p.shaft_harmonics = {};
  p.defects = {{.part = Part::outer_ring, .severity = 12}};
  int named = 0;
  for (const double drift : {0.2, 0.4, 0.6, 0.8, 1.0}) {
    CAPTURE(drift);
    p.speed_drift = drift;
    // Given as the mean, as a drive displays it.
    FftPlans plans;
    DiagnoseOptions options;
    options.bearings = {test::nine_elements()};
    options.speed = Rpm{1480 * (1 + drift / 2)};
    const Diagnosis d = diagnose(simulate(p)->capture, plans, options).value();
    CHECK(d.verdict != Verdict::no_fault);
    CHECK((d.place == Place::outer_ring || d.verdict == Verdict::indeterminate));
    named += d.place == Place::outer_ring;
    CHECK(remarked(d, d.verdict == Verdict::fault ? Weight::note : Weight::blocking));
  }
  CHECK(named >= 3);
}

TEST_CASE("damage is named in a run-up of 1:1.5, 1:2 and 1:3 [src:simulated truth]") {
  for (const double drift : {0.5, 1.0, 2.0}) {
    CAPTURE(drift);
    SimulationPlan p = changing_speed(drift);
    p.shaft_harmonics = {};
    p.defects = {{.part = Part::outer_ring, .severity = 12}};
    FftPlans plans;
    DiagnoseOptions options;
    options.bearings = {test::nine_elements()};
    options.speed = Rpm{1480 * (1 + drift / 2)};
    const Diagnosis d = diagnose(simulate(p)->capture, plans, options).value();
    CHECK(d.place == Place::outer_ring);
  }
}

TEST_CASE(
    "knocks and the supply's impulses on a steady machine without lines leave it healthy "
    "[src:simulated truth]") {
  SimulationPlan p = changing_speed(0);
  p.shaft_harmonics = {};
  p.electrical_impulses = 5;
  p.shocks_per_second = 1;
  p.shock_peak = 15;
  CHECK(diagnosed(simulate(p)->capture).verdict == Verdict::no_fault);
}

TEST_CASE("a quiet healthy bearing needs no line of the shaft [src:simulated truth]") {
  SimulationPlan p = changing_speed(0);
  p.shaft_harmonics = {};
  CHECK(diagnosed(simulate(p)->capture).verdict == Verdict::no_fault);
}

TEST_CASE("a tacho leads through a speed that nothing else would follow [src:simulated truth]") {
  SimulationPlan p = changing_speed(0.2);
  p.shaft_harmonics = {};
  p.defects = {{.part = Part::outer_ring, .severity = 12}};
  Capture capture = simulate(p)->capture;
  // One pulse a turn from the closed form of the drift: angle = f t (1 + drift t / (2 T)).
  Channel tacho;
  tacho.name = "tacho";
  tacho.unit = SampleUnit::volt;
  for (std::size_t i = 0; i < capture.channels.at(0).samples.size(); ++i) {
    const double t = static_cast<double>(i) / p.rate.value();
    const double angle =
        p.speed.value() / 60 * t * (1 + p.speed_drift * t / (2 * p.duration.value()));
    tacho.samples.push_back(angle - std::floor(angle) < 0.1 ? 5.0 : 0.0);
  }
  capture.channels.push_back(tacho);
  const Diagnosis d = diagnosed(capture, "tacho");
  CHECK(d.place == Place::outer_ring);
  CHECK(d.speed.method == SpeedMethod::tacho);
  CHECK(d.families.front().strength > 0.5);
}

TEST_CASE("a tacho that the recording does not have is reported") {
  const SimulationPlan p = changing_speed(0);
  const Capture capture = simulate(p)->capture;
  const Diagnosis d = diagnosed(capture, "marker");
  const auto reported = std::find_if(d.findings.begin(), d.findings.end(),
                                     [](const Finding& f) { return f.where == "marker"; });
  REQUIRE(reported != d.findings.end());
  CHECK(reported->weight == Weight::caution);
  CHECK(reported->advice.find(capture.channels.at(0).name) != std::string::npos);
  CHECK(d.speed.method != SpeedMethod::tacho);
}

TEST_CASE(
    "a speed found where no motor runs is a doubt [src:closed-form synchronous speed 120 f / "
    "poles, "
    "IEC 60034-1 terms]") {
  const auto doubted = [](double rpm, const DiagnoseOptions& options) {
    SimulationPlan p = changing_speed(0);
    p.speed = Rpm{rpm};
    p.defects = {{.part = Part::inner_ring, .severity = 12}};
    FftPlans plans;
    const auto d = diagnose(simulate(p)->capture, plans, options);
    REQUIRE(d);
    CHECK(test::close_rel(shaft_speed(d->speed.rate).value(), rpm, 0.002));
    const auto at = std::find_if(d->findings.begin(), d->findings.end(), [](const Finding& f) {
      return f.kind == FindingKind::speed_implausible;
    });
    return at == d->findings.end() ? std::string{} : at->what;
  };
  DiagnoseOptions blind;
  blind.bearings = {test::nine_elements()};
  // 3000/1 .. 500/6 and 3600/1 .. 600/6, less up to 8 %.
  for (const double rpm : {2780.0, 1480.0, 1385.0, 985.0, 3550.0, 1770.0})
    CHECK(doubted(rpm, blind).empty());
  for (const double rpm : {2200.0, 1300.0, 1560.0, 4449.0})
    CHECK(doubted(rpm, blind).find("no motor on 50 or 60 Hz mains") != std::string::npos);
  DiagnoseOptions how = blind;
  how.line_frequency = Hz{60};
  CHECK(doubted(1480, how).find("no motor on 60 Hz mains runs at the speed found, 1480 rpm") !=
        std::string::npos);
  CHECK(doubted(1770, how).empty());
  how = blind;
  how.speed = Rpm{2200};
  CHECK(doubted(2200, how).empty());
  how = blind;
  how.on_converter = true;
  CHECK(doubted(2200, how).find("no motor") == std::string::npos);
}

TEST_CASE(
    "a converter's comb is not the shaft's unless both are there [src:closed-form an induction "
    "motor's shaft turns below supply frequency / pole pairs, IEC 60034-1 terms]") {
  // Two pole pairs at 41.1 Hz, 2 % slip: the shaft turns at 20.14 Hz.
  const auto judged = [](bool shaft_lines, const DiagnoseOptions& options) {
    SimulationPlan p = changing_speed(0);
    p.mains = Hz{41.1};
    p.mains_hum = 0.4;
    p.electrical_impulses = 2;
    p.speed = Rpm{60 * 41.1 / 2 * 0.98};
    p.shaft_harmonics = {3, 1.5, 0.9, 0.6, 0.5, 0.4};
    if (!shaft_lines) p.shaft_harmonics.clear();
    FftPlans plans;
    auto d = diagnose(simulate(p)->capture, plans, options);
    REQUIRE(d);
    return *d;
  };
  const auto doubt = [](const Diagnosis& d) {
    return std::any_of(d.findings.begin(), d.findings.end(), [](const Finding& f) {
      return f.kind == FindingKind::speed_implausible && f.weight == Weight::blocking;
    });
  };
  DiagnoseOptions options;
  options.bearings = {test::nine_elements()};
  options.on_converter = true;
  const Diagnosis both = judged(true, options);
  CHECK(test::close_rel(both.speed.rate.value(), 20.139, 0.001));
  CHECK(both.verdict == Verdict::no_fault);
  CHECK_FALSE(doubt(both));
  const Diagnosis output_alone = judged(false, options);
  CHECK(test::close_rel(output_alone.speed.rate.value(), 41.1, 0.001));
  CHECK(output_alone.verdict == Verdict::indeterminate);
  CHECK(doubt(output_alone));
  // Nobody says what feeds the motor, and on the mains none runs at that speed.
  options.on_converter = false;
  CHECK(doubt(judged(false, options)));
  // A motor of two pole pairs within this interval has no output of 41.1 Hz: it would turn at 20.
  options.on_converter = true;
  options.pole_pairs = 2;
  options.speed_low = Rpm{60 * 30};
  options.speed_high = Rpm{60 * 50};
  CHECK_FALSE(doubt(judged(false, options)));
}
