#include "diagnose_options.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "bearingdsp/machine/model_file.hpp"
#include "checks.hpp"
#include "commands.hpp"
#include "plant.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

Result<void> put_speed(DiagnoseOptions& d, const DiagnoseCommand& o) {
  d.speed_tolerance = o.tolerance_percent / 100;
  if (o.rpm) {
    d.speed = Rpm{*o.rpm};
    d.speed_low = d.speed_high = {};
  }
  if (o.rpm_range.empty()) return {};
  const auto range = numbers(o.rpm_range, "--rpm-range", 2, 2);
  if (!range) return range.error();
  if (!((*range)[0] > 0 && (*range)[0] < (*range)[1]))
    return Error{Errc::bad_argument, "--rpm-range", "the first value must be lower than the second",
                 "write it like 1400,1500"};
  if (!o.rpm) d.speed = {};
  d.speed_low = Rpm{(*range)[0]};
  d.speed_high = Rpm{(*range)[1]};
  return {};
}

CurvesKept curves_for(const DiagnoseCommand& o) {
  if (o.page.wanted() || (o.json && o.curves)) return CurvesKept::all;
  // The detailed text shows the envelope spectrum only.
  return o.printing.verbose && !o.printing.quiet && !o.json ? CurvesKept::envelope
                                                            : CurvesKept::none;
}

/// What the machine says; `speed` is that at measuring.
Result<DiagnosePlan> at_machine(Machine machine, MeasuringPoint point, std::optional<Rpm> speed) {
  DiagnosePlan plan;
  auto setup = point_setup(machine, point, speed);
  if (!setup) return setup.error();
  if (const auto& bearing = machine.bearing(point.end)) plan.bearing = bearing->designation;
  plan.machine = std::move(machine);
  plan.point = std::move(point);
  plan.setup = std::move(*setup);
  return plan;
}

/// Where the file belongs: as typed, else what the plant knows of it.
Result<RecordingPlace> place_for(const std::string& file, const MachineOptions& at,
                                 const std::optional<Plant>& plant) {
  RecordingPlace place;
  if (at.given()) {
    auto machine = choose_machine(at.machine);
    if (!machine) return machine.error();
    place.machine = std::move(*machine);
  } else if (plant) {
    auto found = place_of(*plant, file);
    if (!found) return found.error();
    place = std::move(*found);
  }
  if (!place.machine) {
    if (at.point.empty() && at.end.empty()) return place;
    return Error{
        Errc::bad_argument, at.point.empty() ? "--end" : "--point",
        plant ? file + " does not name a machine of the plant" : "only valid with a machine file",
        plant ? "add --machine NAME" : "add --machine FILE"};
  }
  if (place.point && at.point.empty() && at.end.empty()) return place;
  auto point = choose_point(*place.machine, at);
  if (!point) return point.error();
  place.point = std::move(*point);
  return place;
}

/// The sensor and the mains of the plant, into what does not say its own; the name of the sensor.
std::string take_from_plant(RecordingPlace& place, MeasuringPoint& point, const Plant& plant) {
  const Sensor* sensor = place.sensor.empty() ? nullptr : find_sensor(plant.sensors, place.sensor);
  // The points of machines have theirs already, and are marked.
  if (sensor == nullptr && !point.assumed && place.machine) sensor = plant.sensor_of(point);
  if (sensor == nullptr && !place.machine) sensor = plant.usual_sensor();
  if (sensor != nullptr) take_sensor(point, *sensor);
  if (sensor != nullptr) return sensor->name;
  if (!point.assumed) return {};
  const Sensor* named = find_sensor(plant.sensors, point.sensor);
  return (named != nullptr ? named : plant.usual_sensor())->name;
}

/// In words what came from the plant and was not typed.
std::string taken_by(const DiagnoseCommand& o, const Plant& plant, RecordingPlace place,
                     const std::string& sensor) {
  const ReadingOptions& r = o.reading;
  const bool calibrated = !r.units.empty() || !r.sensitivities.empty() || r.full_scale;
  if (o.rpm || !o.rpm_range.empty()) place.speed.reset();
  const bool mains = !o.line_hz && (!place.machine || place.machine->line_frequency == plant.mains);
  return taken_from(plant, place, calibrated ? "" : sensor, mains);
}

/// What the machine file or the plant says; without them nothing.
Result<DiagnosePlan> from_machine(const DiagnoseCommand& o, const std::string& file,
                                  const MachineOptions& at) {
  const auto plant = plant_here();
  if (!plant) return plant.error();
  auto place = place_for(file, at, *plant);
  if (!place) return place.error();
  MeasuringPoint point = place->point.value_or(MeasuringPoint{});
  const std::string sensor = *plant ? take_from_plant(*place, point, **plant) : "";
  Result<DiagnosePlan> plan{DiagnosePlan{}};
  if (place->machine) {
    plan = at_machine(*place->machine, point, place->speed);
    if (!plan) return plan;
  } else if (*plant) {
    plan->setup.reading = reading_options(point);
    plan->setup.diagnosis.line_frequency = (*plant)->mains;
    plan->setup.diagnosis.speed = place->speed;
  }
  plan->sensor = sensor;
  plan->recorded = place->findings;
  if (*plant) plan->taken = taken_by(o, **plant, std::move(*place), sensor);
  return plan;
}

