#include "bearingdsp/machine/route.hpp"

#include <filesystem>
#include <memory>
#include <optional>
#include <string>

#include "bearingdsp/history/route_run.hpp"
#include "bearingdsp/history/standing.hpp"
#include "bearingdsp/report/history.hpp"
#include "checks.hpp"
#include "commands.hpp"
#include "history_options.hpp"
#include "machine_add.hpp"
#include "page_file.hpp"
#include "plant.hpp"
#include "route_answer.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct RouteCommand {
  std::string folder, route, store{"history.db"}, time, copies;
  PageOptions page;
  std::size_t jobs{0};
  bool json{false}, ndjson{false};
  Printing printing;
};

Result<RouteRun> run_all(const Route& route, History& history, const RouteCommand& o,
                         std::optional<UtcTime> time) {
  Progress progress{"analysing"};
  RouteRunOptions options;
  options.jobs = o.jobs;
  options.time = time;
  options.copies = o.copies;
  options.progress = [&](std::size_t done, std::size_t all) { progress.show(done, all); };
  if (o.ndjson) options.each = [](const RouteRecord& record) { print(record_json(record) + "\n"); };
  return run_route(route, o.folder, history, options);
}

void show(const Route& route, const RouteAnswer& answer, const RouteRun& run,
          const RouteCommand& o) {
  const auto& standings = answer.standings;
  if (o.ndjson) {
    print(standings_json(standings, &run, {.pretty = false}, answer.ends) + "\n");
  } else if (o.json) {
    print(standings_json(standings, &run, {}, answer.ends) + "\n");
  } else {
    print(to_text(list_of(route, answer, run), text_options(o.printing)));
  }
}

Exit run_command(RouteCommand o) {
  const auto route = chosen_route(o.folder, o.route, o.store);
  if (!route) return fail(route.error());
  std::optional<UtcTime> time;
  if (!o.time.empty()) {
    const auto given = parse_time(o.time, "--time");
    if (!given) return fail(given.error());
    time = *given;
  }
  // Before the store, which would be made.
  if (std::error_code code; !std::filesystem::is_directory(o.folder, code))
    return fail(
        {Errc::not_found, o.folder, "is not a folder", "give the folder with the recordings"});
  if (const auto apart = check_copies(o.folder, o.copies); !apart) return fail(apart.error());
  auto page = PageFile::create(o.page, read_by(*route, o.store));
  if (!page) return fail(page.error());
  auto history = History::open(o.store, Access::read_write);
  if (!history) return fail(history.error());
  const auto run = run_all(*route, *history, o, time);
  if (!run) return fail(run.error());
  const auto all = worst_first(*history);
  if (!all) return fail(all.error());
  auto answer = route_answer(*route, *all, *history);
  if (!answer) return fail(answer.error());
  for (const Error& e : run->failures) print_error(e);
  for (const std::string& note : run->notes) print_note(note);
  show(*route, *answer, *run, o);
  if (const auto done = page->write(list_of(*route, *answer, *run), *history, answer->standings);
      !done)
    return fail(done.error());
  return route_exit(*answer, *run);
}

}  // namespace

void add_route(CLI::App& app, Run& run) {
  CLI::App* route = app.add_subcommand("route", "A survey: many machines at once");
  route->require_subcommand(1);
  auto o = std::make_shared<RouteCommand>();
  CLI::App* c = route->add_subcommand(
      "run",
      "Analyses every recording in a folder, stores the results, and lists the machines that need "
      "attention, most urgent first.\n"
      "Example: bearingdsp route run testdata --route testdata/route.toml --store history.db");
  c->add_option("folder", o->folder, "with the recordings (default: that of the plant folder)")
      ->type_name("FOLDER");
  c->add_option("--route", o->route,
                "recordings to points, see docs/machine-files.md (default: that of the plant)")
      ->type_name("FILE");
  add_store_option(*c, o->store, store_meaning, StoreNote::by_command);
  add_report_option(*c, o->page);
  c->add_option("--time", o->time, "when they were recorded (from the names or the files)")
      ->type_name("UTC");
  c->add_option("--keep-copies", o->copies,
                "also copy the recordings here, outside the folder, and refer to the copies")
      ->type_name("FOLDER");
  c->add_option("--jobs", o->jobs, "recordings at a time (all cores)")
      ->type_name("N")
      ->check(whole_between(1, 1024));
  auto* json = c->add_flag("--json", o->json, "print JSON");
  c->add_flag("--ndjson", o->ndjson, "a JSON line a recording as it is done, then the list")
      ->excludes(json);
  add_printing_options(*c, o->printing);
  set_run(*c, run, o, run_command);
  add_route_add(*route, run);
}

}  // namespace cli
