#include "bearingdsp/replacement/machine_duty.hpp"

#include <algorithm>
#include <string_view>

#include "bearingdsp/bearing/designation.hpp"
#include "bearingdsp/core/letters.hpp"
#include "bearingdsp/replacement/grease_mixing.hpp"

namespace bearingdsp {
namespace {

bool surrounded_by(const Machine& m, Surroundings what) {
  return std::find(m.surroundings.begin(), m.surroundings.end(), what) != m.surroundings.end();
}

bool says(const std::string& words, std::string_view word) {
  return lower(words).find(word) != std::string::npos;
}

bool wet(const Machine& m) {
  return surrounded_by(m, Surroundings::wet) || surrounded_by(m, Surroundings::outdoors);
}

/// The pull of a belt is on the drive end.
bool belt(const Machine& m, MachineEnd end) {
  return end == MachineEnd::drive_end && says(m.drives, "belt");
}

/// `where` is "machines.toml:12".
std::string words_for(const Machine& m, MachineEnd end) {
  const std::string file = m.where.substr(0, m.where.rfind(':'));
  if (file.empty()) return "";
  const auto point = std::find_if(m.points.begin(), m.points.end(),
                                  [&](const MeasuringPoint& p) { return p.end == end; });
  return "--machine \"" + file + "#" + m.name + "\"" +
         (point == m.points.end() ? " --end " + std::string{token(end)}
                                  : " --point \"" + point->name + "\"");
}

bool is_cylindrical_roller(const std::string& designation) {
  const auto readings = read_designation(designation);
  return readings && readings->size() == 1 &&
         readings->front().type == BearingType::cylindrical_roller;
}

}  // namespace

MotorDuty duty_of(const Machine& m, MachineEnd end) {
  MotorDuty d;
  d.machine = m.name;
  d.position = words(end);
  d.speed = m.speed_range ? std::optional{m.speed_range->highest} : m.rated_speed;
  if (m.drive != Drive::vfd) d.synchronous = synchronous_speed(m);
  if (m.shaft_height) d.shaft_height_mm = m.shaft_height->value();
  if (m.power) d.power_kw = m.power->value();
  d.vertical_shaft = m.orientation == Orientation::vertical;
  d.belt_drive = belt(m, end);
  d.variable_speed = m.drive == Drive::vfd;
  d.shaft_grounded = m.shaft_grounded.value_or(false);
  d.wet = wet(m);
  d.dusty = surrounded_by(m, Surroundings::dusty);
  d.magnet_rotor = m.rotor == Rotor::permanent_magnet;
  d.explosion_protected = m.explosion_protected;
  if (m.ambient) d.ambient_c = m.ambient->value();
  d.mounting = m.mounting;
  for (const MeasuringPoint& p : m.points) d.points.push_back(p.name);
  d.machine_words = words_for(m, end);
  const auto& other = m.bearing(other_end(end));
  if (other) d.other_bearing = other->designation;
  const auto& bearing = m.bearing(end);
  if (!bearing) return d;
  d.lubricant = bearing->lubricant;
  d.old_grease = thickener_in(bearing->lubricant);
  d.seal = bearing->seal;
  d.locating = bearing->locating;
  if (bearing->temperature) {
    d.bearing_c = bearing->temperature->value();
    d.bearing_c_known = true;
  }
  if (bearing->radial_load) d.radial_n = bearing->radial_load->value();
  if (bearing->axial_load) d.axial_n = bearing->axial_load->value();
  return d;
}

Dangers dangers_of(const MotorDuty& duty) {
  Dangers d;
  d.variable_speed = duty.variable_speed;
  d.magnet_rotor = duty.magnet_rotor;
  d.explosion_protected = duty.explosion_protected;
  return d;
}

Dangers dangers_of(const ReplacementPlan& plan) {
  Dangers d = dangers_of(plan.duty);
  d.closed_bearing = plan.facts.designation.closure != Closure::open;
  d.heated_above_80 = plan.heat && plan.heat->aim_c > hottest_closed_c;
  d.rollers = has_rollers(plan.facts.designation.type);
  return d;
}

std::vector<std::string> facts_of(const Machine& m, MachineEnd end) {
  std::vector<std::string> facts;
  const auto add = [&](bool holds, std::string_view fact) {
    if (holds) facts.emplace_back(fact);
  };
  const auto& bearing = m.bearing(end);
  add(m.drive == Drive::vfd, "variable-frequency drive");
  add(bearing && bearing->insulated.value_or(false), "insulated bearing");
  add(m.shaft_grounded.value_or(false), "shaft grounded");
  add(surrounded_by(m, Surroundings::hot), "hot surroundings");
  add(surrounded_by(m, Surroundings::dusty), "dusty surroundings");
  add(wet(m), "wet surroundings");
  add(belt(m, end), "belt drive");
  add(end == MachineEnd::drive_end && says(m.drives, "coupling"), "coupled drive");
  add(bearing && is_cylindrical_roller(bearing->designation), "cylindrical roller bearing");
  return facts;
}

}  // namespace bearingdsp
