#include "bearingdsp/history/trend.hpp"

#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/history/standing.hpp"
#include "bearingdsp/report/history.hpp"
#include "commands.hpp"
#include "history_options.hpp"
#include "page_file.hpp"
#include "route_answer.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct TrendCommand {
  std::string machine, point, store{"history.db"};
  PageOptions page;
  Followed level{Followed::high_band};
  bool json{false};
  Printing printing;
};

std::string chart_title(Followed level) {
  return level == Followed::high_band ? "Level above 1 kHz" : "Level: " + std::string{words(level)};
}

void print_chart(const LevelTrend& shown, Followed level, const TrendOptions& options,
                 const TextOptions& text) {
  const auto chart = trend_chart(shown, options, text.width, text.unicode);
  if (!chart.empty()) print("\n" + chart_title(level) + ", dB\n");
  for (const std::string& line : chart) print(line + "\n");
}

/// Refuses a word that is no level.
void add_level_option(CLI::App& c, Followed& level) {
  c.add_option_function<std::string>(
       "--level",
       [&level](const std::string& word) {
         const auto what = followed_named(word);
         if (!what)
           throw CLI::ValidationError{
               "--level", "'" + word +
                              "' is no level; one of velocity, high-frequency, envelope, "
                              "noise-floor, overall, peak, kurtosis, crest-factor, 1x, 2x, 3x, "
                              "BPFO, BPFI, BSF, FTF"};
         level = *what;
       },
       "limits, forecast and chart of this level: velocity, high-frequency (as without), envelope, "
       "noise-floor, kurtosis, 1x, 2x, 3x, BPFO, BPFI, BSF, FTF ...")
      ->type_name("LEVEL");
}

Result<Exit> show_point(History& history, const RouteAnswer& answer, const PointKey& key,
                        const TrendCommand& o, bool pretty, std::vector<Report>& chapters) {
  auto point = history.point(key);
  if (!point) return point.error();
  const TrendOptions options = with_limits({}, point->limits);
  const auto& [standing, ends] = standing_at(answer, key);
  const Trend trend = find_trend(trend_points(*point), baseline_start(*point), options);
  const LevelTrend* shown = trend.find(o.level);
  const Forecast ahead = shown != nullptr ? forecast_of(*shown, options) : Forecast{};
  if (o.page.wanted()) {
    if (auto done = history.read_spectra(*point); !done) return done.error();
    chapters.push_back(trend_chapter(*point, standing, 60, o.level));
  }
  if (o.json) {
    print(trend_json(*point, standing, trend, ahead, {.pretty = pretty}, ends) + "\n");
    return exit_of(standing.assessment.urgency);
  }
  const TextOptions text = text_options(o.printing);
  Report report = trend_report(*point, standing, trend, ahead, o.level);
  if (ReportSection together = together_section(ends); !together.items.empty())
    report.sections.push_back(std::move(together));
  print(to_text(report, text));
  if (shown == nullptr) {
    print("\n" + std::string{words(o.level)} + ": not measured at this point\n");
    return exit_of(standing.assessment.urgency);
  }
  if (!text.brief) print_chart(*shown, o.level, options, text);
  if (text.details && !text.brief)
    for (const LevelTrend& level : trend.levels)
      if (level.what != o.level) print_chart(level, level.what, options, text);
  return exit_of(standing.assessment.urgency);
}

/// One point is the page; of several each is a chapter.
Result<void> write_page(PageFile& page, std::vector<Report>& chapters, const std::string& machine) {
  if (!page.wanted()) return {};
  if (chapters.size() == 1) return page.write(chapters.front());
  Report all;
  all.title = machine;
  all.headline = "How its measuring points moved.";
  all.sections.push_back(chapter_list(chapters));
  lead_to_chapters(all, chapters);
  return page.write(all, chapters);
}

Exit run_trend(const TrendCommand& o) {
  auto page = PageFile::create(o.page, {o.store});
  if (!page) return fail(page.error());
  auto history = History::open(o.store, Access::read_only);
  if (!history) return fail(history.error());
  const auto keys = history->points_of(o.machine, o.point);
  if (!keys) return fail(keys.error());
  if (!o.page.picture.empty() && keys->size() > 1)
    return fail({Errc::bad_argument, "--picture", "one picture for several points",
                 "choose one with --point"});
  const auto answer = machine_answer(*history, o.store, o.machine);
  if (!answer) return fail(answer.error());
  Exit exit = Exit::no_fault;
  bool first = true;
  std::vector<Report> chapters;
  for (const PointKey& key : *keys) {
    if (!std::exchange(first, false) && !o.json && !o.printing.quiet) print("\n");
    const auto shown = show_point(*history, *answer, key, o, keys->size() == 1, chapters);
    if (!shown) return fail(shown.error());
    exit = worse(exit, *shown);
  }
  if (const auto done = write_page(*page, chapters, o.machine); !done) return fail(done.error());
  return exit;
}

}  // namespace

void add_trend(CLI::App& app, Run& run) {
  auto o = std::make_shared<TrendCommand>();
  CLI::App* c =
      app.add_subcommand("trend",
                         "How a machine moved: baseline, change, alarms, forecast, every reading.\n"
                         "Example: bearingdsp trend planer-feed --store history.db");
  c->add_option("machine", o->machine, "as in the machine file")->type_name("MACHINE")->required();
  c->add_option("--point", o->point, "only this measuring point")->type_name("NAME");
  add_store_option(*c, o->store);
  add_level_option(*c, o->level);
  add_report_option(*c, o->page);
  add_picture_option(*c, o->page);
  c->add_flag("--json", o->json, "print JSON (a line a point for several)");
  add_printing_options(*c, o->printing, Details::some);
  set_run(*c, run, o, run_trend);
}

}  // namespace cli
