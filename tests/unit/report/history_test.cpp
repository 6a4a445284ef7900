#include "bearingdsp/report/history.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "bearingdsp/dataset/manifest.hpp"
#include "bearingdsp/report/svg.hpp"
#include "bearingdsp/report/text.hpp"
#include "support/close.hpp"
#include "support/made_reading.hpp"

using namespace bearingdsp;
using nlohmann::json;

namespace {

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

Standing standing(const char* machine, const char* point, Urgency urgency, const char* finding) {
  Standing s;
  s.at = {machine, point};
  s.readings = 3;
  s.latest = test::day(9);
  s.assessment.urgency = urgency;
  s.assessment.headline = finding;
  if (urgency != Urgency::none) s.assessment.actions = {"Do something."};
  s.verdict = urgency == Urgency::plan ? Verdict::fault : Verdict::no_fault;
  s.stage = urgency == Urgency::plan ? Stage::early : Stage::none;
  s.change_db = 7.4;
  s.velocity_mm_s = 2.25;
  return s;
}

std::vector<Standing> four() {
  std::vector<Standing> all{standing("planer", "DE", Urgency::plan, "Outer ring damaged."),
                            standing("planer", "NDE", Urgency::plan, "Outer ring damaged."),
                            standing("fan", "DE", Urgency::check, "Unbalance likely."),
                            standing("pump", "DE", Urgency::none, "no fault found")};
  all[0].reach = ReachRange{20, 40, 100};
  all[0].since = test::day(2);
  all[0].probability_of_damage = all[1].probability_of_damage = 0.874;
  all[0].zone = Zone::c;
  all[0].order = all[1].order = "6205-2Z C3 (DE)";
  all[2].since = all[2].latest;
  all[0].changed = "early, was none";
  return all;
}

LevelTrend level(const std::vector<double>& db) {
  LevelTrend l;
  for (std::size_t i = 0; i < db.size(); ++i) {
    l.time.push_back(test::day(7 * static_cast<int>(i)));
    l.level_db.push_back(db[i]);
  }
  l.baseline = Baseline{0, 1, 4, {}, {}};
  return l;
}

}  // namespace

TEST_CASE("worst-first report: machines first, points of one finding together") {
  const Report r = worst_first_report(four(), "round");
  CHECK(r.title == "2 OF 3 MACHINES NEED ATTENTION");
  CHECK(r.tone == Tone::bad);
  CHECK(r.headline == "Points: 2 plan, 1 check, 1 OK.");
  REQUIRE(r.sections.size() == 3);
  REQUIRE(r.sections[0].items.size() == 2);
  CHECK(has(r.sections[0].items[0],
            "planer (DE, NDE): PLAN: Outer ring damaged. Since 2026-03-04. Do something. "
            "Order: 6205-2Z C3 (DE)."));
  CHECK(has(r.sections[0].items[1], "fan (DE): CHECK: Unbalance likely. New on 2026-03-11."));
  CHECK(has(r.sections[0].items[0], "20 days to 14 weeks") == false);
  CHECK(has(r.sections[0].items[0], "3 weeks to 14 weeks"));
  REQUIRE(r.sections[0].notes.size() == 1);
  CHECK(has(r.sections[0].notes[0], "lock it out"));
  CHECK(r.sections[1].items == std::vector<std::string>{"planer, DE: early, was none"});
  CHECK(r.sections[2].table->rows.size() == 4);
  CHECK(r.sections[2].table->rows[0][3] == "+7");
  const std::string text = to_text(r);
  CHECK(text.find("What to do") < text.find("All points"));
}

TEST_CASE("worst-first report: nothing to do is said, and nothing there too") {
  const Report fine = worst_first_report({standing("pump", "DE", Urgency::none, "")}, "");
  CHECK(fine.title == "ALL OK");
  CHECK(fine.tone == Tone::good);
  CHECK(fine.sections.size() == 1);
  CHECK(worst_first_report({standing("p", "DE", Urgency::measure_again, "")}, "").title ==
        "MEASURE AGAIN");
  CHECK(worst_first_report({standing("p", "DE", Urgency::check, "")}, "").title ==
        "1 OF 1 MACHINE NEEDS ATTENTION");
  CHECK(worst_first_report({standing("p", "DE", Urgency::check, ""),
                            standing("p", "NDE", Urgency::measure_again, ""),
                            standing("q", "DE", Urgency::measure_again, ""),
                            standing("r", "DE", Urgency::none, "")},
                           "")
            .title == "1 OF 3 MACHINES NEEDS ATTENTION, 1 TO MEASURE AGAIN");
  CHECK(worst_first_report({}, "").title == "NO POINTS YET");
}

