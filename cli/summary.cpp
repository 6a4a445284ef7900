#include "bearingdsp/report/summary.hpp"

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <utility>

#include "bearingdsp/report/calendar.hpp"
#include "checks.hpp"
#include "commands.hpp"
#include "history_options.hpp"
#include "page_file.hpp"
#include "plant.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct DueCommand {
  std::string store{"history.db"}, out;
  int survey_days{usual_survey_days};
  PageOptions page;
  OutputRules outputs;
  bool json{false};
  Printing printing;
};

/// The machines of the store, and the name of the plant.
Result<PlantSummary> summary_of(const std::string& store) {
  const auto plant = plant_here();
  if (!plant) return plant.error();
  auto history = History::open(store, Access::read_only);
  if (!history) return history.error();
  const auto standings = worst_first(*history);
  if (!standings) return standings.error();
  PlantSummary summary{store, machines_due(*standings)};
  if (*plant && (*plant)->store == store && !(*plant)->name.empty()) summary.plant = (*plant)->name;
  return summary;
}

Exit run_summary(const DueCommand& o) {
  auto page = PageFile::create(o.page, {o.store});
  if (!page) return fail(page.error());
  const auto summary = summary_of(o.store);
  if (!summary) return fail(summary.error());
  if (const auto done = page->write_sheet(summary_html(*summary)); !done) return fail(done.error());
  if (o.json)
    print(summary_json(*summary) + "\n");
  else
    show(summary_report(*summary), o.printing);
  return summary->machines.empty() ? Exit::no_fault : exit_of(summary->machines.front().urgency);
}

Exit run_calendar(const DueCommand& o) {
  std::optional<OutputFile> file;
  if (!o.out.empty() && o.out != "-") {
    auto created = OutputFiles{o.outputs, {o.store}}.open(o.out);
    if (!created) return fail(created.error());
    file = std::move(*created);
  }
  const auto plant = plant_here();
  if (!plant) return fail(plant.error());
  auto history = History::open(o.store, Access::read_only);
  if (!history) return fail(history.error());
  const auto standings = worst_first(*history);
  if (!standings) return fail(standings.error());
  if (standings->empty())
    return fail({Errc::not_found, o.store, "holds no readings, so nothing is due",
                 "add a survey with: bearingdsp route run"});
  CalendarOptions options;
  // Not where it is typed from: the events of the last file have to be found again.
  options.plant = std::filesystem::weakly_canonical(o.store).string();
  if (*plant && (*plant)->store == o.store && !(*plant)->name.empty())
    options.plant = (*plant)->name;
  options.now = history->now();
  options.survey_days = o.survey_days;
  const std::string text = calendar(machines_due(*standings, o.survey_days), options);
  if (!file) {
    print(text);
    return Exit::no_fault;
  }
  if (const auto done = file->write(text); !done) return fail(done.error());
  if (const auto done = file->commit(); !done) return fail(done.error());
  return Exit::no_fault;
}

}  // namespace

void add_summary(CLI::App& app, Run& run) {
  auto o = std::make_shared<DueCommand>();
  CLI::App* c = app.add_subcommand(
      "summary",
      "One page for the plant manager: machines by urgency, what changed, what each needs.\n"
      "Example: bearingdsp summary --report summary.html");
  add_store_option(*c, o->store);
  add_report_option(*c, o->page);
  c->add_flag("--json", o->json, "print JSON");
  add_printing_options(*c, o->printing);
  set_run(*c, run, o, run_summary);
}

void add_calendar(CLI::App& app, Run& run) {
  auto o = std::make_shared<DueCommand>();
  CLI::App* c = app.add_subcommand(
      "calendar",
      "What is due at which machine, as a calendar file (.ics) with an event a machine.\n"
      "Example: bearingdsp calendar --out due.ics");
  add_store_option(*c, o->store);
  add_output_option(*c, o->outputs, "--out", o->out, "file to write, or - for stdout (the default)")
      ->type_name("FILE");
  c->add_option("--survey-days", o->survey_days, "days between two surveys (28)")
      ->type_name("DAYS")
      ->check(whole_between(1, 3650));
  set_run(*c, run, o, run_calendar);
}

}  // namespace cli