Result<DiagnosePlan> diagnose_plan(const DiagnoseCommand& o, const std::string& file,
                                   const std::string& point) {
  MachineOptions at = o.at;
  at.point = point;
  auto plan = from_machine(o, file, at);
  if (!plan) return plan;
  auto bearing = choose_bearing(o.bearing);
  if (!bearing) return bearing.error();
  if (!bearing->candidates.empty()) {
    plan->setup.diagnosis.bearings = bearing->candidates;
    plan->bearing = bearing->title;
  }
  plan->setup.reading = merged(plan->setup.reading, o.reading);
  DiagnoseOptions& d = plan->setup.diagnosis;
  if (auto done = put_speed(d, o); !done) return done.error();
  if (o.line_hz) d.line_frequency = Hz{*o.line_hz};
  d.prior = o.prior_percent / 100;
  if (!o.tacho.empty()) d.tacho_channel = o.tacho;
  plan->tacho_typed = !o.tacho.empty();
  if (o.pulses) d.pulses_per_revolution = *o.pulses;
  // A tacho has to be read too where only some channels are asked for.
  if (!o.tacho.empty() && !plan->setup.reading.select.empty())
    plan->setup.reading.select.push_back(o.tacho);
  d.keep_curves = curves_for(o);
  plan->channels_from = o.channels_from;
  if (o.model.empty()) return plan;
  const auto model = read_model(o.model);
  if (!model) return model.error();
  d.model = *model;
  return plan;
}

}  // namespace

Result<DiagnosePlans> diagnose_plans(const DiagnoseCommand& o) {
  DiagnosePlans all;
  const std::size_t n = std::max<std::size_t>(1, o.points.size());
  if (!o.channels_from.empty() && o.files.size() > 1)
    return Error{Errc::bad_argument, "--channels-from",
                 "this option takes one recording, but several are given",
                 "give one file, and its other channels with this option"};
  if (n > 1 && o.files.size() > 1 && n != o.files.size())
    return Error{Errc::bad_argument, "--point",
                 fmt::format("{} points for {} files", n, o.files.size()),
                 "give one point for all files, or one for each in the same order"};
  const std::size_t all_files = std::max(n, o.files.size());
  for (std::size_t i = 0; i < all_files; ++i) {
    const std::string& file = o.files[o.files.size() == 1 ? 0 : i];
    auto plan = diagnose_plan(o, file, o.points.empty() ? "" : o.points[n == 1 ? 0 : i]);
    if (!plan) return plan.error();
    all.plans.push_back(std::move(*plan));
    all.files.push_back({file, i});
  }
  return all;
}

void add_diagnose_options(CLI::App& c, DiagnoseCommand& o) {
  c.add_option("files", o.files, "recordings of one measuring point each")
      ->type_name("FILE")
      ->required();
  add_machine_option(c, o.at);
  const std::string machine = "The machine (instead of the options below)";
  c.add_option("--point", o.points,
               "measuring point, as in the machine file; give one for each file to find out at "
               "which end the damage is")
      ->type_name("NAME")
      ->expected(1)
      ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll)
      ->group(machine);
  c.add_option("--end", o.at.end, "end at which it was measured, if there is no point")
      ->type_name("DE|NDE")
      ->group(machine);
  c.add_flag("--together", o.together,
             "one answer from all files: recordings of one point (parts, visits, loads)");
  add_bearing_options(c, o.bearing);
  add_reading_options(c, o.reading);
  add_channels_from_option(c, o.channels_from);
  const std::string speed = "The speed (found from the recording where possible)";
  c.add_option("-n,--rpm", o.rpm, "shaft speed: from the nameplate, or more exact")
      ->type_name("RPM")
      ->check(between(1.0, 1e6))
      ->group(speed);
  c.add_option("--rpm-tolerance", o.tolerance_percent, "tolerance of that speed (5)")
      ->type_name("PERCENT")
      ->check(between(0.0, 50.0))
      ->group(speed);
  c.add_option("--rpm-range", o.rpm_range, "search for the speed in this range")
      ->type_name("LOW,HIGH")
      ->group(speed);
  c.add_option("--tacho", o.tacho, "channel with the shaft marker, by name or number")
      ->type_name("NAME")
      ->group(speed);
  c.add_option("--pulses", o.pulses, "tacho pulses per revolution (1)")
      ->type_name("N")
      ->check(between(0.001, 1e5))
      ->group(speed);
  c.add_option("--line-frequency", o.line_hz, "mains frequency, 50 or 60")
      ->type_name("HZ")
      ->check(between(10.0, 500.0))
      ->group(speed);
  add_model_option(c, o.model);
  c.add_option(
       "--prior", o.prior_percent,
       "share of damaged bearings among those you measure (10): decides how probable damage "
       "remains where nothing is found")
      ->type_name("PERCENT")
      ->check(between(0.1, 99.0));
  const std::string output = "Output";
  c.add_flag("--json", o.json, "print JSON (one line per file for several files)")->group(output);
  c.add_flag("--curves", o.curves, "with --json: the spectra and the waveform too")->group(output);
  add_picture_option(c, o.page, output);
  add_report_option(c, o.page, output);
  add_printing_options(c, o.printing, Details::some, output);
}

}  // namespace cli