TEST_CASE("route run section: failures, strays and points without recording are named") {
  RouteRun run;
  run.recordings = 20;
  run.stored = 7;
  for (int i = 0; i < 10; ++i)
    run.failures.push_back({Errc::corrupt_file, "f" + std::to_string(i), "broken", "again"});
  run.unmatched = {"stray.wav"};
  run.without_recording = {{"fan", "NDE"}};
  const ReportSection s = route_run_section(run);
  CHECK(s.items.size() == 11);
  CHECK(s.items[8] == "... and 2 more");
  CHECK(has(s.items[9], "stray.wav"));
  CHECK(has(s.items[10], "fan, NDE"));
}

TEST_CASE("trend report: a row a reading, the alarms, the events, why there is no forecast") {
  PointHistory h;
  h.at = {"planer", "DE"};
  for (int i = 0; i < 40; ++i) h.readings.push_back(test::made_reading(i));
  h.events = {{EventKind::note, test::day(3), "", "whistles", 71.4}};
  const Trend trend = find_trend(trend_points(h), baseline_start(h));
  Forecast forecast;
  forecast.why = "there is no baseline";
  const std::string text = to_text(trend_report(h, find_standing(h), trend, forecast));
  CHECK(has(text, "planer, DE"));
  CHECK(has(text, "from the first readings"));
  CHECK(has(text, "none: there is no baseline"));
  CHECK(has(text, "note, 71 °C: whistles"));
  CHECK(has(text, "10 older readings"));
  CHECK(has(text, "2026-04-10"));
  CHECK(has(text, "2.30"));  // mm/s
  CHECK(has(text, "no zone: the machine's"));
  CHECK_FALSE(has(text, "2026-03-11"));
}

TEST_CASE("trend chapter: pictures with limits against the baseline, zones of the velocity") {
  PointHistory h;
  h.at = {"planer", "DE"};
  for (int i = 0; i < 12; ++i) {
    Reading r = test::made_reading(7 * i);
    r.verdict = Verdict::no_fault;
    // Doubled at the end: 6 dB above what was normal.
    if (i >= 9) *r.levels.at(Indicator::high_band) *= 2;
    h.readings.push_back(std::move(r));
  }
  h.limits.zones = group_limits(2, Mounting::rigid).value();
  const Report r = trend_chapter(h, find_standing(h));
  REQUIRE(r.plots.size() == 2);
  const ReportPlot& high = r.plots[0];
  CHECK(high.kind == PlotKind::readings);
  REQUIRE(high.y.size() == 12);
  CHECK(test::close_abs(high.y.front(), 0, 1e-9));
  CHECK(test::close_abs(high.y.back(), 20 * std::log10(2.0), 1e-9));  // closed form
  CHECK(test::close_abs(high.x[1] - high.x[0], 7 * 86400, 1e-6));
  REQUIRE(high.limits.size() == 3);
  CHECK(high.limits[1].name == "alert");
  const ReportPlot& velocity = r.plots[1];
  CHECK(test::close_rel(velocity.y.back(), 2.3, 1e-9));
  REQUIRE(velocity.limits.size() == 2);
  CHECK(test::close_rel(velocity.limits[0].y, in_mm_per_s_rms(h.limits.zones->bc), 1e-9));
  CHECK(test::close_rel(velocity.limits[1].y, in_mm_per_s_rms(h.limits.zones->cd), 1e-9));
}

TEST_CASE("trend chapter drawn: a dot a reading, dates below, every limit by its name") {
  PointHistory h;
  h.at = {"planer", "DE"};
  for (int i = 0; i < 12; ++i) {
    h.readings.push_back(test::made_reading(7 * i));
    h.readings.back().verdict = Verdict::no_fault;
    // A steady rise of 1 dB a week from the fifth on: the forecast has something to say.
    *h.readings.back().levels.at(Indicator::high_band) *= std::pow(10, 0.05 * std::max(0, i - 4));
  }
  h.limits.zones = group_limits(2, Mounting::rigid).value();
  Report r = trend_chapter(h, find_standing(h));
  const std::string svg = to_svg(r);
  const auto count = [&](const std::string& what) {
    std::size_t n = 0;
    for (auto at = svg.find(what); at != std::string::npos; at = svg.find(what, at + 1)) ++n;
    return n;
  };
  CHECK(count("<circle") == 24);
  for (const char* name : {">baseline<", ">alert<", ">alarm<", ">zone C<", ">zone D<"})
    CHECK(count(name) == 1);
  // From 2 March over eleven weeks; dates, not seconds since 1970.
  CHECK(count(">2026-03-") + count(">2026-04-") + count(">2026-05-") >= 4);
  CHECK(count(">17") == 0);
  CAPTURE(to_text(r));
  REQUIRE(r.plots[0].ranges.size() == 1);
  CHECK(count(r.plots[0].ranges[0].name) == 1);
  CHECK(r.plots[0].ranges[0].from > r.plots[0].x.back());
}

