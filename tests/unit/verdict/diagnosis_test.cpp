// The whole chain on simulated recordings: what is refused, which bearing of several, and what is
// drawn.
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/dataset/manifest.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "support/close.hpp"

namespace {

using namespace bearingdsp;

DefectOrders made_bearing(int elements) {
  BearingGeometry g;
  g.rolling_elements = elements;
  g.pitch_diameter = 39.04;
  g.element_diameter = 7.94;
  return defect_orders(g).value();
}

/// Four seconds at 1480 rpm with a damaged part.
Capture damaged(int elements, Part part = Part::outer_ring) {
  SimulationPlan plan;
  plan.orders = made_bearing(elements);
  plan.rate = Hz{20480};
  plan.duration = Seconds{4};
  plan.speed = Rpm{1480};
  plan.shaft_harmonics = {0.5, 0.2};
  SimulatedDefect defect;
  defect.part = part;
  defect.severity = 12;
  plan.defects = {defect};
  return simulate(plan).value().capture;
}

/// What a call changes in the options; the rest as it is by itself.
template <class Change>
DiagnoseOptions options_with(const Change& change) {
  DiagnoseOptions options;
  change(options);
  return options;
}

template <class Change>
void refused(const Capture& capture, const Change& change, Errc code, std::string_view where) {
  const DiagnoseOptions options = options_with(change);
  FftPlans plans;
  const auto d = diagnose(capture, plans, options);
  REQUIRE_FALSE(d.has_value());
  CHECK(token(d.error().code) == token(code));
  CHECK(d.error().where == where);
  CHECK_FALSE(d.error().what.empty());
}

}  // namespace

TEST_CASE("a place names one component or none [src:contract]") {
  for (const Part part : {Part::outer_ring, Part::inner_ring, Part::rolling_element, Part::cage}) {
    const auto place = from_token<Place>(token(part));
    REQUIRE(place);
    CHECK(part_of(*place) == part);
  }
  for (const Place place :
       {Place::none, Place::several, Place::unclear, Place::another_bearing, Place::cannot_tell})
    CHECK_FALSE(part_of(place));
}

TEST_CASE("options that cannot be are refused by name [src:contract]") {
  Capture c = damaged(9);
  c.source = "a.wav";
  const double nothing = std::numeric_limits<double>::quiet_NaN();
  refused(
      c, [&](DiagnoseOptions& o) { o.speed = Rpm{0}; }, Errc::bad_argument, "speed");
  refused(
      c, [&](DiagnoseOptions& o) { o.speed = Rpm{nothing}; }, Errc::bad_argument, "speed");
  refused(
      c, [&](DiagnoseOptions& o) { o.speed_tolerance = 0; }, Errc::bad_argument, "speed tolerance");
  refused(
      c, [&](DiagnoseOptions& o) { o.speed_tolerance = 0.5; }, Errc::bad_argument,
      "speed tolerance");
  refused(
      c,
      [&](DiagnoseOptions& o) {
        o.speed_low = Rpm{1500};
        o.speed_high = Rpm{1400};
      },
      Errc::bad_argument, "speed interval");
  DefectOrders without_cage = made_bearing(9);
  without_cage.ftf = Order{0};
  refused(
      c, [&](DiagnoseOptions& o) { o.bearings = {without_cage}; }, Errc::bad_argument,
      "defect orders");
  refused(
      c, [&](DiagnoseOptions& o) { o.channels = {"no such"}; }, Errc::not_found, "a.wav");
  c.channels[0].samples.resize(1023);
  refused(
      c, [](DiagnoseOptions&) {}, Errc::too_short, "a.wav");
  // What was cut short is copied again, not recorded for longer.
  c.findings.push_back({FindingKind::truncated, Weight::caution, "a", "contains 1023 of 200000",
                        "shorter than the original", "copy it again"});
  FftPlans plans;
  const auto cut = diagnose(c, plans, DiagnoseOptions{});
  REQUIRE_FALSE(cut);
  CHECK(cut.error().what.find("1023 of 200000") != std::string::npos);
  CHECK(cut.error().advice == "copy it again");
  c.rate = Hz{0};
  refused(
      c, [](DiagnoseOptions&) {}, Errc::missing_metadata, "a.wav");
}

