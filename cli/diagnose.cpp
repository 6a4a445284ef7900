#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/text.hpp"
#include "bearingdsp/verdict/together.hpp"
#include "commands.hpp"
#include "diagnose_ends.hpp"
#include "diagnose_options.hpp"
#include "diagnose_recording.hpp"
#include "page_file.hpp"
#include "show.hpp"
#include "terminal.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

bool single(const DiagnoseCommand& o) {
  return (o.together || o.files.size() == 1) && o.points.size() < 2;
}

void print_diagnosis(const Diagnosis& d, const DiagnoseCommand& o, const std::string& bearing) {
  if (o.json) {
    JsonOptions json;
    json.pretty = single(o);
    json.bearing = bearing;
    json.curves = o.curves;
    print(diagnosis_json(d, json) + "\n");
    return;
  }
  TextOptions text = text_options(o.printing);
  print(to_text(diagnosis_report(d), text));
}

/// One page and one picture are of one recording.
Result<PageFile> page_of(const DiagnoseCommand& o) {
  if (o.page.wanted() && !single(o))
    return Error{Errc::bad_argument, o.page.report.empty() ? "--picture" : "--report",
                 o.files.size() > 1
                     ? "this option takes one file, but several are given"
                     : "this option takes one measuring point, but the machine has several",
                 "give one file and one point at a time"};
  return PageFile::create(o.page);
}

/// Whether all recordings are of one point.
bool one_point(const DiagnosePlans& plans) {
  const DiagnosePlan& first = plans.plans.front();
  return std::all_of(plans.plans.begin(), plans.plans.end(), [&](const DiagnosePlan& p) {
    return p.machine.has_value() == first.machine.has_value() &&
           (!p.machine || p.machine->name == first.machine->name) &&
           p.point.name == first.point.name;
  });
}

/// One answer from all recordings. One that cannot be read ends it: the answer would be another.
Exit run_together(const DiagnoseCommand& o, const DiagnosePlans& plans, PageFile& page) {
  if (o.files.size() < 2 || !one_point(plans))
    return fail({Errc::bad_argument, "--together",
                 o.files.size() < 2 ? "one recording only" : "recordings of several points",
                 "give two or more recordings of one point"});
  FftPlans fft;
  std::vector<Diagnosis> all;
  Progress progress{"analysing"};
  for (const auto& [file, which] : plans.files) {
    progress.show(all.size(), plans.files.size());
    auto d = diagnose_file(file, plans.plans[which], fft);
    if (!d) return fail(d.error());
    all.push_back(std::move(*d));
  }
  const auto joint = judge_together(all);
  if (!joint) return fail(joint.error());
  print_diagnosis(*joint, o, plans.plans.front().bearing);
  if (page.wanted())
    if (const auto done = page.write(diagnosis_report(*joint)); !done) return fail(done.error());
  return exit_of(assess(*joint).urgency);
}

}  // namespace

Exit run_diagnose(const DiagnoseCommand& o) {
  const auto plans = diagnose_plans(o);
  if (!plans) return fail(plans.error());
  auto page = page_of(o);
  if (!page) return fail(page.error());
  if (o.together) return run_together(o, *plans, *page);
  FftPlans fft;
  Exit exit = Exit::no_fault;
  bool first = true;
  std::vector<Diagnosis> at_machine;
  for (const auto& [file, which] : plans->files) {
    const DiagnosePlan& plan = plans->plans[which];
    auto d = diagnose_file(file, plan, fft);
    if (!std::exchange(first, false) && !o.json && !o.printing.quiet) print("\n");
    if (!d) {
      exit = worse(exit, fail(d.error()));
      JsonOptions json;
      json.pretty = single(o);
      if (o.json) print(error_json(file, d.error(), json) + "\n");
      continue;
    }
    print_diagnosis(*d, o, plan.bearing);
    exit = worse(exit, exit_of(assess(*d).urgency));
    if (page->wanted())
      if (const auto done = page->write(diagnosis_report(*d)); !done) return fail(done.error());
    d->curves.clear();
    if (d->machine) at_machine.push_back(std::move(*d));
  }
  print_ends(at_machine, o.json, o.printing);
  return exit;
}

void add_diagnose(CLI::App& app, Run& run) {
  auto o = std::make_shared<DiagnoseCommand>();
  CLI::App* c = app.add_subcommand(
      "diagnose",
      "Is the bearing failing, which component, and what to do.\n"
      "Examples: bearingdsp diagnose fan.csv --bearing 6205 --rpm 1480 --unit g\n"
      "          bearingdsp diagnose fan.wav --machine machines.toml#fan "
      "--point \"DE horizontal\"");
  add_diagnose_options(*c, *o);
  set_run(*c, run, o, run_diagnose);
}

}  // namespace cli
