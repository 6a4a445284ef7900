#include "bearingdsp/verdict/ends.hpp"

#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include "bearingdsp/report/ends.hpp"
#include "bearingdsp/report/text.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "support/close.hpp"
#include "support/orders.hpp"

using namespace bearingdsp;
using test::nine_elements;
using test::ten_elements;

namespace {

/// One end of a motor: its bearing, and how hard an outer ring strikes there; 0: a healthy one.
Diagnosis heard_at_end(double severity, const DefectOrders& orders, std::uint64_t seed,
                       SampleUnit unit = SampleUnit::acceleration) {
  SimulationPlan plan;
  plan.seed = seed;
  plan.duration = Seconds{4};
  plan.speed = Rpm{1483};
  plan.orders = orders;
  plan.shaft_harmonics = {1, 0.5};
  if (severity > 0) {
    SimulatedDefect defect;
    defect.severity = severity;
    defect.slip = 0.004;
    plan.defects = {defect};
  }
  Capture capture = simulate(plan).value().capture;
  capture.channels[0].unit = unit;
  FftPlans plans;
  DiagnoseOptions options;
  options.bearings = {orders};
  options.speed = plan.speed;
  return diagnose(capture, plans, options).value();
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("the same lines at both ends are the louder one's [src:simulation]") {
  const auto loud = heard_at_end(30, nine_elements(), 1);
  const auto faint = heard_at_end(9, nine_elements(), 2);
  REQUIRE(loud.verdict == Verdict::fault);
  REQUIRE(faint.verdict == Verdict::fault);
  const auto at_de = compare_ends(loud, faint);
  CHECK(at_de.carrier == MachineEnd::drive_end);
  CHECK(at_de.strength_ratio.value() > 1.25);
  CHECK(at_de.level_db.value() > 3);
  CHECK(has(at_de.headline, "drive end (DE): outer ring"));
  const auto at_nde = compare_ends(faint, loud);
  CHECK(at_nde.carrier == MachineEnd::non_drive_end);
  CHECK(test::close_rel(at_nde.strength_ratio.value(), 1 / at_de.strength_ratio.value(), 1e-12));
  CHECK(test::close_rel(at_nde.level_db.value(), -at_de.level_db.value(), 1e-9));
  CHECK(has(at_nde.headline, "non-drive end (NDE)"));
}

TEST_CASE("lines alike at both ends leave it open which it is [src:simulation]") {
  const auto e =
      compare_ends(heard_at_end(20, nine_elements(), 1), heard_at_end(20, nine_elements(), 2));
  CHECK_FALSE(e.carrier);
  CHECK_FALSE(e.both);
  CHECK(has(e.headline, "Cannot tell which end"));
  CHECK_FALSE(e.advice.empty());
}

TEST_CASE("a level that contradicts the strength leaves it open") {
  auto de = heard_at_end(30, nine_elements(), 1);
  const auto nde = heard_at_end(9, nine_elements(), 2);
  de.figures[0].envelope_rms = *nde.figures[0].envelope_rms / 1.6;  // -4 dB
  CHECK_FALSE(compare_ends(de, nde).carrier);
  // Of another unit, it says nothing.
  de.figures[0].unit = SampleUnit::volt;
  const auto e = compare_ends(de, nde);
  CHECK_FALSE(e.level_db);
  CHECK(e.carrier == MachineEnd::drive_end);
}

TEST_CASE(
    "an element strikes both rings: its lines are those of a ring at twice its BSF "
    "[src:randall2011 section 2, from memory]") {
  const auto with = [](Part part, Order fitted, double strength) {
    Diagnosis d;
    d.verdict = Verdict::fault;
    d.place = part == Part::outer_ring ? Place::outer_ring : Place::rolling_element;
    d.speed.rate = Hz{25};
    FamilyEvidence f;
    f.part = part;
    f.fitted = fitted;
    f.strength = strength;
    d.families = {f};
    return d;
  };
  const auto element = with(Part::rolling_element, Order{2.3}, 2);
  const auto e = compare_ends(element, with(Part::outer_ring, Order{4.6}, 0.5));
  CHECK(e.carrier == MachineEnd::drive_end);
  CHECK(test::close_rel(e.strength_ratio.value(), 4.0, 1e-12));
  // What strikes at BSF itself is another source.
  CHECK(compare_ends(element, with(Part::outer_ring, Order{2.3}, 0.5)).both);
}

TEST_CASE("which end is louder is counted in dB of amplitude [src:closed-form 20 lg 2]") {
  auto de = heard_at_end(20, nine_elements(), 1);
  auto nde = de;
  de.figures[0].envelope_rms = 2;
  nde.figures[0].envelope_rms = 1;
  const auto e = compare_ends(de, nde);
  CHECK(test::close_abs(e.level_db.value(), 6.0206, 1e-4));
  CHECK(e.carrier == MachineEnd::drive_end);
}

TEST_CASE("damage at one end, at both, at none [src:simulation]") {
  const auto damaged = heard_at_end(30, nine_elements(), 1);
  const auto sound = heard_at_end(0, ten_elements(), 2);
  CHECK(compare_ends(damaged, sound).carrier == MachineEnd::drive_end);
  CHECK(compare_ends(sound, damaged).carrier == MachineEnd::non_drive_end);
  const auto both = compare_ends(damaged, heard_at_end(30, ten_elements(), 3));
  CHECK(both.both);
  CHECK_FALSE(both.carrier);
  const auto none = compare_ends(heard_at_end(0, nine_elements(), 4), sound);
  CHECK_FALSE(none.carrier);
  CHECK_FALSE(none.both);
  CHECK(none.headline == "Neither end shows a bearing fault.");
}

TEST_CASE("which end, for readers and programs") {
  EndsCompared e;
  e.carrier = MachineEnd::non_drive_end;
  e.strength_ratio = 0.5;
  e.headline = "It is the bearing at the other end.";
  e.advice = "Record again.";
  const std::string text = to_text(ends_report(e, "fan"));
  CHECK(has(text, "WHICH END: NDE"));
  CHECK(has(text, e.headline));
  CHECK(has(text, e.advice));
  const auto json = nlohmann::json::parse(ends_json(e, "fan"));
  CHECK(json["schema"] == "bearingdsp.ends/1");
  CHECK(json["end"] == "NDE");
  CHECK(json["both"] == false);
  CHECK(json["strength_ratio"] == 0.5);
  CHECK(json["level_db"].is_null());
}
