#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/report/history.hpp"
#include "report/sections.hpp"

namespace bearingdsp {
namespace {

std::string level_text(const Levels& levels, Indicator indicator) {
  const auto& value = levels.at(indicator);
  if (!value) return "-";
  return significant(indicator == Indicator::velocity ? in_mm_per_s(*value) : *value);
}

std::string change_text(const LevelTrend& level) {
  if (!level.baseline) return "-";
  return fmt::format("{} dB against the {}baseline ({:.1f} standard deviations)",
                     signed_tenths(level.change_db),
                     level.baseline->provisional ? "provisional " : "", level.significance);
}

/// The limits of the level that was asked for, and how it compares with them.
std::string limits_text(const LevelTrend& level, const TrendOptions& o) {
  const LevelLimits limits = limits_of(level, o);
  const std::string both = fmt::format("alert: {}; alarm: {}", limits.alert, limits.alarm);
  if (!limits.decide) return both + " (no baseline yet: no alarm)";
  if (level.state == AlarmLevel::none) return both + "; below both";
  return fmt::format("{}; {} since {}", both, words(level.state), format_date(*level.since));
}

std::string days_text(double days) {
  return days < 2 ? fmt::format("{:.0f} hours", 24 * days) : fmt::format("{:.0f} days", days);
}

std::string forecast_text(const Forecast& f) {
  if (!f.reach) return "none: " + (f.why.empty() ? "no readings" : f.why);
  const std::string earliest = days_text(f.reach->earliest_days);
  const std::string likely = days_text(f.reach->likely_days);
  return f.reach->latest_days
             ? fmt::format("{} in {} to {} ({:.0f} % interval; {} at the present rate: {})",
                           f.limit, earliest, days_text(*f.reach->latest_days), 100 * f.probability,
                           likely, f.why)
             : fmt::format(
                   "{} not before {} ({:.0f} % limit); in {} at the present rate, later or "
                   "never if it slows or stops ({})",
                   f.limit, earliest, 100 * f.probability, likely, f.why);
}

/// The confidence of the latest recording.
std::string certainty_text(const Reading& latest, const Assessment& a) {
  const std::string when = format_date(latest.taken);
  switch (latest.verdict) {
    case Verdict::fault:
      return fmt::format("bearing damaged: {}; {}: {} ({})", percent(latest.probability_of_damage),
                         damaged_component(latest.place, latest.place_set),
                         percent(latest.probability_of_place), when);
    case Verdict::no_fault:
      return a.remaining_damage ? fmt::format("healthy: {} ({})", healthy_words(a), when)
                                : fmt::format("no fault found ({})", when);
    case Verdict::indeterminate:
      return fmt::format("the recording of {} cannot tell", when);
  }
  return {};
}

void add_levels(ReportSection& section, const PointHistory& history, const Trend& trend,
                Followed shown) {
  std::vector<Followed> rows{Followed::high_band, Followed::floor, Followed::velocity};
  if (std::find(rows.begin(), rows.end(), shown) == rows.end()) rows.push_back(shown);
  for (const Followed what : rows) {
    const LevelTrend* level = trend.find(what);
    if (level == nullptr) continue;
    std::string label = capital(std::string{words(what)});
    if (level->baseline) section.figures.push_back({label, change_text(*level)});
    if (what == shown)
      section.figures.push_back(
          {"Alert, alarm", limits_text(*level, with_limits({}, history.limits))});
  }
}

ReportSection now_section(const PointHistory& history, const Standing& s, const Trend& trend,
                          const Forecast& forecast, Followed shown) {
  ReportSection section;
  section.id = "now";
  section.figures.push_back({"Bearing", fmt::format("damage: {}", words(s.stage))});
  if (!history.readings.empty())
    section.figures.push_back(
        {"Confidence", certainty_text(history.readings.back(), s.assessment)});
  if (!s.why.empty()) section.figures.push_back({"Why", s.why});
  if (s.since) section.figures.push_back({"First seen", format_date(*s.since)});
  if (!s.changed.empty()) section.figures.push_back({"Changes", s.changed});
  if (!s.dates.empty()) section.figures.push_back({"Dates in doubt", s.dates});
  add_levels(section, history, trend, shown);
  if (!trend.remark.empty()) section.figures.push_back({"Baseline", trend.remark});
  const VelocityJudgement vibration = judge_vibration(history);
  section.figures.push_back({"Vibration", vibration_words(vibration)});
  if (vibration.zone) {
    section.figures.push_back({"Limits", limits_text(*vibration.limits)});
    section.figures.push_back({"Source of the limits", limits_status(*vibration.limits)});
  }
  section.figures.push_back({"Forecast", forecast_text(forecast)});
  section.notes.emplace_back(
      "Against the baseline: median of the last three readings, so that a single outlier raises no "
      "alarm.");
  if (s.acknowledged) section.figures.push_back({"Acknowledged", "no worse since"});
  return section;
}

ReportSection alarm_section(const Trend& trend) {
  ReportSection section;
  section.id = "alarms";
  section.title = "Alarms";
  for (const Alarm& a : trend.alarms)
    section.items.push_back(fmt::format("{} since {}: {} ({})", words(a.level),
                                        format_date(a.since), a.why, words(a.rule)));
  return section;
}

ReportSection readings_section(const PointHistory& history) {
  constexpr std::size_t max_rows = 30;
  ReportSection section;
  section.id = "readings";
  section.title = "Readings";
  const auto& all = history.readings;
  const std::size_t first = all.size() > max_rows ? all.size() - max_rows : 0;
  ReportTable t;
  const std::string unit = all.empty() ? std::string{} : shown_unit(all.back().levels.unit);
  t.columns = {{"Date", "UTC", false},    {"Speed", "rpm", true}, {"Velocity", "mm/s", true},
               {"High band", unit, true}, {"Floor", unit, true},  {"Kurtosis", "", true},
               {"Verdict", "", false}};
  // Where a day holds several the time of day tells them apart.
  const auto same_day = [](const Reading& a, const Reading& b) {
    return format_date(a.taken) == format_date(b.taken);
  };
  const bool timed = std::adjacent_find(all.begin() + static_cast<std::ptrdiff_t>(first), all.end(),
                                        same_day) != all.end();
  const auto when = [&](UtcTime taken) {
    const std::string day = format_date(taken);
    return timed ? day + " " + format_time(taken).substr(day.size() + 1, 5) : day;
  };
  for (std::size_t i = first; i < all.size(); ++i) {
    const Reading& r = all[i];
    t.rows.push_back(
        {when(r.taken), r.speed ? fmt::format("{:.0f}", r.speed->value()) : "-",
         level_text(r.levels, Indicator::velocity), level_text(r.levels, Indicator::high_band),
         level_text(r.levels, Indicator::floor), level_text(r.levels, Indicator::kurtosis),
         r.verdict == Verdict::fault ? damaged_component(r.place, r.place_set)
                                     : std::string{words(r.verdict)}});
  }
  section.table = std::move(t);
  if (first > 0) section.notes.push_back(fmt::format("{} older readings are not shown.", first));
  return section;
}

ReportSection event_section(const PointHistory& history) {
  ReportSection section;
  section.id = "events";
  section.title = "Events";
  for (const Event& e : history.events) {
    std::string text = fmt::format("{} {}", format_date(e.when), words(e.kind));
    if (e.temperature_celsius) text += fmt::format(", {:.0f} °C", *e.temperature_celsius);
    if (!e.note.empty()) text += ": " + e.note;
    section.items.push_back(std::move(text));
  }
  return section;
}

/// Where dB values and times fall in the chart.
struct Frame {
  double low, high;
  std::size_t rows, columns;
  [[nodiscard]] std::size_t row(double db) const {
    const double part = (high - db) / (high - low);
    return static_cast<std::size_t>(std::clamp(std::lround(part * static_cast<double>(rows - 1)),
                                               0L, static_cast<long>(rows) - 1));
  }
};

Frame frame_of(const LevelTrend& level, const LevelLimits& limits, std::size_t columns) {
  const auto [low, high] = std::minmax_element(level.level_db.begin(), level.level_db.end());
  Frame f{std::min(*low, limits.zero_db - 2), std::max(*high, limits.alarm_db + 1), 9, columns};
  if (f.high - f.low < 6) f.high = f.low + 6;
  return f;
}

}  // namespace

Report trend_report(const PointHistory& history, const Standing& s, const Trend& trend,
                    const Forecast& forecast, Followed shown) {
  Report r;
  r.source = fmt::format("{}, {}", history.at.machine, history.at.point);
  r.title = title_of(s.assessment);
  r.headline = s.assessment.headline;
  r.tone = tone_of(s.assessment.urgency);
  if (!s.assessment.actions.empty()) r.sections.push_back(action_section(s.assessment));
  r.sections.push_back(now_section(history, s, trend, forecast, shown));
  if (!trend.alarms.empty()) r.sections.push_back(alarm_section(trend));
  if (!history.events.empty()) r.sections.push_back(event_section(history));
  r.sections.push_back(readings_section(history));
  if (trend.other + trend.unusable > 0)
    r.sections.back().notes.push_back(
        fmt::format("Not compared: {} at another speed, load or unit; {} unusable.", trend.other,
                    trend.unusable));
  return r;
}

std::vector<std::string> trend_chart(const LevelTrend& level, const TrendOptions& o, int width,
                                     bool unicode) {
  if (level.time.size() < 2) return {};
  constexpr std::size_t margin = 9;  // of the labels on the left
  const std::size_t columns = static_cast<std::size_t>(std::max(width, 40)) - margin - 1;
  const LevelLimits limits = limits_of(level, o);
  const double zero = limits.zero_db;
  const Frame f = frame_of(level, limits, columns);
  std::vector<std::vector<std::string>> cells(f.rows, std::vector<std::string>(columns, " "));
  std::vector<std::string> labels(f.rows);
  const auto rule = [&](double db, const char* mark, const std::string& label) {
    if (db > f.high || db < f.low) return;
    const std::size_t row = f.row(db);
    std::fill(cells[row].begin(), cells[row].end(), mark);
    labels[row] = label;
  };
  rule(zero, unicode ? "─" : "-", level.baseline ? "baseline" : "first");
  rule(limits.alert_db, unicode ? "┄" : ".", "alert");
  rule(limits.alarm_db, unicode ? "╌" : "=", "alarm");
  const double span = std::max(1e-9, days_between(level.time.front(), level.time.back()));
  for (std::size_t i = 0; i < level.time.size(); ++i) {
    const double part = days_between(level.time.front(), level.time[i]) / span;
    const auto column =
        static_cast<std::size_t>(std::lround(part * static_cast<double>(columns - 1)));
    cells[f.row(level.level_db[i])][column] = unicode ? "●" : "*";
  }
  if (labels.front().empty()) labels.front() = fmt::format("{:+.0f} dB", f.high - zero);
  if (labels.back().empty()) labels.back() = fmt::format("{:+.0f} dB", f.low - zero);
  std::vector<std::string> lines;
  for (std::size_t r = 0; r < f.rows; ++r) {
    std::string line = fmt::format("{:>{}} ", labels[r], margin - 1);
    for (const std::string& cell : cells[r]) line += cell;
    line.resize(line.find_last_not_of(' ') + 1);
    lines.push_back(std::move(line));
  }
  const std::string begin = format_date(level.time.front());
  const std::string end = format_date(level.time.back());
  lines.push_back(std::string(margin, ' ') + begin +
                  std::string(columns - begin.size() - end.size(), ' ') + end);
  return lines;
}

}  // namespace bearingdsp