TEST_CASE("trend report: the confidence of the latest recording and when the limit is reached") {
  PointHistory h;
  h.at = {"planer", "DE"};
  for (int i = 0; i < 3; ++i) h.readings.push_back(test::made_reading(i));
  Reading& latest = h.readings.back();
  const auto text_of = [&](const Forecast& forecast) {
    const Trend trend = find_trend(trend_points(h), baseline_start(h));
    std::string all;
    for (const ReportSection& s : trend_report(h, find_standing(h), trend, forecast).sections)
      for (const KeyFigure& f : s.figures) all += f.label + ": " + f.text + "\n";
    return all;
  };
  Forecast f;
  f.why = "the line";
  f.reach = ReachRange{1.5, 10, 40};
  CHECK(has(text_of(f),
            "in 36 hours to 40 days (80 % interval; 10 days at the present rate: the line)"));
  f.reach = ReachRange{3, 10, std::nullopt};
  CHECK(has(text_of(f),
            "not before 3 days (80 % limit); in 10 days at the present rate, later or never"));

  latest.verdict = Verdict::fault;
  latest.place = Place::outer_ring;
  latest.probability_of_damage = 0.97;
  latest.probability_of_place = 0.9;
  CHECK(has(text_of(f), "bearing damaged: 97 %; outer ring: 90 % (2026-03-04)"));
  latest.verdict = Verdict::no_fault;
  latest.probability_of_damage = 0.12;
  CHECK(
      has(text_of(f), "healthy: > 99 % on a routine survey, 95 % if you suspect it (2026-03-04)"));
  latest.verdict = Verdict::indeterminate;
  CHECK(has(text_of(f), "the recording of 2026-03-04 cannot tell"));
}

TEST_CASE("trend chapter: spectra over the readings, latest on top, work between them marked") {
  PointHistory h;
  h.at = {"planer", "DE"};
  for (int i = 0; i < 5; ++i) {
    Reading r = test::made_reading(7 * i);
    if (i > 0) {
      r.spectra.emplace();
      r.spectra->envelope = {0, 0.05, std::vector<double>(380, 0.01 * i)};
      r.spectra->velocity = {10, 2.5, std::vector<double>(396, 0.001 * i)};
      r.spectra->orders = test::made_orders();
    }
    h.readings.push_back(std::move(r));
  }
  h.events.push_back({EventKind::bearing_replaced, test::day(16), "", "", {}});
  h.events.push_back({EventKind::note, test::day(17), "", "", {}});
  const Report r = trend_chapter(h, find_standing(h));
  REQUIRE(r.maps.size() == 2);
  const ReportMap& envelope = r.maps[0];
  CHECK(envelope.x_unit == "orders");
  REQUIRE(envelope.rows.size() == 4);
  CHECK(envelope.rows[0].name == "2026-03-30");
  CHECK(envelope.rows[3].name == "2026-03-09");
  REQUIRE(envelope.breaks.size() == 1);
  CHECK(envelope.breaks[0].row == 2);  // between day 14 and day 21
  CHECK(envelope.breaks[0].name == "2026-03-18 bearing replaced");
  CHECK(envelope.markers.size() > 6);
  CHECK(has(envelope.notes.back(), "1 of 5 readings"));
  const ReportMap& velocity = r.maps[1];
  CHECK(velocity.value_unit == "mm/s rms");
  CHECK(test::close_rel(velocity.rows[0].y[3], 4, 1e-12));
  CHECK(velocity.markers.size() == 3);
  // The same scale for every machine. [src:iso10816-1 table B.1] 4.5 mm/s: limit C/D, class I
  CHECK(envelope.min_top == 0.5);
  CHECK(velocity.min_top == 4.5);
  CHECK(has(velocity.notes[1], "The darkest shade is 4.5 mm/s rms or the highest value"));

  const Report few = trend_chapter(h, find_standing(h), 2);
  CHECK(few.maps[0].rows.size() == 2);
  CHECK(few.maps[0].rows[0].name == "2026-03-30");
  // What is left out is said.
  CHECK(std::find(few.maps[0].notes.begin(), few.maps[0].notes.end(),
                  "The latest 2 of 4 readings.") != few.maps[0].notes.end());
  h.readings.resize(2);
  CHECK(trend_chapter(h, find_standing(h)).maps.empty());
}

