#include "bearingdsp/verdict/at_machine.hpp"
#include "bearingdsp/verdict/assessment.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "bearingdsp/simulate/simulation.hpp"
#include "support/orders.hpp"

using namespace bearingdsp;

namespace {

Machine machine_of(const std::string& other_end) {
  auto machines = parse_machines(R"(
[[machine]]
name = "fan"
power_kw = 7.5
rated_rpm = 1480
line_frequency_hz = 50
bearing.DE = { designation = "6205" }
)" + other_end + R"(
[[machine.point]]
name = "DE"
end = "DE"
unit = "m/s2"
channel = "x"
tacho = "marker"
pulses_per_revolution = 2
sensitivity_mv_per_g = 100
)",
                                 "test");
  if (!machines) throw BadResult{machines.error()};
  return machines->front();
}

/// Recorded on a fan at 1480 rpm; the shaft shakes with `shaft` m/s2 at its own rate.
Capture recorded(const DefectOrders* damaged, double shaft = 0.2) {
  SimulationPlan plan;
  plan.rate = Hz{25600};
  plan.duration = Seconds{4};
  plan.speed = Rpm{1480};
  plan.shaft_harmonics = {shaft};
  if (damaged != nullptr) {
    plan.orders = *damaged;
    plan.defects.push_back({Part::outer_ring, 20});
  }
  auto made = simulate(plan);
  if (!made) throw BadResult{made.error()};
  return made->capture;
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::string all_actions(const Diagnosis& d) {
  std::string text;
  for (const std::string& action : assess(d).actions) text += action + " ";
  return text;
}

}  // namespace

TEST_CASE("at a machine: the file tells the reader and the diagnosis what they need") {
  const Machine m = machine_of("bearing.NDE = { designation = \"6203\" }");
  const auto s = point_setup(m, m.points.front());
  REQUIRE(s);
  CHECK(s->diagnosis.speed == Rpm{1480});
  CHECK(s->diagnosis.line_frequency == Hz{50});
  CHECK(s->diagnosis.pole_pairs == 2);  // 60 x 50 / 1480, rounded down
  CHECK(s->diagnosis.tacho_channel == "marker");
  CHECK(s->diagnosis.pulses_per_revolution == 2);
  CHECK(s->reading.select == std::vector<std::string>{"x", "marker"});
  CHECK(s->reading.sensitivity_mv_per_g == std::vector<double>{100});
  REQUIRE_FALSE(s->diagnosis.bearings.empty());
  CHECK(s->diagnosis.bearings.front().orders.rolling_elements == 9);
  CHECK(s->other_end.front().orders.rolling_elements == 8);
  CHECK(point_setup(m, m.points.front(), Rpm{1450})->diagnosis.speed == Rpm{1450});
}

TEST_CASE(
    "at a machine: damage that only the other end's bearing can make sends one there "
    "[src:the simulation's truth]") {
  const Machine m = machine_of("bearing.NDE = { designation = \"6203\", elements = 8 }");
  auto setup = point_setup(m, m.points.front()).value();
  setup.diagnosis.tacho_channel.clear();
  FftPlans plans;
  const auto d =
      diagnose_at(recorded(&setup.other_end.front().orders), plans, m, m.points.front(), setup);
  REQUIRE(d);
  CHECK(d->verdict != Verdict::fault);
  REQUIRE(d->machine);
  REQUIRE(d->machine->other_end);
  CHECK(d->machine->other_end->tells_apart);
  CHECK(d->machine->other_end->end == MachineEnd::non_drive_end);
  CHECK(d->machine->other_end->verdict == Verdict::fault);
  CHECK(d->machine->other_end->place == Place::outer_ring);
  CHECK(has(all_actions(*d), "Measure at the NDE"));
}

TEST_CASE(
    "at a machine: lines that the other end's bearing explains better are that one's "
    "[src:the simulation's truth]") {
  const Machine m = machine_of("bearing.NDE = { designation = \"6203\" }");
  const DefectOrders actual = test::nine_elements();
  auto setup = point_setup(m, m.points.front()).value();
  setup.diagnosis.tacho_channel.clear();
  const auto diagnosed = [&](const DefectOrders& here, const DefectOrders& there) {
    SimulationPlan plan;
    plan.seed = 3;
    plan.orders = actual;
    plan.speed = Rpm{1483};
    plan.shaft_harmonics = {4, 2, 1, 0.5};
    plan.shaft_modulation = 0.3;
    plan.resonant_noise = 1;
    SimulatedDefect defect{Part::inner_ring, 30};
    defect.slip = 0.004;
    defect.load_zone = 0.8;
    plan.defects = {defect};
    setup.diagnosis.bearings = {here};
    setup.other_end = {there};
    FftPlans plans;
    return diagnose_at(simulate(plan).value().capture, plans, m, m.points.front(), setup).value();
  };
  // A bearing whose inner ring lies 2.1 % beside what is struck: slip would have to be as much.
  const double off = 5.53;
  const auto beside = test::orders_of(9, 9 - off, off, 2.2, (9 - off) / 9);
  const Diagnosis there = diagnosed(beside, actual);
  CHECK(there.verdict == Verdict::indeterminate);
  CHECK(there.place == Place::cannot_tell);
  REQUIRE(there.machine->other_end);
  CHECK(there.machine->other_end->verdict == Verdict::fault);
  CHECK(there.machine->other_end->place == Place::inner_ring);
  CHECK(has(there.headline, "the signs of damage fit the bearing at the NDE"));
  CHECK(assess(there).urgency == Urgency::act);  // zone D
  CHECK(has(all_actions(there), "Measure at the NDE"));
  // The other way round it is this one, and nothing is said of the other.
  const Diagnosis here = diagnosed(actual, beside);
  CHECK(here.verdict == Verdict::fault);
  CHECK(here.place == Place::inner_ring);
  CHECK(here.machine->other_end->verdict == Verdict::indeterminate);
  CHECK(here.machine->other_end->place == Place::cannot_tell);
  // Where this end's orders are sidebands of what is struck, that is said by its order.
  const double side = test::nine_elements().bpfi.value() - 1;
  const Diagnosis sideband =
      diagnosed(test::orders_of(11, side, 11 - side, 2.93, side / 11), actual);
  CHECK(sideband.verdict == Verdict::indeterminate);
  CAPTURE(sideband.headline);
  CHECK(has(sideband.headline, "impacts at 5.41"));
}