TEST_CASE("a speed that the file states is taken where nothing else says it [src:contract]") {
  Capture c = damaged(9);
  c.noted_speed = Rpm{1482};
  const DiagnoseOptions blind =
      options_with([](DiagnoseOptions& o) { o.bearings = {made_bearing(9)}; });
  CHECK(with_noted_speed(blind, c).speed == Rpm{1482});
  FftPlans plans;
  const auto noted = diagnose(c, plans, blind);
  const auto given = diagnose(c, plans, options_with([](DiagnoseOptions& o) {
                                o.bearings = {made_bearing(9)};
                                o.speed = Rpm{1482};
                              }));
  REQUIRE(noted);
  REQUIRE(given);
  CHECK(noted->speed.rate == given->speed.rate);
  CHECK(noted->probability_of_damage == given->probability_of_damage);
  CHECK(with_noted_speed(options_with([](DiagnoseOptions& o) { o.speed = Rpm{1000}; }), c).speed ==
        Rpm{1000});
  CHECK_FALSE(
      with_noted_speed(options_with([](DiagnoseOptions& o) { o.speed_low = Rpm{1000}; }), c).speed);
  c.channels.push_back(c.channels.front());
  c.channels.back().name = "marker";
  CHECK_FALSE(
      with_noted_speed(options_with([](DiagnoseOptions& o) { o.tacho_channel = "marker"; }), c)
          .speed);
}

TEST_CASE("known poles make rotor bars more probable than guessed ones [src:closed-form]") {
  constexpr double shaft = 24.6;
  constexpr double pass = 1.6;  // 2 (50 - 2 x 24.6)
  SimulationPlan plan;
  plan.duration = Seconds{20};
  plan.speed = shaft_speed(Hz{shaft});
  plan.noise = 0.1;
  plan.shaft_harmonics = {3};
  plan.fixed_lines = {{Hz{shaft - pass}, 0.3}, {Hz{shaft + pass}, 0.3}};
  const Capture c = simulate(plan).value().capture;
  const auto bars = [&](std::optional<int> pairs) {
    FftPlans plans;
    const auto d = diagnose(c, plans, options_with([&](DiagnoseOptions& o) {
                              o.speed = plan.speed;
                              o.line_frequency = Hz{50};
                              o.pole_pairs = pairs;
                            }));
    for (const CauseEvidence& cause : d.value().other_causes)
      if (cause.cause == OtherCause::rotor_bars) return cause.probability;
    return 0.0;
  };
  CHECK(bars(std::nullopt) > 0.3);
  CHECK(bars(2) > bars(std::nullopt));
  CHECK(bars(1) == 0);  // of one pair, a slip of half is no motor in order
}

TEST_CASE(
    "of two bearings of one name the one that the recording is evidence for is taken, and said") {
  FftPlans plans;
  const auto d = diagnose(damaged(9), plans, options_with([](DiagnoseOptions& o) {
                            o.speed = Rpm{1480};
                            o.bearings = {made_bearing(7), made_bearing(9)};
                          }));
  REQUIRE(d.has_value());
  CHECK(d->verdict == Verdict::fault);
  CHECK(d->place == Place::outer_ring);
  REQUIRE(d->orders.has_value());
  CHECK(d->orders->rolling_elements == 9);
  const auto said = std::find_if(d->findings.begin(), d->findings.end(),
                                 [](const Finding& f) { return f.kind == FindingKind::ambiguous; });
  REQUIRE(said != d->findings.end());
  CHECK(said->what.find("2 different bearings") != std::string::npos);
  CHECK(said->what.find('7') != std::string::npos);
}