TEST_CASE("chapters: each row of the list leads to its own") {
  Report list = worst_first_report(four(), "route.toml");
  std::vector<Report> chapters(4);
  lead_to_chapters(list, chapters);
  CHECK(chapters[3].id == "point-4");
  bool seen = false;
  for (const ReportSection& s : list.sections) {
    if (s.id != "points") continue;
    seen = true;
    CHECK(s.table->targets == std::vector<std::string>{"point-1", "point-2", "point-3", "point-4"});
  }
  CHECK(seen);
}

TEST_CASE("trend chart: it fits the width, with a mark a reading and the lines it passes") {
  const LevelTrend l = level({0, 0.5, -0.5, 0, 8, 13});
  for (const int width : {40, 80, 120}) {
    const auto lines = trend_chart(l, {}, width, false);
    REQUIRE(lines.size() == 10);
    std::size_t marks = 0;
    for (const std::string& line : lines) {
      CHECK(line.size() <= static_cast<std::size_t>(width));
      marks += static_cast<std::size_t>(std::count(line.begin(), line.end(), '*'));
    }
    CHECK(marks == 6);
    CHECK(has(lines.back(), "2026-03-02"));
    CHECK(has(lines.back(), "2026-04-06"));
  }
  const auto lines = trend_chart(l, {}, 60, false);
  const auto labelled = [&](const char* word) {
    return std::any_of(lines.begin(), lines.end(),
                       [&](const std::string& s) { return has(s, word); });
  };
  CHECK(labelled("baseline"));
  CHECK(labelled("alert"));
  CHECK(labelled("alarm"));
  CHECK(trend_chart(level({1}), {}, 80, true).empty());
  for (const std::string& line : trend_chart(l, {}, 60, true)) CHECK(display_width(line) <= 60);
}

TEST_CASE("history JSON: documents name their schema and units, one line where many") {
  RouteRun run;
  run.stored = 2;
  const json list = json::parse(standings_json(four(), &run));
  CHECK(list["schema"] == "bearingdsp.standings/2");
  CHECK(list["points"].size() == 4);
  CHECK(list["points"][0]["urgency"] == "plan");
  for (const char* gone : {"finding", "what_to_do"}) CHECK_FALSE(list["points"][0].contains(gone));
  CHECK(list["run"].contains("reanalysed"));
  CHECK(list["run"].size() == 9);
  CHECK(list["points"][0]["reaches_12_db"]["likely_days"] == 40);
  CHECK(list["points"][0]["latest_utc"] == "2026-03-11T00:00:00Z");
  CHECK(list["points"][1]["reaches_12_db"].is_null());
  CHECK(list["run"]["stored"] == 2);
  CHECK(json::parse(standings_json({}, nullptr))["run"].is_null());

  RouteRecord record{"a/\xff.wav", {"fan", "DE"}, RecordOutcome::stored, test::made_reading(1), {}};
  const std::string line = record_json(record);
  CHECK_FALSE(has(line, "\n"));
  const json j = json::parse(line);
  CHECK(j["schema"] == "bearingdsp.record/2");
  CHECK(j["outcome"] == "stored");
  CHECK(j["reading"]["levels"]["velocity_rms_mm_s"] == 2.3);
  CHECK(j["reading"]["parts"]["outer_ring"]["harmonics_detected"] == 3);
  CHECK(j["reading"]["parts"]["outer_ring"].size() == 4);
  CHECK(j["error"].is_null());

  PointHistory h;
  h.at = {"planer", "DE"};
  h.readings = {test::made_reading(0), test::made_reading(7)};
  const Trend trend = find_trend(trend_points(h), baseline_start(h));
  const json t = json::parse(trend_json(h, find_standing(h), trend, {}));
  CHECK(t["schema"] == "bearingdsp.trend/2");
  CHECK(t["readings"].size() == 2);
  CHECK(t["levels"].size() == 11);  // with 1x, 2x and BPFO
  CHECK(t["levels"][0]["baseline"].is_null());
  CHECK(t["forecast"]["reaches_12_db"].is_null());
  CHECK(json::parse(reading_json(h.at, h.readings[0]))["machine"] == "planer");
  CHECK(json::parse(event_json("fan", {EventKind::greased, test::day(1), "", "", {}}))["kind"] ==
        "greased");
}

