#include "bearingdsp/history/trend.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "bearingdsp/dsp/statistics.hpp"
#include "bearingdsp/history/growth.hpp"
#include "bearingdsp/verdict/judgement.hpp"

namespace bearingdsp {
namespace {

// What levels of a machine in unchanged state scatter by between visits, and how many readings that
// knowledge is worth.
constexpr double prior_sigma_db = 1.5;
constexpr double prior_readings = 4;
constexpr std::size_t rate_window = 8;
constexpr double rate_gain_db = 3;
constexpr double rate_sigmas = 3;
constexpr double rate_by_chance = 0.001;
constexpr std::size_t steady_window = 3;
// A family weaker than this is not there; JudgementModel::even_strength is.
constexpr double absent_strength = 0.15;
constexpr double never_db = -1000;

double in_db(double level) { return 20 * std::log10(level); }

/// Levels that tell of the bearing or the structure as a whole. A peak or the overall level follows
/// whatever happens at the machine, and envelope and high band say the same.
bool raises_alarm(Indicator i) {
  return i == Indicator::velocity || i == Indicator::high_band || i == Indicator::floor;
}

bool spoils_reading(const Finding& f) {
  if (f.weight != Weight::blocking) return false;
  return f.kind == FindingKind::clipped || f.kind == FindingKind::stuck ||
         f.kind == FindingKind::dead_channel || f.kind == FindingKind::gap ||
         f.kind == FindingKind::implausible_level;
}

bool measured(const TrendPoint& p) {
  const auto& overall = p.levels.at(Indicator::overall);
  return p.usable && overall && *overall > 0;
}

bool alike(const TrendPoint& p, const TrendPoint& q, const TrendOptions& o) {
  if (p.levels.unit != q.levels.unit || p.levels.high_band.high != q.levels.high_band.high)
    return false;
  return ran_alike(p, q, o);
}

/// Indices of the readings that make the baseline; fewer than least_baseline: none.
std::vector<std::size_t> baseline_members(std::span<const TrendPoint> like, UtcTime start,
                                          const TrendOptions& o) {
  std::vector<std::size_t> members;
  std::size_t seen = 0;
  for (std::size_t i = 0; i < like.size() && members.size() < o.baseline_readings; ++i) {
    if (like[i].time < start) continue;
    // What comes long after the first readings is not how it was when it was new.
    if (++seen > 2 * o.baseline_readings) break;
    if (like[i].verdict != Verdict::fault) members.push_back(i);
  }
  if (members.size() < o.least_baseline) members.clear();
  return members;
}

std::optional<Baseline> baseline_of(const LevelTrend& level, std::span<const UtcTime> times) {
  std::vector<double> db;
  Baseline b;
  for (std::size_t i = 0; i < level.time.size(); ++i) {
    if (std::find(times.begin(), times.end(), level.time[i]) == times.end()) continue;
    if (db.empty()) b.first = level.time[i];
    b.last = level.time[i];
    db.push_back(level.level_db[i]);
  }
  if (db.empty()) return std::nullopt;
  b.readings = db.size();
  b.level_db = median(db);
  const double sigma = normal_per_mad * median_absolute_deviation(db);
  const auto n = static_cast<double>(db.size());
  b.sigma_db = std::sqrt((prior_readings * prior_sigma_db * prior_sigma_db + n * sigma * sigma) /
                         (prior_readings + n));
  return b;
}

/// Days since the first.
std::vector<double> days_of(std::span<const UtcTime> times) {
  std::vector<double> days;
  for (const UtcTime t : times) days.push_back(days_between(times.front(), t));
  return days;
}

struct Rise {
  double db_per_day{0};
  double gain_db{0};
  double by_chance{1};
};
/// Of the last readings up to and without `end`; all zero if there are too few.
Rise rise_before(const LevelTrend& level, const std::vector<double>& days, std::size_t end) {
  if (end < rate_window || days[end - 1] == days[end - rate_window]) return {};
  const std::span y{level.level_db.data() + (end - rate_window), rate_window};
  const std::span x{days.data() + (end - rate_window), rate_window};
  const double slope = robust_line(x, y).slope;
  return {slope, slope * (x.back() - x.front()), rising_by_chance(y)};
}

LevelTrend level_trend(Indicator indicator, std::span<const TrendPoint> like,
                       std::span<const UtcTime> good) {
  LevelTrend level;
  level.indicator = indicator;
  for (const TrendPoint& p : like) {
    const auto& value = p.levels.at(indicator);
    if (!value || !(*value > 0)) continue;
    level.time.push_back(p.time);
    level.level_db.push_back(in_db(*value));
  }
  if (level.time.empty()) return level;
  level.baseline = baseline_of(level, good);
  if (level.baseline) {
    const std::size_t n = std::min(steady_window, level.level_db.size());
    const double steady = median({level.level_db.data() + level.level_db.size() - n, n});
    level.change_db = steady - level.baseline->level_db;
    level.significance =
        level.change_db / (level.baseline->sigma_db *
                           std::sqrt(1.0 + 1.0 / static_cast<double>(level.baseline->readings)));
  }
  const Rise rise = rise_before(level, days_of(level.time), level.time.size());
  level.db_per_day = rise.db_per_day;
  level.by_chance = rise.by_chance;
  return level;
}

/// When the alarm that stands at the end was raised; none if none stands.
std::optional<UtcTime> standing_since(std::span<const UtcTime> times, std::span<const double> above,
                                      double hysteresis_db) {
  const std::vector<bool> active = debounced(above, hysteresis_db);
  if (active.empty() || !active.back()) return std::nullopt;
  std::size_t i = active.size() - 1;
  while (i > 0 && active[i - 1]) --i;
  return times[i];
}

/// The alarm, else the alert, of readings that are compared with two limits.
void add_alarm(Trend& trend, Alarm alarm, std::span<const UtcTime> times,
               std::span<const double> level_db, double alert_db, double alarm_db,
               double hysteresis_db) {
  for (const auto& [limit, severity] :
       {std::pair{alarm_db, AlarmLevel::alarm}, std::pair{alert_db, AlarmLevel::alert}}) {
    std::vector<double> above(level_db.begin(), level_db.end());
    for (double& a : above) a -= limit;
    const auto since = standing_since(times, above, hysteresis_db);
    if (!since) continue;
    alarm.level = severity;
    alarm.since = *since;
    trend.alarms.push_back(std::move(alarm));
    return;
  }
}

void check_baseline(Trend& trend, const LevelTrend& level, const TrendOptions& o) {
  if (!level.baseline || !raises_alarm(level.indicator)) return;
  const Baseline& b = *level.baseline;
  add_alarm(trend,
            {AlarmRule::baseline,
             AlarmLevel::alert,
             level.indicator,
             {},
             {},
             fmt::format("{} {:+.0f} dB against the baseline of {} readings", name(level.indicator),
                         level.change_db, b.readings)},
            level.time, level.level_db,
            b.level_db + std::max(o.alert_db, o.alert_sigmas * b.sigma_db),
            b.level_db + std::max(o.alarm_db, o.alarm_sigmas * b.sigma_db), o.hysteresis_db);
}

/// Of the readings of one window: from this score on, chance does it rarely enough.
int score_beyond_chance() {
  int score = static_cast<int>(rate_window * (rate_window - 1) / 2);
  while (score > 0 && chance_of_score(rate_window, score - 2) <= rate_by_chance) score -= 2;
  return score;
}

void check_rate(Trend& trend, const LevelTrend& level, const TrendOptions& o) {
  if (!raises_alarm(level.indicator)) return;
  const double sigma = level.baseline ? level.baseline->sigma_db : prior_sigma_db;
  const double needed = std::max(rate_gain_db, rate_sigmas * sigma);
  const std::vector<double> days = days_of(level.time);
  std::vector<double> above(level.time.size(), never_db);
  double gain = 0;
  const int least_score = score_beyond_chance();
  for (std::size_t end = rate_window; end <= level.time.size(); ++end) {
    if (rising_score({level.level_db.data() + (end - rate_window), rate_window}) < least_score)
      continue;
    gain = rise_before(level, days, end).gain_db;
    above[end - 1] = gain - needed;
  }
  const auto since = standing_since(level.time, above, o.hysteresis_db);
  if (!since) return;
  trend.alarms.push_back({AlarmRule::rate,
                          AlarmLevel::alert,
                          level.indicator,
                          {},
                          *since,
                          fmt::format("{} rose {:.0f} dB over the last {} readings, steadily",
                                      name(level.indicator), gain, rate_window)});
}

void check_standard(Trend& trend, const TrendOptions& o) {
  const LevelTrend* velocity = trend.find(Indicator::velocity);
  if (velocity == nullptr || !o.velocity_alert || !o.velocity_alarm) return;
  add_alarm(trend,
            {AlarmRule::standard,
             AlarmLevel::alert,
             Indicator::velocity,
             {},
             {},
             fmt::format("velocity {:.1f} mm/s; the limits are {:.1f} and {:.1f} mm/s",
                         1e3 * std::pow(10.0, velocity->level_db.back() / 20),
                         1e3 * *o.velocity_alert, 1e3 * *o.velocity_alarm)},
            velocity->time, velocity->level_db, in_db(*o.velocity_alert), in_db(*o.velocity_alarm),
            o.hysteresis_db);
}

void check_family(Trend& trend, std::span<const TrendPoint> like,
                  const std::vector<std::size_t>& good, Part part, const TrendOptions& o) {
  const auto k = static_cast<std::size_t>(part);
  std::vector<double> before;
  before.reserve(good.size());
  for (const std::size_t i : good) before.push_back(like[i].strength.at(k));
  if (before.empty() || median(before) >= absent_strength) return;
  std::vector<UtcTime> times;
  std::vector<double> above;
  for (const TrendPoint& p : like) {
    times.push_back(p.time);
    above.push_back(p.strength.at(k) > 0 ? in_db(p.strength.at(k) / JudgementModel{}.even_strength)
                                         : never_db);
  }
  const auto since = standing_since(times, above, o.hysteresis_db);
  if (!since) return;
  trend.alarms.push_back(
      {AlarmRule::new_family,
       AlarmLevel::alarm,
       {},
       part,
       *since,
       fmt::format("lines of the {} stand since {}, which did not when the baseline was taken",
                   name(part), format_date(*since))});
}

std::string why_no_baseline(std::size_t compared, const TrendOptions& o) {
  return compared < o.least_baseline
             ? fmt::format("no baseline yet: {} of {} readings alike in speed and load", compared,
                           o.least_baseline)
             : "no baseline: the bearing showed a fault from the first readings on";
}

}  // namespace

std::string_view name(AlarmLevel level) noexcept {
  switch (level) {
    case AlarmLevel::none:
      return "none";
    case AlarmLevel::alert:
      return "alert";
    case AlarmLevel::alarm:
      return "alarm";
  }
  return "none";
}

std::string_view name(AlarmRule rule) noexcept {
  switch (rule) {
    case AlarmRule::standard:
      return "limit of the standard";
    case AlarmRule::baseline:
      return "above the baseline";
    case AlarmRule::rate:
      return "rising";
    case AlarmRule::new_family:
      return "new family";
  }
  return "rising";
}

const LevelTrend* Trend::find(Indicator indicator) const noexcept {
  for (const LevelTrend& one : levels)
    if (one.indicator == indicator) return &one;
  return nullptr;
}

std::vector<TrendPoint> trend_points(const PointHistory& history) {
  std::vector<TrendPoint> points;
  for (const Reading& r : history.readings) {
    TrendPoint p;
    p.time = r.taken;
    p.levels = r.levels;
    p.speed = r.speed;
    p.load_percent = r.load_percent;
    p.verdict = r.verdict;
    for (std::size_t i = 0; i < r.parts.size(); ++i) p.strength.at(i) = r.parts.at(i).strength;
    p.usable = std::none_of(r.findings.begin(), r.findings.end(), spoils_reading);
    points.push_back(p);
  }
  return points;
}

TrendOptions with_limits(TrendOptions options, const KnownLimits& limits) {
  if (!limits.zones || options.velocity_alert || options.velocity_alarm) return options;
  options.velocity_alert = limits.zones->bc.value();
  options.velocity_alarm = limits.zones->cd.value();
  return options;
}

UtcTime baseline_start(const PointHistory& history) {
  UtcTime start = history.readings.empty() ? UtcTime{} : history.readings.front().taken;
  for (const Event& e : history.events)
    if (begins_baseline(e.kind)) start = std::max(start, e.when);
  return start;
}

std::vector<bool> debounced(std::span<const double> above, double hysteresis_db, double far_db) {
  std::vector<bool> active(above.size(), false);
  bool now = false;
  for (std::size_t i = 0; i < above.size(); ++i) {
    const std::size_t first = i < 2 ? 0 : i - 2;
    const auto last3 = above.subspan(first, i + 1 - first);
    const auto over = std::count_if(last3.begin(), last3.end(), [](double a) { return a >= 0; });
    const bool all_below =
        last3.size() == 3 &&
        std::all_of(last3.begin(), last3.end(), [&](double a) { return a < -hysteresis_db; });
    if (above[i] >= far_db || (above[i] >= 0 && over >= 2)) now = true;
    if (all_below) now = false;
    active[i] = now;
  }
  return active;
}

bool ran_alike(const TrendPoint& a, const TrendPoint& b, const TrendOptions& o) {
  if (a.speed && b.speed && std::abs(a.speed->value() / b.speed->value() - 1) > o.speed_tolerance)
    return false;
  return !a.load_percent || !b.load_percent ||
         std::abs(*a.load_percent - *b.load_percent) <= o.load_tolerance;
}

Trend find_trend(std::span<const TrendPoint> points, UtcTime start, const TrendOptions& o) {
  Trend trend;
  const auto latest = std::find_if(points.rbegin(), points.rend(), measured);
  if (latest == points.rend()) {
    trend.unusable = points.size();
    trend.remark = points.empty() ? "no readings" : "no reading that can be compared";
    return trend;
  }
  std::vector<TrendPoint> like;
  for (const TrendPoint& p : points) {
    if (!measured(p))
      ++trend.unusable;
    else if (!alike(p, *latest, o))
      ++trend.other;
    // A new bearing is not compared with the one before it.
    else if (p.time >= start)
      like.push_back(p);
  }
  trend.compared = like.size();
  const std::vector<std::size_t> good = baseline_members(like, start, o);
  std::vector<UtcTime> good_times;
  good_times.reserve(good.size());
  for (const std::size_t i : good) good_times.push_back(like[i].time);
  if (good.empty()) trend.remark = why_no_baseline(like.size(), o);
  for (std::size_t i = 0; i < indicator_count; ++i) {
    LevelTrend level = level_trend(static_cast<Indicator>(i), like, good_times);
    if (!level.time.empty()) trend.levels.push_back(std::move(level));
  }
  check_standard(trend, o);
  for (const LevelTrend& level : trend.levels) {
    check_baseline(trend, level, o);
    check_rate(trend, level, o);
  }
  for (int part = 0; part < part_count; ++part)
    check_family(trend, like, good, static_cast<Part>(part), o);
  std::stable_sort(trend.alarms.begin(), trend.alarms.end(),
                   [](const Alarm& a, const Alarm& b) { return a.level > b.level; });
  if (!trend.alarms.empty()) trend.level = trend.alarms.front().level;
  return trend;
}

}  // namespace bearingdsp
