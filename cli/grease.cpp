#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/history/store.hpp"
#include "bearingdsp/report/calendar.hpp"
#include "bearingdsp/report/workshop.hpp"
#include "checks.hpp"
#include "commands.hpp"
#include "history_options.hpp"
#include "plant.hpp"
#include "replacement_options.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct GreaseCommand {
  ReplacementCommand motor;
  GreaseOptions options;
  std::string machines, store{"history.db"}, calendar;
};

bool one_bearing(const GreaseCommand& o) { return !o.motor.number.empty() || o.motor.at.given(); }

Exit run_one(const GreaseCommand& o) {
  for (const auto& [given, option] :
       {std::pair{!o.calendar.empty(), "--calendar"}, std::pair{!o.machines.empty(), "--machines"}})
    if (given)
      return fail({Errc::bad_argument, option, "is for the plan of all machines",
                   "leave out the bearing and --machine, or leave out this option"});
  const auto plan = planned(o.motor);
  if (!plan) return fail(plan.error());
  const GreaseJob job = grease_job(*plan, o.options);
  std::string title = plan->facts.designation.text();
  if (!plan->duty.machine.empty()) title += ", " + plan->duty.machine;
  if (!plan->duty.position.empty()) title += " " + plan->duty.position;
  if (o.motor.json)
    print(grease_json(job, title) + "\n");
  else
    show(grease_report(job, title), o.motor.printing);
  return Exit::no_fault;
}

/// Greasings that the store knows; none where there is no store yet.
Result<std::vector<std::pair<std::string, Event>>> noted(const std::string& store) {
  if (!std::filesystem::exists(store)) return std::vector<std::pair<std::string, Event>>{};
  auto history = History::open(store, Access::read_only);
  if (!history) return history.error();
  return history->events();
}

Exit run_fleet(const GreaseCommand& o) {
  std::optional<OutputFile> file;
  if (!o.calendar.empty() && o.calendar != "-") {
    auto created = OutputFiles{o.motor.outputs, {o.store}}.open(o.calendar);
    if (!created) return fail(created.error());
    file = std::move(*created);
  }
  const auto machines = chosen_machines(o.machines);
  if (!machines) return fail(machines.error());
  const auto events = noted(o.store);
  if (!events) return fail(events.error());
  const UtcTime now = system_time();
  const auto plan = grease_plan(*machines, *events, now, o.options);
  const auto here = plant_here();
  if (!here) return fail(here.error());
  const std::string source = !o.machines.empty()               ? o.machines
                             : *here && !(*here)->name.empty() ? (*here)->name
                                                               : "plant";
  CalendarOptions options;
  options.plant = source;
  options.now = now;
  if (o.calendar == "-") {
    print(grease_calendar(plan, options));
    return Exit::no_fault;
  }
  if (o.motor.json)
    print(grease_plan_json(plan, source) + "\n");
  else
    show(grease_plan_report(plan, source), o.motor.printing);
  if (!file) return Exit::no_fault;
  if (const auto done = file->write(grease_calendar(plan, options)); !done)
    return fail(done.error());
  if (const auto done = file->commit(); !done) return fail(done.error());
  print_note("calendar written to " + o.calendar);
  return Exit::no_fault;
}

}  // namespace

void add_grease(CLI::App& app, Run& run) {
  auto o = std::make_shared<GreaseCommand>();
  CLI::App* c = app.add_subcommand(
      "grease",
      "How much grease, in strokes, how often, and step by step; or the plan of all machines.\n"
      "Example: bearingdsp grease 6316 --rpm 1480 --per-stroke 1.3\n"
      "         bearingdsp grease --machines machines.toml --calendar greasing.ics");
  c->add_option("number", o->motor.number,
                "designation of the bearing (without it and --machine: all machines)")
      ->type_name("NUMBER");
  c->add_option("--per-stroke", o->options.g_per_stroke,
                "grease of a stroke of the gun: weigh ten strokes")
      ->type_name("G")
      ->check(between(0.01, 100));
  c->add_option("--hours-per-year", o->options.hours_per_year,
                "hours that the machines run in a year (8760)")
      ->type_name("H")
      ->check(between(1, 8784));
  const std::string fleet = "All machines";
  c->add_option("--machines", o->machines, "machine file (default: that of the plant folder)")
      ->type_name("FILE")
      ->group(fleet);
  add_output_option(*c, o->motor.outputs, "--calendar", o->calendar,
                    "write the plan as a calendar file (.ics), or - to print it", fleet)
      ->type_name("FILE");
  add_store_option(*c, o->store, store_meaning, StoreNote::by_command)->group(fleet);
  add_motor_options(*c, o->motor);
  c->add_flag("--json", o->motor.json, "print JSON");
  add_printing_options(*c, o->motor.printing);
  c->callback([o, &run] { run = [o] { return one_bearing(*o) ? run_one(*o) : run_fleet(*o); }; });
}

}  // namespace cli
