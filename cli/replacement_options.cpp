#include "replacement_options.hpp"

#include "bearingdsp/replacement/machine_duty.hpp"
#include "checks.hpp"
#include "options.hpp"

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
  prefer(d.housing_mm, s.housing_mm);
  prefer(d.pulley_mm, s.pulley_mm);
  prefer(d.coldest_c, s.coldest_c);
  d.vertical_shaft = d.vertical_shaft || s.vertical_shaft;
  d.belt_drive = d.belt_drive || s.belt_drive || s.pulley_mm.has_value();
  d.belt = s.belt;
  d.variable_speed = d.variable_speed || s.variable_speed;
  d.shaft_grounded = d.shaft_grounded || s.shaft_grounded;
  d.wet = d.wet || s.wet;
  d.dusty = d.dusty || s.dusty;
  if (s.mounting != Mounting::unknown) d.mounting = s.mounting;
  if (o.bearing_c) {
    d.bearing_c = *o.bearing_c;
    d.bearing_c_known = true;
  }
  d.workshop_c = s.workshop_c;
  d.load = s.load;
  d.magnet_rotor = d.magnet_rotor || s.magnet_rotor;
  d.explosion_protected = d.explosion_protected || s.explosion_protected;
  d.grease = s.grease;
  if (!s.old_grease.empty()) d.old_grease = s.old_grease;
  // A machine file knows the old one; alone it is no question about mixing.
  if (d.grease.empty() && s.old_grease.empty()) d.old_grease.clear();
}

/// --oil V40[,V100]
Result<std::optional<BaseOil>> oil_of(const std::string& text) {
  if (text.empty()) return std::optional<BaseOil>{};
  const auto v = numbers(text, "--oil", 1, 2);
  if (!v) return v.error();
  return std::optional{
      BaseOil{v->front(), v->size() > 1 ? std::optional{v->back()} : std::nullopt}};
}

std::string designation_at(const Machine& m, MachineEnd end) {
  return m.bearing(end) ? m.bearing(end)->designation : "";
}

Result<ReplacementJob> from_machine(const ReplacementCommand& o) {
  const auto machine = choose_machine_aloud(o.at.machine);
  if (!machine) return machine.error();
  const auto end = chosen_end(*machine, o.at.end);
  if (!end) return end.error();
  ReplacementJob job{o.number, duty_of(*machine, *end)};
  if (job.number.empty()) job.number = designation_at(*machine, *end);
  if (job.number.empty())
    return Error{Errc::bad_argument, "machine '" + machine->name + "'",
                 "does not state the bearing at " + std::string{words(*end)},
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
  auto oil = oil_of(o.oil);
  if (!oil) return oil.error();
  job.duty.oil = *oil;
  return job;
}

Result<ReplacementPlan> planned(const ReplacementCommand& o) {
  const auto job = replacement_job(o);
  if (!job) return job.error();
  auto readings = read_designation(job->number);
  if (!readings) return readings.error();
  if (readings->size() != 1)
    return Error{Errc::bad_argument, "designation '" + job->number + "'",
                 "fits " + std::to_string(readings->size()) + " bearings",
                 "list them with 'bearingdsp bearing', then give one"};
  return plan_replacement(readings->front(), job->duty);
}

namespace {

void add_grease_options(CLI::App& c, ReplacementCommand& o) {
  const std::string grease = "The grease";
  c.add_option("--oil", o.oil,
               "viscosity of its base oil at 40 (and 100) degrees C, as on the data sheet")
      ->type_name("V40[,V100]")
      ->group(grease);
  c.add_option("--grease", o.duty.grease, "thickener of the new grease: lithium, polyurea ...")
      ->type_name("WORD")
      ->group(grease);
  c.add_option("--old-grease", o.duty.old_grease, "thickener of the grease that is in the motor")
      ->type_name("WORD")
      ->group(grease);
}

void add_motor(CLI::App& c, ReplacementCommand& o) {
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
  c.add_option("--pulley", m.pulley_mm, "diameter of the motor pulley; gives the pull of the belt")
      ->type_name("MM")
      ->group(motor);
  c.add_option("--belt-type", m.belt,
               "v (the default), toothed, flat, or flat-idler (with a tension pulley)")
      ->type_name("WORD")
      ->group(motor)
      ->transform(one_word_of({{"v", static_cast<int>(BeltKind::v_belt)},
                               {"toothed", static_cast<int>(BeltKind::toothed)},
                               {"flat", static_cast<int>(BeltKind::flat)},
                               {"flat-idler", static_cast<int>(BeltKind::flat_with_idler)}}));
  c.add_flag("--vfd", m.variable_speed, "the motor has a variable-frequency drive")->group(motor);
  c.add_flag("--grounded", m.shaft_grounded, "the shaft is grounded")->group(motor);
  c.add_flag("--magnet-rotor", m.magnet_rotor, "the rotor has permanent magnets")->group(motor);
  c.add_flag("--explosion-protected", m.explosion_protected,
             "the motor is certified for a hazardous area")
      ->group(motor);
  c.add_flag("--wet", m.wet, "wet location")->group(motor);
  c.add_flag("--dusty", m.dusty, "dusty location")->group(motor);
  c.add_option(
       "--mounting", m.mounting,
       "mounting during the no-load run: rigid (assumed if not known), or flexible (springs, "
       "rubber)")
      ->type_name("WORD")
      ->group(motor)
      ->transform(one_word_of({{"rigid", static_cast<int>(Mounting::rigid)},
                               {"flexible", static_cast<int>(Mounting::flexible)}}));
}

void add_loads(CLI::App& c, ReplacementCommand& o) {
  MotorDuty& m = o.duty;
  const std::string bearing = "Loads and temperatures";
  c.add_option("--temperature", o.bearing_c, "bearing temperature in service (default: 70)")
      ->type_name("C")
      ->group(bearing);
  c.add_option("--coldest", m.coldest_c, "coldest temperature at which the motor starts")
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
  c.add_option("--housing", m.housing_mm, "measured bore of the housing")
      ->type_name("MM")
      ->group(bearing);
}

}  // namespace

void add_motor_options(CLI::App& c, ReplacementCommand& o) {
  add_machine_option(c, o.at);
  c.add_option("--end", o.at.end, "end of that machine")
      ->type_name("DE|NDE")
      ->group("The machine (instead of the options below)");
  add_motor(c, o);
  add_loads(c, o);
  add_grease_options(c, o);
  c.add_option("--workshop", o.duty.workshop_c, "workshop temperature (default: 20)")
      ->type_name("C")
      ->group("Loads and temperatures");
}

}  // namespace cli
