#include "bearingdsp/verdict/at_machine.hpp"

#include <doctest/doctest.h>

#include <string>

#include "bearingdsp/simulate/simulation.hpp"

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

}  // namespace

TEST_CASE("at a machine: the file tells the reader and the diagnosis what they need") {
  const Machine m = machine_of("bearing.NDE = { designation = \"6203\" }");
  const auto s = point_setup(m, m.points.front());
  REQUIRE(s);
  CHECK(s->diagnosis.speed == Rpm{1480});
  CHECK(s->diagnosis.line_frequency == Hz{50});
  CHECK(s->diagnosis.tacho_channel == "marker");
  CHECK(s->diagnosis.pulses_per_revolution == 2);
  CHECK(s->reading.select == std::vector<std::string>{"x", "marker"});
  CHECK(s->reading.sensitivity_mv_per_g == std::vector<double>{100});
  REQUIRE_FALSE(s->variants.empty());
  CHECK(s->variants.front().rolling_elements == 9);
  CHECK(s->other_end.front().rolling_elements == 8);
  CHECK(point_setup(m, m.points.front(), Rpm{1450})->diagnosis.speed == Rpm{1450});
}

TEST_CASE(
    "at a machine: damage that only the other end's bearing can make sends one there "
    "[src:the simulation's truth]") {
  const Machine m = machine_of("bearing.NDE = { designation = \"6203\", elements = 8 }");
  auto setup = point_setup(m, m.points.front()).value();
  setup.diagnosis.tacho_channel.clear();
  FftPlans plans;
  const auto d = diagnose_at(recorded(&setup.other_end.front()), plans, m, m.points.front(), setup);
  REQUIRE(d);
  CHECK(d->verdict != Verdict::fault);
  REQUIRE(d->machine);
  REQUIRE(d->machine->other_end);
  CHECK(d->machine->other_end->tells_apart);
  CHECK(d->machine->other_end->end == MachineEnd::non_drive_end);
  CHECK(d->machine->other_end->verdict == Verdict::fault);
  CHECK(d->machine->other_end->place == Place::outer_ring);
  REQUIRE_FALSE(d->advice.empty());
  CHECK(has(d->advice.front(), "Measure at the NDE"));
}

TEST_CASE("at a machine: the same bearing at both ends cannot be told apart, and that is said") {
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
    "at a machine: too much vibration comes first in the advice [src:closed-form v = a/w, "
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
  CHECK(has(d->advice.front(), "zone D"));

  Machine unknown = m;
  unknown.power.reset();
  unknown.shaft_height.reset();
  const auto no = diagnose_at(recorded(nullptr, 1.2), plans, unknown, m.points.front(), setup);
  REQUIRE(no);
  CHECK_FALSE(no->machine->vibration.zone);
  CHECK(has(no->machine->vibration.why_not, "power"));
}
