#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/history/store.hpp"
#include "bearingdsp/history/time.hpp"
#include "bearingdsp/report/before_after.hpp"
#include "commands.hpp"
#include "compare_options.hpp"
#include "history_options.hpp"
#include "page_file.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

Exit exit_of(const BeforeAfter& r) {
  switch (follow_up(r)) {
    case FollowUp::nothing:
      return Exit::no_fault;
    case FollowUp::something:
      return Exit::fault;
    case FollowUp::cannot_tell:
      return Exit::cannot_tell;
  }
  return Exit::cannot_tell;
}

Exit show_result(const BeforeAfter& r, const CompareCommand& o, bool pretty,
                 const std::string& source, PageFile& page) {
  Report report = before_after_report(r);
  if (!source.empty()) report.source = source;
  if (const auto done = page.write(report); !done) return fail(done.error());
  if (o.json) {
    print(before_after_json(r, {.pretty = pretty}) + "\n");
    return exit_of(r);
  }
  TextOptions text = text_options(o.colour);
  text.brief = o.quiet;
  print(to_text(report, text));
  return exit_of(r);
}

Result<CapturedSide> read_side(const std::vector<std::string>& words, const SideOptions& side,
                               const std::optional<double>& rpm, const PointSetup& setup) {
  const auto files = recordings_in(words);
  if (!files) return files.error();
  ReadOptions reading = setup.reading;
  if (!side.unit.empty()) reading.units = {side.unit};
  if (!side.channel.empty()) reading.select = {side.channel};
  if (side.full_scale) reading.full_scale = side.full_scale;
  CapturedSide out;
  for (const std::string& file : *files) {
    auto capture = read_recording(file, reading);
    if (!capture) return capture.error();
    out.captures.push_back(std::move(*capture));
  }
  out.diagnosis = setup.diagnosis;
  if (const auto typed = side.rpm ? side.rpm : rpm) {
    out.diagnosis.speed = Rpm{*typed};
    out.diagnosis.speed_low = out.diagnosis.speed_high = {};
  }
  out.facts = {side.load, side.sensor, side.fixing};
  return out;
}

Exit compare_files(const CompareCommand& o) {
  std::vector<std::string> before = o.before.files;
  std::vector<std::string> after = o.after.files;
  if (o.given.size() == 2 && before.empty() && after.empty()) {
    before = {o.given.front()};
    after = {o.given.back()};
  } else if (!o.given.empty() || before.empty() || after.empty()) {
    return fail({Errc::bad_argument, "command line", "two sets of recordings are needed",
                 "give BEFORE AFTER, or --before FILE... --after FILE..."});
  }
  auto page = PageFile::create(o.page);
  if (!page) return fail(page.error());
  auto setup = compare_setup(o);
  if (!setup) return fail(setup.error());
  if (page->wanted()) setup->diagnosis.keep_curves = CurvesKept::all;
  const auto b = read_side(before, o.before, o.rpm, *setup);
  if (!b) return fail(b.error());
  const auto a = read_side(after, o.after, o.rpm, *setup);
  if (!a) return fail(a.error());
  FftPlans plans;
  const auto result = compare_captures(*b, *a, setup->diagnosis.bearings, plans);
  if (!result) return fail(result.error());
  return show_result(*result, o, true, "", *page);
}

/// A point without a recording on one side of its work cannot be judged; one on which no work was
/// done has nothing to compare, unless it is the only one.
Exit compare_points(History& history, const std::vector<PointKey>& keys,
                    const std::optional<UtcTime>& when, const CompareCommand& o, PageFile& page) {
  Exit exit = Exit::no_fault;
  std::optional<Error> no_work;
  std::size_t concerned = 0;
  bool first = true;
  for (const PointKey& key : keys) {
    auto point = history.point(key);
    if (!point) return fail(point.error());
    const auto event = event_meant(*point, when);
    if (!event) {
      if (!no_work) no_work = event.error();
      continue;
    }
    ++concerned;
    if (page.wanted())
      if (const auto done = history.read_spectra(*point); !done) return fail(done.error());
    const auto sides = sides_of_event(*point, when);
    if (!sides) {
      static_cast<void>(fail(sides.error()));
      exit = worse(exit, Exit::cannot_tell);
      continue;
    }
    if (!std::exchange(first, false) && !o.json && !o.quiet) print("\n");
    exit =
        worse(exit, show_result(compare_sides(sides->first, sides->second, options_around(*event)),
                                o, keys.size() == 1, key.machine + ", " + key.point, page));
  }
  return concerned == 0 && no_work ? fail(*no_work) : exit;
}

Exit compare_history(const CompareCommand& o) {
  if (o.given.size() != 1)
    return fail({Errc::bad_argument, "--store", "give the name of one machine",
                 "for example: bearingdsp compare planer-feed --store history.db"});
  std::optional<UtcTime> when;
  if (!o.event.empty()) {
    const auto time = parse_time(o.event, "--event");
    if (!time) return fail(time.error());
    when = *time;
  }
  auto page = PageFile::create(o.page);
  if (!page) return fail(page.error());
  auto history = History::open(o.store, Access::read_only);
  if (!history) return fail(history.error());
  const auto keys = history->points_of(o.given.front(), o.at.point);
  if (!keys) return fail(keys.error());
  if (o.page.wanted() && keys->size() > 1)
    return fail({Errc::bad_argument, o.page.report.empty() ? "--picture" : "--report",
                 "this option takes one measuring point, but the machine has several",
                 "choose one with --point"});
  return compare_points(*history, *keys, when, o, *page);
}

}  // namespace

void add_compare(CLI::App& app, Run& run) {
  auto o = std::make_shared<CompareCommand>();
  CLI::App* c = app.add_subcommand(
      "compare",
      "Did the work fix the fault? Compares recordings of one point before and after the work.\n"
      "Example: bearingdsp compare old.csv new.csv --bearing 6205 --rpm 1480 --unit g\n"
      "         bearingdsp compare planer-feed --store history.db");
  add_compare_options(*c, *o);
  c->footer(help_footer(
      "0 nothing is to be done, 1 something is: the bearing or another cause, 2 failed, "
      "3 cannot tell or not comparable"));
  c->callback([o, &run] {
    run = [o] { return o->store.empty() ? compare_files(*o) : compare_history(*o); };
  });
}

}  // namespace cli