TEST_CASE(
    "a long recording is taken in pieces: slip would spread its lines too thin [src:simulation]") {
  SimulationPlan plan;
  plan.orders = made_bearing(9);
  plan.rate = Hz{20480};
  plan.duration = Seconds{60};
  plan.speed = Rpm{3000};
  plan.shaft_harmonics = {0.5, 0.2};
  for (const double severity : {0.0, 4.0}) {
    CAPTURE(severity);
    SimulatedDefect defect;
    defect.severity = severity;
    plan.defects.clear();
    if (severity > 0) plan.defects = {defect};
    FftPlans plans;
    const auto d =
        diagnose(simulate(plan).value().capture, plans, options_with([&](DiagnoseOptions& o) {
                   o.bearings = {*plan.orders};
                   o.speed = plan.speed;
                 }));
    REQUIRE(d.has_value());
    // Taken whole, the damaged one cannot be identified.
    CHECK(d->place == (severity > 0 ? Place::outer_ring : Place::none));
    CHECK(std::any_of(d->trail.begin(), d->trail.end(),
                      [](const Step& s) { return s.op == "cut" && s.args == "pieces=3"; }));
    CHECK(test::close_rel(d->duration.value(), 60, 1e-9));
  }
}

TEST_CASE(
    "curves: samples as they are, a sine's rms in its line, the defect's line in the envelope "
    "[src:closed-form rms = peak / sqrt(2), a simulated recording]") {
  Capture c = damaged(9);
  // A strong sine on a line of the recording: 640 whole periods in four seconds.
  const double amplitude = 30;
  for (std::size_t i = 0; i < c.size(); ++i)
    c.channels[0].samples[i] += amplitude * std::sin(2 * std::numbers::pi * 160.0 *
                                                     static_cast<double>(i) / c.rate.value());
  FftPlans plans;
  const auto d = diagnose(c, plans, options_with([](DiagnoseOptions& o) {
                            o.bearings = {made_bearing(9)};
                            o.speed = Rpm{1480};
                            o.keep_curves = CurvesKept::all;
                          }));
  REQUIRE(d.has_value());
  const auto curve = [&](std::string_view title) {
    const auto it = std::find_if(d->curves.begin(), d->curves.end(),
                                 [&](const Curve& k) { return k.title.starts_with(title); });
    REQUIRE_MESSAGE(it != d->curves.end(), title);
    return *it;
  };
  const Curve wave = curve("waveform");
  CHECK(wave.y == c.channels[0].samples);
  CHECK(test::close_rel(wave.x.back(), static_cast<double>(c.size() - 1) / 20480, 1e-15));
  const Curve spectrum = curve("spectrum");
  const auto top = std::max_element(spectrum.y.begin(), spectrum.y.end());
  CHECK(test::close_abs(spectrum.x[static_cast<std::size_t>(top - spectrum.y.begin())], 160, 1e-9));
  // The noise beside it adds within its line: a per cent covers it.
  CHECK(test::close_rel(*top, amplitude / std::sqrt(2), 0.01));
  const Curve envelope = curve("envelope spectrum");
  REQUIRE(envelope.x_unit == "orders");
  // The highest line between 3 and 4 orders is the outer ring's, up to slip.
  double highest = 0;
  double at = 0;
  for (std::size_t k = 0; k < envelope.x.size(); ++k) {
    if (envelope.x[k] < 3.2 || envelope.x[k] > 3.9 || envelope.y[k] < highest) continue;
    highest = envelope.y[k];
    at = envelope.x[k];
  }
  CHECK(test::close_rel(at, made_bearing(9).bpfo.value(), 0.02));
}

