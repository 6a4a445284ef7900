#include "replacement_options.hpp"

#include "bearingdsp/replacement/machine_duty.hpp"
#include "checks.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

template <class T>
void prefer(std::optional<T>& value, const std::optional<T>& said) {
  if (said) value = said;
}

/// What was typed wins over the file; a flag can only add.
void say(MotorDuty& d, const ReplacementCommand& o) {
  const MotorDuty& s = o.duty;
  if (!s.machine.empty()) d.machine = s.machine;
  if (!s.position.empty()) d.position = s.position;
  if (o.rpm) d.speed = Rpm{*o.rpm};
  prefer(d.shaft_height_mm, s.shaft_height_mm);
  prefer(d.power_kw, s.power_kw);
  prefer(d.radial_n, s.radial_n);
  prefer(d.axial_n, s.axial_n);
  prefer(d.shaft_mm, s.shaft_mm);
  d.vertical_shaft = d.vertical_shaft || s.vertical_shaft;
  d.belt_drive = d.belt_drive || s.belt_drive;
  d.variable_speed = d.variable_speed || s.variable_speed;
  d.shaft_grounded = d.shaft_grounded || s.shaft_grounded;
  d.wet = d.wet || s.wet;
  d.dusty = d.dusty || s.dusty;
  d.rigid_mount = d.rigid_mount || s.rigid_mount;
  if (o.bearing_c) {
    d.bearing_c = *o.bearing_c;
    d.bearing_c_known = true;
  }
  d.workshop_c = s.workshop_c;
  d.load = s.load;
}

std::string designation_at(const Machine& m, MachineEnd end) {
  return m.bearing(end) ? m.bearing(end)->designation : "";
}

Result<ReplacementJob> from_machine(const ReplacementCommand& o) {
  const auto machine = choose_machine(o.at.machine);
  if (!machine) return machine.error();
  const auto end = chosen_end(*machine, o.at.end);
  if (!end) return end.error();
  ReplacementJob job{o.number, duty_of(*machine, *end)};
  if (job.number.empty()) job.number = designation_at(*machine, *end);
  if (job.number.empty())
    return Error{Errc::bad_argument, "machine '" + machine->name + "'",
                 "does not state the bearing at " + std::string{name(*end)},
                 "give the bearing's designation before --machine"};
  return job;
}

}  // namespace

Result<ReplacementJob> replacement_job(const ReplacementCommand& o) {
  ReplacementJob job{o.number, {}};
  if (o.at.given()) {
    auto known = from_machine(o);
    if (!known) return known.error();
    job = std::move(*known);
  } else if (!o.at.end.empty()) {
    return Error{Errc::bad_argument, "--end", "only valid with a machine file",
                 "add --machine FILE, or use --position"};
  } else if (o.number.empty()) {
    return Error{Errc::bad_argument, "replacement", "no bearing is given",
                 "give its designation, or --machine FILE#NAME --end DE"};
  }
  say(job.duty, o);
  return job;
}

void add_motor_options(CLI::App& c, ReplacementCommand& o) {
  add_machine_option(c, o.at);
  c.add_option("--end", o.at.end, "end of that machine")
      ->type_name("DE|NDE")
      ->group("The machine (instead of the options below)");
  const std::string motor = "The motor";
  MotorDuty& m = o.duty;
  c.add_option("--name", m.machine, "name of the machine, for the headings")->group(motor);
  c.add_option("--position", m.position, "end of the motor: DE or NDE")->group(motor);
  c.add_option("-n,--rpm", o.rpm, "shaft speed")->type_name("RPM")->group(motor);
  c.add_option("--shaft-height", m.shaft_height_mm, "shaft height: shaft centre above the feet")
      ->type_name("MM")
      ->group(motor);
  c.add_option("--power", m.power_kw, "rated power")->type_name("KW")->group(motor);
  c.add_flag("--vertical", m.vertical_shaft, "the shaft is vertical")->group(motor);
  c.add_flag("--belt", m.belt_drive, "the motor has a belt drive")->group(motor);
  c.add_flag("--vfd", m.variable_speed, "the motor has a variable-frequency drive")->group(motor);
  c.add_flag("--grounded", m.shaft_grounded, "the shaft is grounded")->group(motor);
  c.add_flag("--wet", m.wet, "wet location")->group(motor);
  c.add_flag("--dusty", m.dusty, "dusty location")->group(motor);
  c.add_flag("--rigid", m.rigid_mount, "rigid mounting during the no-load run")->group(motor);
  const std::string bearing = "Loads and temperatures";
  c.add_option("--temperature", o.bearing_c, "bearing temperature in service (default: 70)")
      ->type_name("C")
      ->group(bearing);
  c.add_option("--radial", m.radial_n, "radial load; gives the rating life")
      ->type_name("N")
      ->group(bearing);
  c.add_option("--axial", m.axial_n, "axial load")->type_name("N")->group(bearing);
  c.add_option("--load", m.load, "light, moderate, heavy or very-heavy (for the grease)")
      ->type_name("WORD")
      ->group(bearing)
      ->transform(one_word_of({{"light", static_cast<int>(LoadLevel::light)},
                               {"moderate", static_cast<int>(LoadLevel::moderate)},
                               {"heavy", static_cast<int>(LoadLevel::heavy)},
                               {"very-heavy", static_cast<int>(LoadLevel::very_heavy)}}));
  c.add_option("--shaft", m.shaft_mm, "measured diameter of the shaft seat")
      ->type_name("MM")
      ->group(bearing);
  c.add_option("--workshop", m.workshop_c, "workshop temperature (default: 20)")
      ->type_name("C")
      ->group(bearing);
}

}  // namespace cli
