#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstddef>
#include <string>
#include <utility>

#include "bearingdsp/report/history.hpp"
#include "report/plots.hpp"
#include "report/sections.hpp"

namespace bearingdsp {
namespace {

constexpr double day = 86400;

double seconds(UtcTime time) { return static_cast<double>(time.time_since_epoch().count()) / 1000; }

/// A level over time without its values.
ReportPlot over_time(const LevelTrend& level, std::string title) {
  ReportPlot p;
  p.title = std::move(title);
  p.kind = PlotKind::readings;
  p.x_label = "date";
  p.x_unit = "UTC";
  for (const UtcTime t : level.time) p.x.push_back(seconds(t));
  p.x_end = p.x.empty() ? 0 : p.x.back();
  return p;
}

void add_forecast(ReportPlot& p, const Forecast& forecast, const std::string& what) {
  if (!forecast.reach || p.x.empty()) return;
  const ReachRange& r = *forecast.reach;
  // Without an end the range is drawn to twice the time that it takes if it goes on.
  const double last = r.latest_days.value_or(2 * r.likely_days);
  p.ranges.push_back({p.x.back() + r.earliest_days * day, p.x.back() + last * day,
                      what + (r.latest_days ? " reached" : " reached, later or never")});
}

/// A level in dB against its baseline, or without one against the first readings, with its limits.
ReportPlot level_plot(const LevelTrend& level, const Forecast& forecast, const TrendOptions& o) {
  const bool high = level.what == Followed::high_band;
  ReportPlot p =
      over_time(level, (high ? std::string{"level above 1 kHz"} : std::string{words(level.what)}) +
                           " over time");
  const LevelLimits limits = limits_of(level, o);
  p.y_label = level.baseline ? "above the baseline" : "above the first readings";
  p.y_unit = "dB";
  for (const double db : level.level_db) p.y.push_back(db - limits.zero_db);
  p.limits = {{0, level.baseline ? "baseline" : "first readings"},
              {limits.alert_db - limits.zero_db, "alert"},
              {limits.alarm_db - limits.zero_db, "alarm"}};
  add_forecast(p, forecast, part_of(level.what) ? "alarm" : "12 dB");
  return p;
}

/// A zone's name stands at the line where it begins.
ReportPlot velocity_over_time(const LevelTrend& level, const TrendOptions& o) {
  ReportPlot p = over_time(level, "vibration velocity over time");
  p.y_label = "velocity";
  p.y_unit = "mm/s rms";
  for (const double db : level.level_db) p.y.push_back(in_mm_per_s(std::pow(10, db / 20)));
  if (level.time.empty()) return p;
  const bool zones = o.velocity_alert && o.velocity_alarm;
  const LevelLimits limits = limits_of(level, o);
  const auto mm_s = [](double db) { return in_mm_per_s(std::pow(10, db / 20)); };
  if (!zones) p.limits.push_back({mm_s(limits.zero_db), level.baseline ? "baseline" : "first"});
  p.limits.push_back({mm_s(limits.alert_db), zones ? "zone C" : "alert"});
  p.limits.push_back({mm_s(limits.alarm_db), zones ? "zone D" : "alarm"});
  return p;
}

}  // namespace

Report trend_chapter(const PointHistory& history, const Standing& standing, std::size_t max_visits,
                     Followed what) {
  const TrendOptions options = with_limits({}, history.limits);
  const Trend trend = find_trend(trend_points(history), baseline_start(history), options);
  const LevelTrend* shown = trend.find(what);
  const Forecast ahead = shown != nullptr ? forecast_of(*shown, options) : Forecast{};
  Report r = trend_report(history, standing, trend, ahead, what);
  if (shown != nullptr && what != Followed::velocity)
    r.plots.push_back(level_plot(*shown, ahead, options));
  if (const LevelTrend* v = trend.find(Indicator::velocity)) {
    r.plots.push_back(velocity_over_time(*v, options));
    if (what == Followed::velocity)
      add_forecast(r.plots.back(), ahead, options.velocity_alarm ? "zone D" : "12 dB");
  }
  r.maps = visit_maps(history, max_visits);
  for (ReportMap& m : r.maps) m.after = r.plots.size();
  return r;
}

ReportSection chapter_list(const std::vector<Report>& chapters) {
  ReportSection s;
  s.id = "points";
  s.title = "Measuring points";
  ReportTable t;
  t.columns = {{"Point", "", false}, {"How it stands", "", false}, {"What to do", "", false}};
  for (const Report& r : chapters) t.rows.push_back({r.source, r.title, r.headline});
  s.table = std::move(t);
  return s;
}

void lead_to_chapters(Report& list, std::vector<Report>& chapters) {
  for (ReportSection& s : list.sections) {
    if (s.id != "points" || !s.table || s.table->rows.size() != chapters.size()) continue;
    s.table->targets.clear();
    for (std::size_t i = 0; i < chapters.size(); ++i) {
      chapters[i].id = "point-" + std::to_string(i + 1);
      s.table->targets.push_back(chapters[i].id);
    }
  }
}

}  // namespace bearingdsp