TEST_CASE("history CSV: every row has the columns of the header, quotes and all") {
  const std::string text =
      reading_csv_header() + reading_csv({"planer \"2\", feed", "DE"}, test::made_reading(0));
  const auto rows = parse_csv(text, "test").value();
  REQUIRE(rows.size() == 2);
  CHECK(rows[0].size() == rows[1].size());
  CHECK(rows[1][0] == "planer \"2\", feed");
  CHECK(rows[1][2] == "2026-03-02T00:00:00Z");
  CHECK(rows[1][4] == "fault");
  CHECK(std::find(rows[0].begin(), rows[0].end(), "noise_floor_rms") != rows[0].end());
}

TEST_CASE("history check report: damage is reported first") {
  HistoryCheck check;
  CHECK(history_check_report(check, "h.db").tone == Tone::good);
  check.wrong = {"3 analyses without levels"};
  check.missing = {"/gone.wav"};
  const Report r = history_check_report(check, "h.db");
  CHECK(r.tone == Tone::bad);
  CHECK(r.sections.front().items.size() == 2);
}

TEST_CASE("history reports: entries with their numbers, and the journal") {
  HistoryEntry reading{{false, 12},     {"fan", "DE"},       test::day(0),  true,
                       DateDoubt::none, "fault: outer ring", "/round/a.wav"};
  HistoryEntry event{{true, 3}, {"fan", ""}, test::day(1), false, DateDoubt::ahead, "greased", ""};
  const Report list = history_entries_report({reading, event}, "fan");
  REQUIRE(list.sections.front().table);
  const auto& rows = list.sections.front().table->rows;
  CHECK(rows[0][0] == "r12");
  CHECK(rows[0][1] == "2026-03-02");
  CHECK(rows[0][4] == "a.wav");
  CHECK(rows[0][3] == "REMOVED: fault: outer ring");
  CHECK(rows[1][0] == "e3");
  CHECK(rows[1][2] == "all");
  CHECK(rows[1][3] == "greased (date in the future)");
  const json e = json::parse(entry_json(event));
  CHECK(e["schema"] == "bearingdsp.entry/1");
  CHECK(e["point"].is_null());
  CHECK(e["date_in_doubt"] == "in the future");

  const JournalEntry change{test::day(2), "edit", "r12", {"fan", "DE"}, "was", "is", "clock"};
  CHECK(journal_report({change}, "h.db").sections.front().items.front() ==
        "2026-03-04 edit r12: was -> is (clock)");
  CHECK(journal_report({}, "h.db").title == "NOTHING WAS CHANGED BY HAND");
  CHECK(json::parse(change_json(change))["why"] == "clock");
}

TEST_CASE("history reports: changed recordings and doubtful dates are reported") {
  HistoryCheck check;
  check.changed = {"/a.wav is cut short"};
  check.remarks = {"fan, DE: dates in doubt: r1 (2000-01-01)"};
  const Report r = history_check_report(check, "h.db");
  CHECK(r.tone == Tone::doubt);
  CHECK(r.title == "DATABASE OK, RECORDINGS CHANGED");
  CHECK(r.sections.front().items.size() == 2);

  std::vector<Standing> standings = four();
  standings[1].dates = "dated in the future, so not counted: r5 (2062-01-01)";
  const Report list = worst_first_report(standings, "round");
  const auto dates =
      std::find_if(list.sections.begin(), list.sections.end(),
                   [](const ReportSection& section) { return section.id == "dates"; });
  REQUIRE(dates != list.sections.end());
  REQUIRE(dates->items.size() == 1);
  CHECK(has(dates->items.front(), "r5 (2062-01-01)"));
  CHECK(json::parse(standings_json(standings, nullptr))["points"][1]["dates_in_doubt"] ==
        standings[1].dates);
  CHECK(json::parse(standings_json(standings, nullptr))["points"][0]["dates_in_doubt"].is_null());

  RouteRun run;
  run.left_out = 2;
  run.notes = {"a.wav: is cut short"};
  const ReportSection section = route_run_section(run);
  CHECK(has(section.figures.back().text, "2 recordings, removed or moved by hand"));
  CHECK(section.items.front() == "a.wav: is cut short");
}
