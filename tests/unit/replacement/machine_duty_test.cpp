#include "bearingdsp/replacement/machine_duty.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "bearingdsp/replacement/cause.hpp"

using namespace bearingdsp;

namespace {

Machine machine(const std::string& more) {
  return parse_machines("[[machine]]\nname = \"fan\"\n" + more, "m.toml").value().front();
}

const std::string full = R"(
drives = "fan, by a V-belt"
power_kw = 7.5
rated_rpm = 1478
speed_range_rpm = [600, 1800]
frame = "IEC 132M"
mounting = "flexible"
orientation = "vertical"
drive = "VFD"
shaft_grounded = true
surroundings = ["dusty", "outdoors", "hot"]
bearing.DE = { designation = "NU208", elements = 13, element_diameter_mm = 11, pitch_diameter_mm = 60, temperature_c = 82, radial_load_n = 900, axial_load_n = 50, insulated = true }
bearing.NDE = { designation = "6208" }
)";

}  // namespace

TEST_CASE("every field that the machine file knows reaches the duty") {
  const MotorDuty d = duty_of(machine(full), MachineEnd::drive_end);
  CHECK(d.machine == "fan");
  CHECK(d.position == "DE");
  CHECK(d.speed == Rpm{1800});
  CHECK_FALSE(d.synchronous);  // a drive sets the speed of the field
  CHECK(d.shaft_height_mm == 132.0);
  CHECK(d.power_kw == 7.5);
  CHECK(d.vertical_shaft);
  CHECK(d.belt_drive);
  CHECK(d.variable_speed);
  CHECK(d.shaft_grounded);
  CHECK(d.wet);
  CHECK(d.dusty);
  CHECK(d.mounting == Mounting::flexible);
  CHECK(d.bearing_c == 82.0);
  CHECK(d.bearing_c_known);
  CHECK(d.radial_n == 900.0);
  CHECK(d.axial_n == 50.0);
  CHECK(d.other_bearing == "6208");
  CHECK(d.points.empty());
  CHECK(d.machine_words == "--machine \"m.toml#fan\" --end DE");
  // The belt pulls on the other end, and this end's loads are not known.
  const MotorDuty other = duty_of(machine(full), MachineEnd::non_drive_end);
  CHECK_FALSE(other.belt_drive);
  CHECK_FALSE(other.radial_n.has_value());
  CHECK_FALSE(other.bearing_c_known);
  CHECK(other.other_bearing == "NU208");
}

TEST_CASE("the points and the held end reach the duty") {
  const Machine m = machine(R"(rated_rpm = 1432
bearing.DE = { designation = "6205", locating = true }
point = [{ end = "NDE", direction = "axial" }, { end = "DE", direction = "vertical" }]
)");
  const MotorDuty d = duty_of(m, MachineEnd::drive_end);
  CHECK(d.points == std::vector<std::string>{"NDE axial", "DE vertical"});
  CHECK(d.locating == true);
  CHECK(d.other_bearing.empty());
  CHECK(d.machine_words == "--machine \"m.toml#fan\" --point \"DE vertical\"");
}

TEST_CASE("what the file does not say stays open") {
  const MotorDuty d =
      duty_of(machine("bearing.DE = { designation = \"6205\" }\n"), MachineEnd::drive_end);
  CHECK_FALSE(d.speed.has_value());
  CHECK_FALSE(d.shaft_height_mm.has_value());
  CHECK_FALSE(d.variable_speed);
  CHECK(d.mounting == Mounting::unknown);
}

TEST_CASE("the field's speed is that of poles and mains [src:closed-form 60 f / pole pairs]") {
  const Machine m = machine(
      "rated_rpm = 1432\nline_frequency_hz = 50\npoles = 4\n"
      "bearing.DE = { designation = \"6205\" }\n");
  CHECK(duty_of(m, MachineEnd::drive_end).synchronous == Rpm{1500});
}

TEST_CASE("facts for the search of a cause are words that it knows") {
  const auto facts = facts_of(machine(full), MachineEnd::drive_end);
  CHECK(facts == std::vector<std::string>{"variable-frequency drive", "insulated bearing",
                                          "shaft grounded", "hot surroundings",
                                          "dusty surroundings", "wet surroundings", "belt drive",
                                          "cylindrical roller bearing"});
  for (const std::string& fact : facts)
    CHECK(std::find(cause_facts().begin(), cause_facts().end(), fact) != cause_facts().end());
}

TEST_CASE("grease, seal, room, magnets and certificate of the file reach duty and dangers") {
  const auto machines = parse_machines(
      "[[machine]]\nname = \"saw\"\nrotor = \"permanent magnet\"\nexplosion_protected = true\n"
      "ambient_c = 41\nbearing.DE = { designation = \"6312\", lubricant = \"polyurea NLGI 2\", "
      "seal = \"V-ring 60\" }\n",
      "mill.toml");
  REQUIRE(machines.has_value());
  const MotorDuty d = duty_of(machines->front(), MachineEnd::drive_end);
  CHECK(d.lubricant == "polyurea NLGI 2");
  CHECK(d.old_grease == "polyurea");
  CHECK(d.seal == "V-ring 60");
  CHECK(d.ambient_c == 41);
  const Dangers dangers = dangers_of(d);
  CHECK(dangers.magnet_rotor);
  CHECK(dangers.explosion_protected);
  CHECK_FALSE(dangers.variable_speed);
  const auto plan = plan_replacement(read_designation("NU312").value().front(), d).value();
  CHECK(dangers_of(plan).rollers);
  CHECK_FALSE(dangers_of(plan).closed_bearing);
}
