#pragma once
/// The history as it is shown: the worst-first list, one point's trend, and export.
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "bearingdsp/history/end_judgement.hpp"
#include "bearingdsp/history/forecast.hpp"
#include "bearingdsp/history/route_run.hpp"
#include "bearingdsp/history/standing.hpp"
#include "bearingdsp/history/store.hpp"
#include "bearingdsp/history/trend.hpp"
#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// What a person has to do, worst first, then every point. `source` names the route or the store.
[[nodiscard]] Report worst_first_report(const std::vector<Standing>& standings,
                                        std::string_view source);
/// The bearings of which several recordings of one survey are judged together, with each one's
/// share. Those of which nothing was found in any recording are counted only. No items without any.
[[nodiscard]] ReportSection together_section(std::span<const EndStanding> ends);
/// What a route run did, as the last part of that report.
[[nodiscard]] ReportSection route_run_section(const RouteRun& run);

/// One point over time: how it stands, its alarms, the limits and forecast of one level, and a row
/// a reading.
[[nodiscard]] Report trend_report(const PointHistory& history, const Standing& standing,
                                  const Trend& trend, const Forecast& forecast,
                                  Followed level = Followed::high_band);
/// The same as a chapter of a page: with pictures of that level and of the velocity, with their
/// limits, and, where the readings hold their spectra, of these over the latest surveys. Limits of
/// the velocity are those of the history.
[[nodiscard]] Report trend_chapter(const PointHistory& history, const Standing& standing,
                                   std::size_t max_visits = 60,
                                   Followed level = Followed::high_band);
/// What each chapter says, a row each, for the head of a page.
[[nodiscard]] ReportSection chapter_list(const std::vector<Report>& chapters);
/// Names the chapters, one a standing in their order, and lets the rows of worst_first_report()'s
/// list of points lead to them. Another number of rows is left as it is.
void lead_to_chapters(Report& list, std::vector<Report>& chapters);
/// A small chart of one level in dB: the readings, the baseline (without one the first readings)
/// and the limits of alert and alarm.
/// Shape:  lines of at most `width` columns (>= 40 are used); none for fewer than two readings
[[nodiscard]] std::vector<std::string> trend_chart(const LevelTrend& level,
                                                   const TrendOptions& options, int width,
                                                   bool unicode);

/// "bearingdsp.standings/2": the list; with what a run did, where there was one, and the bearings
/// of which several recordings were judged together.
[[nodiscard]] std::string standings_json(const std::vector<Standing>& standings,
                                         const RouteRun* run, const JsonOptions& options = {},
                                         std::span<const EndStanding> ends = {});
/// "bearingdsp.record/2": one recording of a run, on one line.
[[nodiscard]] std::string record_json(const RouteRecord& record);
/// "bearingdsp.trend/2"; with the bearings of which this point's recordings were judged together
/// with others.
[[nodiscard]] std::string trend_json(const PointHistory& history, const Standing& standing,
                                     const Trend& trend, const Forecast& forecast,
                                     const JsonOptions& options = {},
                                     std::span<const EndStanding> ends = {});

/// A column of the table of readings.
struct ReadingColumn {
  std::string_view name;
  /// "mm/s rms"; "1" for a pure number; "in column unit" where each row says it; empty for words.
  std::string_view unit;
  bool number{false};
};
/// Words, or a number that may not be known.
using ReadingCell = std::variant<std::string, std::optional<double>>;
/// The columns of the table, in their order; new ones come at the end.
[[nodiscard]] std::vector<ReadingColumn> reading_columns();
/// A row of it: a string in a column of words, else a number in the unit of the column.
/// Shape:  as reading_columns()
[[nodiscard]] std::vector<ReadingCell> reading_cells(const PointKey& at, const Reading& reading);
/// The same as CSV: the header, and a row with its line end (RFC 4180).
[[nodiscard]] std::string reading_csv_header();
[[nodiscard]] std::string reading_csv(const PointKey& at, const Reading& reading);
/// "bearingdsp.reading/2" and "bearingdsp.event/1", on one line each.
[[nodiscard]] std::string reading_json(const PointKey& at, const Reading& reading);
[[nodiscard]] std::string event_json(std::string_view machine, const Event& event);

/// What `History::check` found.
[[nodiscard]] Report history_check_report(const HistoryCheck& check, std::string_view store);
/// What `History::entries` gave, with the numbers by which they are corrected.
[[nodiscard]] Report history_entries_report(const std::vector<HistoryEntry>& entries,
                                            std::string_view machine);
/// What `History::journal` gave, oldest first.
[[nodiscard]] Report journal_report(const std::vector<JournalEntry>& journal,
                                    std::string_view store);
/// "bearingdsp.entry/1" and "bearingdsp.change/1", on one line each.
[[nodiscard]] std::string entry_json(const HistoryEntry& entry);
[[nodiscard]] std::string change_json(const JournalEntry& change);

}  // namespace bearingdsp
