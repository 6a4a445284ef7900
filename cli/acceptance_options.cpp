#include "acceptance_options.hpp"

#include "bearing_options.hpp"
#include "checks.hpp"

#include <utility>

#include "bearingdsp/replacement/check_sheets.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

Result<void> take_known(AcceptancePlan& k, const KnownRecording& known) {
  if (known.machine) {
    const Machine& machine = *known.machine;
    k.key = {machine.name, known.point.name};
    k.title = machine.name + ", " + known.point.name;
    k.limits.shaft_height = machine.shaft_height;
    if (machine.drive != Drive::vfd) k.limits.synchronous = synchronous_speed(machine);
    k.limits.limits = known_limits(machine);
    if (k.limits.mounting == Mounting::unknown) k.limits.mounting = machine.mounting;
  }
  // At no load a motor runs close to its field, unless something says otherwise.
  auto setup = setup_of(known, known.speed ? known.speed : k.limits.synchronous);
  if (!setup) return setup.error();
  k.setup = std::move(*setup);
  if (known.machine) k.at = KnownPoint{*known.machine, known.point, k.setup.other_end};
  return {};
}

/// Of the motor, for the readings; with the play of the bearing at the end that was recorded.
WorkshopFacts facts_known(const KnownRecording& known) {
  if (!known.machine) return {};
  const auto& bearing = known.machine->bearing(known.point.end);
  return with_rotor_play(workshop_facts(*known.machine, known.point.end),
                         bearing ? bearing->designation : std::string{});
}

}  // namespace

Result<AcceptancePlan> acceptance_plan(const AcceptanceCommand& o,
                                       const std::vector<std::string>& files) {
  AcceptancePlan k;
  k.title = o.files.size() == 1 ? o.files.front() : std::to_string(o.files.size()) + " recordings";
  k.limits = o.limits;
  auto known = known_recordings(files, o.at, typed_facts(o.reading, o.rpm.has_value(), false));
  if (!known) return known.error();
  say_taken(*known);
  if (const auto done = take_known(k, known->front()); !done) return done.error();
  k.recordings = std::move(*known);
  const auto bearing = choose_bearing(o.bearing);
  if (!bearing) return bearing.error();
  if (!bearing->candidates.empty()) k.setup.diagnosis.bearings = bearing->candidates;
  if (o.rpm) {
    k.setup.diagnosis.speed = Rpm{*o.rpm};
    k.setup.diagnosis.speed_low = k.setup.diagnosis.speed_high = {};
  }
  if (o.shaft_height) k.limits.shaft_height = Millimetres{*o.shaft_height};
  if (o.synchronous) k.limits.synchronous = Rpm{*o.synchronous};
  const auto input = take_readings(o.workshop, facts_known(k.recordings.front()));
  if (!input) return input.error();
  auto checks = judge_readings(input->readings, input->facts);
  if (!checks) return checks.error();
  k.limits.checks = std::move(*checks);
  return k;
}

void add_limit_options(CLI::App& c, AcceptanceCommand& o) {
  const std::string group = "The limits";
  c.add_option("--standard", o.limits.standard, "iec (60034-14, the default) or nema (MG 1)")
      ->type_name("NAME")
      ->group(group)
      ->transform(one_word_of({{"iec", static_cast<int>(NoLoadStandard::iec60034_14)},
                               {"nema", static_cast<int>(NoLoadStandard::nema_mg1)}}));
  c.add_option("--shaft-height", o.shaft_height, "shaft height: shaft centre above the feet")
      ->type_name("MM")
      ->group(group);
  c.add_option("--mounting", o.limits.mounting,
               "mounting during this run: rigid, or flexible (springs, rubber)")
      ->type_name("WORD")
      ->group(group)
      ->transform(one_word_of({{"rigid", static_cast<int>(Mounting::rigid)},
                               {"flexible", static_cast<int>(Mounting::flexible)}}));
  c.add_option("--grade", o.limits.grade, "vibration grade on the nameplate: A (the default) or B")
      ->type_name("LETTER")
      ->group(group)
      ->transform(one_word_of({{"A", static_cast<int>(VibrationGrade::a)},
                               {"B", static_cast<int>(VibrationGrade::b)}}));
  c.add_option("--synchronous", o.synchronous,
               "synchronous speed: shows whether the motor is unloaded")
      ->type_name("RPM")
      ->check(between(1.0, 1e6))
      ->group(group);
  c.add_option("--hours", o.limits.hours_run, "hours that the new bearing has run")
      ->type_name("H")
      ->check(between(0.0, 1e6))
      ->group(group);
}

}  // namespace cli
