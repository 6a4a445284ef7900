#include "diagnose_options.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "bearing_options.hpp"
#include "bearingdsp/machine/model_file.hpp"
#include "checks.hpp"
#include "commands.hpp"
#include "known_recording.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

constexpr const char* machine_group = "The machine (instead of the options below)";

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

/// What the machine file or the plant says; without them nothing.
Result<DiagnosePlan> from_machine(const DiagnoseCommand& o, const std::string& file,
                                  const MachineOptions& at) {
  auto known = known_recording(
      file, at, typed_facts(o.reading, o.rpm || !o.rpm_range.empty(), o.line_hz.has_value()));
  if (!known) return known.error();
  auto setup = setup_of(*known);
  if (!setup) return setup.error();
  DiagnosePlan plan;
  plan.setup = std::move(*setup);
  plan.taken = std::move(known->taken);
  plan.sensor = std::move(known->sensor);
  plan.recorded = std::move(known->findings);
  if (!known->machine) return plan;
  if (const auto& bearing = known->machine->bearing(known->point.end))
    plan.bearing = bearing->designation;
  plan.machine = std::move(known->machine);
  plan.point = std::move(known->point);
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
  if (!o.channels_from.empty() && o.files.size() > 1) return one_recording_only("--channels-from");
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

namespace {

void add_speed_options(CLI::App& c, DiagnoseCommand& o) {
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
}

}  // namespace

void add_source_options(CLI::App& c, DiagnoseCommand& o) {
  c.add_option("files", o.files, "recordings of one measuring point each")->type_name("FILE");
  add_recorded_options(c, o);
}

void add_recorded_options(CLI::App& c, DiagnoseCommand& o) {
  add_machine_option(c, o.at);
  c.add_option("--point", o.points,
               "measuring point, as in the machine file; give one for each file to find out at "
               "which end the damage is")
      ->type_name("NAME")
      ->expected(1)
      ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll)
      ->group(machine_group);
  c.add_option("--end", o.at.end, "end at which it was measured, if there is no point")
      ->type_name("DE|NDE")
      ->group(machine_group);
  add_bearing_options(c, o.bearing);
  add_reading_options(c, o.reading);
  add_speed_options(c, o);
}

void add_diagnose_options(CLI::App& c, DiagnoseCommand& o) {
  add_source_options(c, o);
  c.get_option("files")->required();
  c.add_flag("--together", o.together,
             "one answer from all files: recordings of one point (parts, surveys, loads)");
  add_channels_from_option(c, o.channels_from);
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
