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

/// The level above 1 kHz against its baseline, with the limits that alarms are raised by.
ReportPlot high_band_plot(const LevelTrend& level, const Forecast& forecast, SampleUnit unit,
                          const TrendOptions& o) {
  ReportPlot p = over_time(level, "level above 1 kHz over time");
  p.y_label = level.baseline ? "above the baseline" : "level";
  p.y_unit = "dB";
  if (!level.baseline)
    p.y_unit +=
        unit == SampleUnit::uncalibrated ? " re 1, uncalibrated" : " re 1 " + shown_unit(unit);
  const double zero = level.baseline ? level.baseline->level_db : 0;
  for (const double db : level.level_db) p.y.push_back(db - zero);
  if (!level.baseline) return p;
  const double sigma = level.baseline->sigma_db;
  p.limits = {{0, "baseline"},
              {std::max(o.alert_db, o.alert_sigmas * sigma), "alert"},
              {std::max(o.alarm_db, o.alarm_sigmas * sigma), "alarm"}};
  if (forecast.reach && !p.x.empty()) {
    const ReachRange& r = *forecast.reach;
    // Without an end the range is drawn to twice the time that it takes if it goes on.
    const double last = r.latest_days.value_or(2 * r.likely_days);
    p.ranges.push_back({p.x.back() + r.earliest_days * day, p.x.back() + last * day,
                        r.latest_days ? "12 dB reached" : "12 dB reached, later or never"});
  }
  return p;
}

/// A zone's name stands at the line where it begins.
ReportPlot velocity_over_time(const LevelTrend& level, const TrendOptions& o) {
  ReportPlot p = over_time(level, "vibration velocity over time");
  p.y_label = "velocity";
  p.y_unit = "mm/s rms";
  for (const double db : level.level_db) p.y.push_back(in_mm_per_s(std::pow(10, db / 20)));
  if (o.velocity_alert) p.limits.push_back({in_mm_per_s(*o.velocity_alert), "zone C"});
  if (o.velocity_alarm) p.limits.push_back({in_mm_per_s(*o.velocity_alarm), "zone D"});
  return p;
}

}  // namespace

Report trend_chapter(const PointHistory& history, const Standing& standing,
                     std::size_t most_visits) {
  const TrendOptions options = with_limits({}, history.limits);
  const Trend trend = find_trend(trend_points(history), baseline_start(history), options);
  const LevelTrend* high = trend.find(Indicator::high_band);
  const Forecast ahead = high != nullptr ? forecast(*high) : Forecast{};
  Report r = trend_report(history, standing, trend, ahead);
  if (high != nullptr)
    r.plots.push_back(high_band_plot(*high, ahead, history.readings.back().levels.unit, options));
  if (const LevelTrend* v = trend.find(Indicator::velocity))
    r.plots.push_back(velocity_over_time(*v, options));
  r.maps = visit_maps(history, most_visits);
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