TEST_CASE(
    "an inner ring turns through the load with the shaft, an element with the cage: so do their "
    "sidebands [src:randall2011 section 2, a simulated recording, from memory]") {
  const DefectOrders orders = made_bearing(9);
  for (const auto& of_part :
       {std::pair{Part::inner_ring, Order{1}}, std::pair{Part::rolling_element, orders.ftf}}) {
    const Part part = of_part.first;
    const Order modulation = of_part.second;
    CAPTURE(modulation.value());
    FftPlans plans;
    const auto d = diagnose(damaged(9, part), plans, options_with([&](DiagnoseOptions& o) {
                              o.bearings = {orders};
                              o.speed = Rpm{1480};
                            }));
    REQUIRE(d.has_value());
    const auto family = std::find_if(d->families.begin(), d->families.end(),
                                     [&](const FamilyEvidence& f) { return f.part == part; });
    REQUIRE(family != d->families.end());
    int found = 0;
    for (const LineEvidence& line : family->lines) {
      if (line.sideband == 0 || !line.detected) continue;
      // An element strikes both rings in each turn: its harmonics are those of 2 x BSF.
      const double carrier = (part == Part::rolling_element ? 2 : 1) * family->fitted.value();
      const double away = line.order.value() - line.harmonic * carrier;
      CHECK(test::close_abs(away, line.sideband * modulation.value(), 0.02));
      ++found;
    }
    CHECK(found >= 4);
    CHECK(family->sidebands_detected == found);
  }
}

TEST_CASE("why it cannot tell is said with what would help [src:docs/theory/diagnosis.md]") {
  const auto with_options = [](const Capture& c, const auto& change) {
    FftPlans plans;
    return diagnose(c, plans, options_with(change)).value();
  };
  const auto says = [](const Diagnosis& d, std::string_view why, std::string_view advice) {
    CHECK(d.verdict == Verdict::indeterminate);
    CHECK(d.headline.find(why) != std::string::npos);
    REQUIRE_FALSE(d.advice.empty());
    CHECK(d.advice.front().find(advice) != std::string::npos);
  };
  SimulationPlan noise;
  noise.orders = made_bearing(9);
  noise.rate = Hz{20480};
  const Capture nothing = simulate(noise).value().capture;
  says(with_options(nothing, [](DiagnoseOptions& o) { o.bearings = {made_bearing(9)}; }),
       "the shaft speed is not known", "Give the speed");
  noise.shaft_harmonics = {0.5, 0.2};
  // Half a second at 1480 rpm: 12.3 turns.
  noise.duration = Seconds{0.5};
  says(with_options(simulate(noise).value().capture,
                    [](DiagnoseOptions& o) {
                      o.bearings = {made_bearing(9)};
                      o.speed = Rpm{1480};
                    }),
       "only 12.3 shaft revolutions", "Record at least 2.00 s at this speed");
}

TEST_CASE("every other cause has a remedy of its own") {
  using enum OtherCause;
  std::vector<std::string_view> seen;
  for (const OtherCause c :
       {unbalance, misalignment_or_bent_shaft, looseness, rubbing, twice_line_frequency, rotor_bars,
        electrical_erosion, poor_lubrication}) {
    CAPTURE(token(c));
    CHECK_FALSE(remedy(c).empty());
    CHECK(std::find(seen.begin(), seen.end(), remedy(c)) == seen.end());
    seen.push_back(remedy(c));
  }
}

TEST_CASE("diagnosis: a sample rate or speed of any size is an answer or an error, never a crash") {
  Capture c = damaged(9);
  // So strong that the cause "poor lubrication" is weighed too: it divided by zero at 1e30 Hz.
  for (double& v : c.channels[0].samples) v *= 10;
  FftPlans plans;
  for (const double rate : {1e308, 1e30, 1e12, 1e9, 1.0, 0.5, 1e-3, 1e-300})
    for (const double rpm : {0.0, 1e-300, 1e-3, 1480.0, 1e9, 1e300}) {
      CAPTURE(rate);
      CAPTURE(rpm);
      c.rate = Hz{rate};
      DiagnoseOptions options;
      options.bearings = {made_bearing(9)};
      if (rpm > 0) options.speed = Rpm{rpm};
      const auto d = diagnose(c, plans, options);
      if (d) {
        CHECK(d->probability_of_damage >= 0);
        CHECK(d->probability_of_damage <= 1);
        CHECK_FALSE(d->headline.empty());
      } else {
        CHECK(d.error().code != Errc::internal);
      }
    }
}
