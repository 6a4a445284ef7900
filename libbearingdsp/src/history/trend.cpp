#include "bearingdsp/history/trend.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <tuple>
#include <utility>

#include "bearingdsp/dsp/statistics.hpp"
#include "bearingdsp/history/change_test.hpp"
#include "bearingdsp/history/growth.hpp"
#include "bearingdsp/verdict/judgement.hpp"

namespace bearingdsp {
namespace {

// What levels of a machine in unchanged state scatter by between readings, and how many readings
// that knowledge is worth.
constexpr double prior_sigma_db = 1.5;
constexpr double prior_readings = 4;
constexpr std::size_t rate_window = 8;
constexpr double rate_gain_db = 3;
constexpr double rate_sigmas = 3;
constexpr double rate_by_chance = 0.001;
constexpr std::size_t steady_window = 3;
// A family weaker than this is not there; JudgementModel::even_strength is.
constexpr double absent_strength = 0.15;
// Weaker lines cannot be distinguished from none in a recording of some seconds; keeps 20 lg
// finite.
constexpr double min_strength = 0.01;
constexpr double never_db = -1000;

double in_db(double level) { return 20 * std::log10(level); }

/// Levels that tell of the bearing or the structure as a whole. A peak or the overall level follows
/// whatever happens at the machine, and envelope and high band say the same.
bool raises_alarm(Followed what) {
  return what == Followed::velocity || what == Followed::high_band || what == Followed::floor;
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

/// Indices of the readings that a baseline can be taken from: the first healthy ones.
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
  return members;
}

/// Days since the first.
std::vector<double> days_of(std::span<const UtcTime> times) {
  std::vector<double> days;
  for (const UtcTime t : times) days.push_back(days_between(times.front(), t));
  return days;
}

/// Readings that rise steadily are no normal state: only the first of them are, as far as anything
/// is known. Of readings that fall, as while a bearing runs in, the last are.
std::optional<Baseline> baseline_of(const LevelTrend& level, std::span<const UtcTime> times,
                                    const TrendOptions& o) {
  std::vector<double> db;
  std::vector<UtcTime> when;
  for (std::size_t i = 0; i < level.time.size(); ++i) {
    if (std::find(times.begin(), times.end(), level.time[i]) == times.end()) continue;
    when.push_back(level.time[i]);
    db.push_back(level.level_db[i]);
  }
  if (db.size() < std::max<std::size_t>(1, o.min_baseline)) return std::nullopt;
  Baseline b;
  const auto drift = drift_of(days_of(when), db);
  std::size_t from = 0;
  std::size_t count = db.size();
  if (drift) {
    b.drift_db = drift->gain;
    count = drift->gain > 0 ? o.min_baseline : std::max(o.min_baseline, db.size() / 2);
    if (drift->gain < 0) from = db.size() - count;
  }
  const std::span kept{db.data() + from, count};
  b.first = when[from];
  b.last = when[from + count - 1];
  b.readings = count;
  b.provisional = count < o.baseline_readings;
  b.level_db = median(kept);
  const double sigma =
      drift ? drift->line.scatter : normal_per_mad * median_absolute_deviation(kept);
  const auto n = static_cast<double>(count);
  b.sigma_db = std::sqrt((prior_readings * prior_sigma_db * prior_sigma_db + n * sigma * sigma) /
                         (prior_readings + n));
  return b;
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

LevelTrend level_trend(Followed what, std::span<const TrendPoint> like,
                       std::span<const UtcTime> good, const TrendOptions& o) {
  LevelTrend level;
  level.what = what;
  const bool lines = part_of(what).has_value();
  const auto value_at = [&](const TrendPoint& p) { return value_of(what, p.levels, p.strength); };
  // Without a bearing nothing is known of its lines; with one, none found is little, not nothing.
  if (lines && std::none_of(like.begin(), like.end(),
                            [&](const TrendPoint& p) { return value_at(p).value_or(0) > 0; }))
    return level;
  for (const TrendPoint& p : like) {
    auto value = value_at(p);
    if (lines) value = std::max(value.value_or(0), min_strength);
    if (!value || !(*value > 0)) continue;
    level.time.push_back(p.time);
    level.level_db.push_back(in_db(*value));
  }
  if (level.time.empty()) return level;
  level.baseline = baseline_of(level, good, o);
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

/// Alert and alarm above the baseline, dB.
std::pair<double, double> above_baseline(double sigma_db, const TrendOptions& o) {
  return {std::max(o.alert_db, o.alert_sigmas * sigma_db),
          std::max(o.alarm_db, o.alarm_sigmas * sigma_db)};
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
std::pair<AlarmLevel, std::optional<UtcTime>> state_of(const LevelTrend& level, double alert_db,
                                                       double alarm_db, double hysteresis_db) {
  for (const auto& [limit, severity] :
       {std::pair{alarm_db, AlarmLevel::alarm}, std::pair{alert_db, AlarmLevel::alert}}) {
    std::vector<double> above(level.level_db.begin(), level.level_db.end());
    for (double& a : above) a -= limit;
    if (const auto since = standing_since(level.time, above, hysteresis_db))
      return {severity, since};
  }
  return {AlarmLevel::none, std::nullopt};
}

void add_alarm(Trend& trend, Alarm alarm, const LevelTrend& level, double alert_db, double alarm_db,
               double hysteresis_db) {
  const auto [severity, since] = state_of(level, alert_db, alarm_db, hysteresis_db);
  if (!since) return;
  alarm.level = severity;
  alarm.since = *since;
  trend.alarms.push_back(std::move(alarm));
}

void check_baseline(Trend& trend, const LevelTrend& level, const TrendOptions& o) {
  if (!level.baseline || !raises_alarm(level.what)) return;
  const Baseline& b = *level.baseline;
  const auto [alert, alarm] = above_baseline(b.sigma_db, o);
  add_alarm(trend,
            {AlarmRule::baseline,
             AlarmLevel::alert,
             indicator_of(level.what),
             {},
             {},
             fmt::format("{} {:+.0f} dB against the {}baseline of {} readings", words(level.what),
                         level.change_db, b.provisional ? "provisional " : "", b.readings)},
            level, b.level_db + alert, b.level_db + alarm, o.hysteresis_db);
}

/// Levels that lie a little above their baseline and stay there: one alert, of the first.
void check_lasting(Trend& trend) {
  Alarm alarm{AlarmRule::lasting, AlarmLevel::alert, {}, {}, {}, ""};
  double rise = 0;
  for (const Indicator i : tested_levels) {
    const LevelTrend* level = trend.find(i);
    if (level == nullptr || !level->baseline) continue;
    const Baseline& b = *level->baseline;
    const auto first = static_cast<std::size_t>(
        std::upper_bound(level->time.begin(), level->time.end(), b.last) - level->time.begin());
    const std::vector<bool> active =
        lasting_rise({level->level_db, first, b.level_db, b.sigma_db, b.readings});
    if (active.empty() || !active.back()) continue;
    std::size_t begin = active.size() - 1;
    while (begin > 0 && active[begin - 1]) --begin;
    if (alarm.indicator && alarm.since <= level->time[begin]) continue;
    alarm.indicator = i;
    alarm.since = level->time[begin];
    rise = level->change_db;
  }
  if (!alarm.indicator) return;
  alarm.why = fmt::format(
      "{} {:+.1f} dB above its baseline, and it stays there (false about once in {:.0f} readings "
      "where the scatter is up to 1.5 dB)",
      words(*alarm.indicator), rise, readings_between_false_alerts);
  trend.alarms.push_back(std::move(alarm));
}

/// Of the readings of one window: from this score on, chance does it rarely enough.
int score_beyond_chance() {
  int score = static_cast<int>(rate_window * (rate_window - 1) / 2);
  while (score > 0 && chance_of_score(rate_window, score - 2) <= rate_by_chance) score -= 2;
  return score;
}

void check_rate(Trend& trend, const LevelTrend& level, const TrendOptions& o) {
  if (!raises_alarm(level.what)) return;
  const double sigma = level.baseline ? level.baseline->sigma_db : prior_sigma_db;
  const double needed = std::max(rate_gain_db, rate_sigmas * sigma);
  const std::vector<double> days = days_of(level.time);
  std::vector<double> above(level.time.size(), never_db);
  double gain = 0;
  const int min_score = score_beyond_chance();
  for (std::size_t end = rate_window; end <= level.time.size(); ++end) {
    if (rising_score({level.level_db.data() + (end - rate_window), rate_window}) < min_score)
      continue;
    gain = rise_before(level, days, end).gain_db;
    above[end - 1] = gain - needed;
  }
  const auto since = standing_since(level.time, above, o.hysteresis_db);
  if (!since) return;
  trend.alarms.push_back({AlarmRule::rate,
                          AlarmLevel::alert,
                          indicator_of(level.what),
                          {},
                          *since,
                          fmt::format("{} rose {:.0f} dB over the last {} readings, steadily",
                                      words(level.what), gain, rate_window)});
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
            *velocity, in_db(*o.velocity_alert), in_db(*o.velocity_alarm), o.hysteresis_db);
}

void check_family(Trend& trend, std::span<const TrendPoint> like,
                  const std::vector<std::size_t>& good, Part part, const TrendOptions& o) {
  const auto k = static_cast<std::size_t>(part);
  std::vector<double> before;
  before.reserve(good.size());
  for (const std::size_t i : good) before.push_back(like[i].strength.at(k));
  if (before.size() < o.min_baseline || median(before) >= absent_strength) return;
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
       fmt::format("lines of the {} detected since {}, not present in the baseline", words(part),
                   format_date(*since))});
}

/// Of the levels that raise alarms the one whose first readings drift most, else the first; none
/// without any.
const LevelTrend* first_baseline(const Trend& trend) {
  const LevelTrend* found = nullptr;
  for (const LevelTrend& level : trend.levels) {
    if (!level.baseline || !raises_alarm(level.what)) continue;
    if (found == nullptr ||
        std::abs(level.baseline->drift_db) > std::abs(found->baseline->drift_db))
      found = &level;
  }
  return found;
}

/// Why there is no baseline, or what is to be known about it. `healthy`: readings that it can be
/// taken from.
std::string remark_of(const Trend& trend, std::size_t healthy, const TrendOptions& o) {
  if (healthy >= o.min_baseline) {
    const LevelTrend* level = first_baseline(trend);
    if (level == nullptr || !level->baseline->provisional) return {};
    const Baseline& b = *level->baseline;
    if (b.drift_db != 0)
      return fmt::format(
          "provisional: the {} {} by {:.0f} dB over the first readings, so that only "
          "the {} {} count",
          words(level->what), b.drift_db > 0 ? "rose" : "fell", std::abs(b.drift_db),
          b.drift_db > 0 ? "first" : "last", b.readings);
    return fmt::format("provisional, of {} healthy readings; {} make it final", b.readings,
                       o.baseline_readings);
  }
  if (trend.compared < o.min_baseline)
    return fmt::format("no baseline yet: {} of {} readings alike in speed and load", trend.compared,
                       o.min_baseline);
  if (healthy == 0) return "no baseline: the bearing showed a fault from the first readings on";
  return fmt::format("no baseline: only {} of the first readings without a fault, {} are needed",
                     healthy, o.min_baseline);
}

}  // namespace

std::string_view token(AlarmLevel level) noexcept {
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

std::string_view token(AlarmRule rule) noexcept {
  switch (rule) {
    case AlarmRule::standard:
      return "limit of the standard";
    case AlarmRule::baseline:
      return "above the baseline";
    case AlarmRule::rate:
      return "rising";
    case AlarmRule::new_family:
      return "new family";
    case AlarmRule::lasting:
      return "lasting rise";
  }
  return "rising";
}

const LevelTrend* Trend::find(Followed what) const noexcept {
  for (const LevelTrend& one : levels)
    if (one.what == what) return &one;
  return nullptr;
}

LevelLimits limits_of(const LevelTrend& level, const TrendOptions& o) {
  LevelLimits l;
  const std::size_t first = std::min<std::size_t>(steady_window, level.level_db.size());
  l.zero_db =
      level.baseline ? level.baseline->level_db : median(std::span{level.level_db.data(), first});
  if (level.what == Followed::velocity && o.velocity_alert && o.velocity_alarm) {
    l.alert_db = in_db(*o.velocity_alert);
    l.alarm_db = in_db(*o.velocity_alarm);
    l.alert = fmt::format("zone C, {:.1f} mm/s", 1e3 * *o.velocity_alert);
    l.alarm = fmt::format("zone D, {:.1f} mm/s", 1e3 * *o.velocity_alarm);
    return l;
  }
  if (part_of(level.what)) {
    l.alert_db = in_db(absent_strength);
    l.alarm_db = in_db(JudgementModel{}.even_strength);
    l.alert = "lines present";
    l.alarm = "damage likely";
    return l;
  }
  const auto [alert, alarm] =
      above_baseline(level.baseline ? level.baseline->sigma_db : prior_sigma_db, o);
  l.alert_db = l.zero_db + alert;
  l.alarm_db = l.zero_db + alarm;
  l.decide = level.baseline.has_value();
  const char* above = l.decide ? "the baseline" : "the first readings";
  l.alert = fmt::format("{:.0f} dB above {}", alert, above);
  l.alarm = fmt::format("{:.0f} dB above {}", alarm, above);
  return l;
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
  for (std::size_t i = 0; i < followed_count; ++i) {
    LevelTrend level = level_trend(static_cast<Followed>(i), like, good_times, o);
    if (level.time.empty()) continue;
    if (const LevelLimits limits = limits_of(level, o); limits.decide)
      std::tie(level.state, level.since) =
          state_of(level, limits.alert_db, limits.alarm_db, o.hysteresis_db);
    trend.levels.push_back(std::move(level));
  }
  trend.remark = remark_of(trend, good.size(), o);
  check_standard(trend, o);
  for (const LevelTrend& level : trend.levels) {
    check_baseline(trend, level, o);
    check_rate(trend, level, o);
  }
  for (int part = 0; part < part_count; ++part)
    check_family(trend, like, good, static_cast<Part>(part), o);
  check_lasting(trend);
  std::stable_sort(trend.alarms.begin(), trend.alarms.end(),
                   [](const Alarm& a, const Alarm& b) { return a.level > b.level; });
  if (!trend.alarms.empty()) trend.level = trend.alarms.front().level;
  return trend;
}

}  // namespace bearingdsp
