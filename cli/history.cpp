#include <fmt/format.h>

#include <memory>
#include <optional>
#include <string>
#include <utility>

#include "bearingdsp/history/standing.hpp"
#include "bearingdsp/history/store.hpp"
#include "bearingdsp/report/history.hpp"
#include "checks.hpp"
#include "commands.hpp"
#include "history_options.hpp"
#include "route_answer.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct HistoryCommand {
  std::string store{"history.db"}, machine, point, kind, note, time;
  std::optional<double> temperature;
  bool json{false}, files{false};
  Printing printing;
};
using Options = std::shared_ptr<HistoryCommand>;

Exit run_list(const HistoryCommand& o) {
  // Reading comes first, so that a wrong name makes no store; writing keeps what was found, where
  // the store may be written.
  auto history = History::open(o.store, Access::read_only);
  if (!history) return fail(history.error());
  if (auto writable = History::open(o.store, Access::read_write)) history = std::move(writable);
  auto standings = worst_first(*history);
  if (!standings) return fail(standings.error());
  const auto answer = stored_answer(std::move(*standings), *history, o.store);
  if (!answer) return fail(answer.error());
  print(o.json ? standings_json(answer->standings, nullptr, {}, answer->ends) + "\n"
               : to_text(list_of(*answer, o.store), text_options(o.printing)));
  return Exit::no_fault;
}

Exit run_export(const HistoryCommand& o) {
  auto history = History::open(o.store, Access::read_only);
  if (!history) return fail(history.error());
  if (!o.json) print(reading_csv_header());
  const auto done = history->each([&](const PointKey& at, const Reading& reading) {
    print(o.json ? reading_json(at, reading) + "\n" : reading_csv(at, reading));
    return true;
  });
  if (!done) return fail(done.error());
  if (!o.json) return Exit::no_fault;
  const auto events = history->events();
  if (!events) return fail(events.error());
  for (const auto& [machine, event] : *events) print(event_json(machine, event) + "\n");
  return Exit::no_fault;
}

std::string and_more(std::size_t n) {
  return n == 0 ? std::string{} : fmt::format(", and {} more listed above", n);
}

Exit run_check(const HistoryCommand& o) {
  auto history = History::open(o.store, Access::read_only);
  if (!history) return fail(history.error());
  const auto check = history->check(o.files);
  if (!check) return fail(check.error());
  print(to_text(history_check_report(*check, o.store), text_options(o.printing)));
  if (check->sound()) return check->changed.empty() ? Exit::no_fault : Exit::fault;
  return fail({Errc::database, o.store,
               "is damaged: " + check->wrong.front() + and_more(check->wrong.size() - 1),
               "keep this file, and restore a backup"});
}

Exit run_event(const HistoryCommand& o) {
  const auto kind = event_kind(o.kind);
  if (!kind) return fail(no_kind(o.kind));
  const auto when = parse_time(o.time, "--time");
  if (!when) return fail(when.error());
  auto reading = History::open(o.store, Access::read_only);
  if (!reading) return fail(reading.error());
  const auto keys = reading->points_of(o.machine, o.point);
  if (!keys) return fail(keys.error());
  auto history = History::open(o.store, Access::read_write);
  if (!history) return fail(history.error());
  const Event event{*kind, *when, o.point.empty() ? "" : keys->front().point, o.note,
                    o.temperature};
  if (const auto done = history->add(keys->front().machine, event); !done)
    return fail(done.error());
  print_line(fmt::format("recorded for {}, {}: {} on {}", keys->front().machine,
                         event.point.empty() ? "all points" : event.point, words(*kind),
                         format_date(*when)));
  return Exit::no_fault;
}

CLI::App* add(CLI::App& parent, const std::string& name, const std::string& help, const Options& o,
              Run& run, Exit (*what)(const HistoryCommand&)) {
  CLI::App* c = parent.add_subcommand(name, help);
  add_store_option(*c, o->store);
  set_run(*c, run, o, what);
  return c;
}

void add_event_options(CLI::App& c, HistoryCommand& o) {
  c.add_option("machine", o.machine, "as in the machine file")->type_name("MACHINE")->required();
  c.add_option("kind", o.kind, "bearing-replaced, greased, repaired, alarm-acknowledged or note")
      ->type_name("KIND")
      ->required();
  c.add_option("--time", o.time, "date and time")->type_name("UTC")->required();
  c.add_option("--point", o.point, "only this measuring point")->type_name("NAME");
  c.add_option("--note", o.note, "free text, for example a noise, who did the work, which bearing")
      ->type_name("TEXT");
  c.add_option("--temperature", o.temperature, "temperature of the bearing housing")
      ->type_name("CELSIUS")
      ->check(between(-100.0, 1000.0));
}

}  // namespace

void add_history(CLI::App& app, Run& run) {
  auto o = std::make_shared<HistoryCommand>();
  CLI::App* h = app.add_subcommand("history", "Stored readings and events of all machines");
  h->require_subcommand(1);
  CLI::App* list =
      add(*h, "list", "Lists all points, worst first, with the action for each.", o, run, run_list);
  list->add_flag("--json", o->json, "print JSON");
  add_printing_options(*list, o->printing);
  CLI::App* out = add(*h, "export",
                      "Exports every reading as CSV.\n"
                      "Example: bearingdsp history export --store history.db > all.csv",
                      o, run, run_export);
  out->add_flag("--json", o->json, "export JSON lines instead, with the events at the end");
  CLI::App* check = add(*h, "check", "Checks the database for damage.", o, run, run_check);
  check->add_flag("--files", o->files, "also check that each recording exists and is unchanged");
  add_printing_options(*check, o->printing);
  CLI::App* event = add(*h, "event",
                        "Records work done or an observation.\n"
                        "Example: bearingdsp history event planer-feed bearing-replaced --time "
                        "2026-05-18 --note \"6205 C3\"",
                        o, run, run_event);
  add_event_options(*event, *o);
  add_history_corrections(*h, run);
}

}  // namespace cli