TEST_CASE("at a machine: the same bearing at both ends cannot be distinguished, and that is said") {
  const Machine m = machine_of("bearing.NDE = { designation = \"6205\" }");
  auto setup = point_setup(m, m.points.front()).value();
  setup.diagnosis.tacho_channel.clear();
  FftPlans plans;
  const auto d = diagnose_at(recorded(nullptr), plans, m, m.points.front(), setup);
  REQUIRE(d);
  REQUIRE(d->machine->other_end);
  CHECK_FALSE(d->machine->other_end->tells_apart);
}

TEST_CASE(
    "at a machine: too much vibration is in the headline and decides the urgency [src:closed-form "
    "v = a/w, "
    "iso10816-1 table B.1, secondary]") {
  const Machine m = machine_of("");
  auto setup = point_setup(m, m.points.front()).value();
  setup.diagnosis.tacho_channel.clear();
  FftPlans plans;
  // 1.2 m/s2 peak at 24.67 Hz is 7.7 mm/s peak, 5.5 mm/s rms: above 4.5 of class I.
  const auto d = diagnose_at(recorded(nullptr, 1.2), plans, m, m.points.front(), setup);
  REQUIRE(d);
  CHECK(d->machine->vibration.zone == Zone::d);
  CHECK_FALSE(d->machine->other_end);
  CHECK(has(assess(*d).headline, "zone D (5.5 mm/s rms)"));
  CHECK(assess(*d).urgency == Urgency::act);

  Machine unknown = m;
  unknown.power.reset();
  unknown.shaft_height.reset();
  const auto no = diagnose_at(recorded(nullptr, 1.2), plans, unknown, m.points.front(), setup);
  REQUIRE(no);
  CHECK_FALSE(no->machine->vibration.zone);
  CHECK(has(no->machine->vibration.why_not, "power"));
}

TEST_CASE(
    "at a machine: a slow one is measured from 2 Hz and judged by its displacement too "
    "[src:closed-form s = a / w^2, iso20816-3 table A.2, displacement from memory 92 %]") {
  Machine slow = machine_of("");
  slow.power = Kilowatts{30};
  slow.mounting = Mounting::rigid;
  slow.rated_speed = Rpm{300};
  slow.line_frequency.reset();
  auto setup = point_setup(slow, slow.points.front()).value();
  CHECK(setup.diagnosis.velocity_from == Hz{2});
  setup.diagnosis.tacho_channel.clear();
  SimulationPlan plan;
  plan.rate = Hz{25600};
  plan.duration = Seconds{20};
  plan.speed = Rpm{300};
  plan.noise = 0.01;
  // 60 um rms at 5 Hz: 1.9 mm/s rms, zone B; 45 < 60 <= 71 um, zone C.
  plan.shaft_harmonics = {60e-6 * std::sqrt(2.0) * 986.96};
  FftPlans plans;
  const auto d =
      diagnose_at(simulate(plan)->capture, plans, slow, slow.points.front(), setup).value();
  const VelocityJudgement& v = d.machine->vibration;
  REQUIRE(v.displacement);
  CHECK(v.from == Hz{2});
  CHECK(std::abs(1e6 * v.displacement->value() - 60) < 1);
  CHECK(std::abs(in_mm_per_s_rms(*v.velocity) - 1.885) < 0.03);
  CHECK(v.velocity_zone == Zone::b);
  CHECK(v.displacement_zone == Zone::c);
  CHECK(v.zone == Zone::c);
  CHECK(has(vibration_words(v), "(2-1000 Hz) and 60 µm rms, zone C"));
  CHECK(has(assess(d).headline, "zone C (60 µm rms)"));
  // Without the machine's speed the band begins at 10 Hz, as ever.
  slow.rated_speed = Rpm{1480};
  CHECK(point_setup(slow, slow.points.front())->diagnosis.velocity_from == Hz{10});
}

TEST_CASE("at a machine: unbalance leads to the usual checks first, then to balancing") {
  const std::string words{remedy(OtherCause::unbalance)};
  CHECK(words.find("soft foot") < words.find("balance the rotor"));
  for (const char* first : {"looseness", "alignment", "clean the fan", "bearingdsp balance"})
    CHECK(has(words, first));
}
