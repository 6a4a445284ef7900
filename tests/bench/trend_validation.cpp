// When alarms come on measured runs to failure, how often they come on simulated machines that do
// not change, and how often a forecast's range holds what happens. Tables to stdout; what they
// mean: docs/validation/trend.md
//
// usage: trend_validation [simulated series] [manifest.csv]
#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <tuple>
#include <vector>

#include "bearingdsp/dsp/statistics.hpp"
#include "bearingdsp/history/change_test.hpp"
#include "bearingdsp/history/forecast.hpp"
#include "bearingdsp/history/trend.hpp"
#include "bearingdsp/simulate/random.hpp"
#include "support/growth_laws.hpp"
#include "support/measured_runs.hpp"

using namespace bearingdsp;
using test::after_seconds;
using test::Coverage;
using test::growing_laws;
using test::Growth;
using test::Law;
using test::point_at;
using test::read_runs;
using test::Run;
using test::seconds_between_records;
using test::Series;
using test::simulated_coverage;
using test::visits;

namespace {

// ---- measured runs to failure

/// First reading of each alarm level, and how many readings of the first half had one standing.
struct Alarms {
  std::optional<std::size_t> alert, alarm;
  std::size_t in_first_half{0};
};

template <class Level>
Alarms alarms_of(std::size_t n, const Level& level_after) {
  Alarms a;
  for (std::size_t i = 0; i < n; ++i) {
    const AlarmLevel level = level_after(i);
    if (level >= AlarmLevel::alert && !a.alert) a.alert = i;
    if (level >= AlarmLevel::alarm && !a.alarm) a.alarm = i;
    if (level >= AlarmLevel::alert && 2 * i < n) ++a.in_first_half;
  }
  return a;
}

std::string share(std::optional<std::size_t> at, std::size_t n) {
  return at ? fmt::format("{:.3f}", static_cast<double>(*at) / static_cast<double>(n)) : "never";
}

void print_alarms(const Run& run, const char* what, const Alarms& a) {
  const std::size_t n = run.points.size();
  fmt::print("| {} | {} | {} | {} | {} of {} |\n", run.name, what, share(a.alert, n),
             share(a.alarm, n), a.in_first_half, n / 2);
}

AlarmLevel simple(double value, double alert, double alarm) {
  return value >= alarm ? AlarmLevel::alarm : value >= alert ? AlarmLevel::alert : AlarmLevel::none;
}

AlarmLevel level_without_lasting(const Trend& trend) {
  AlarmLevel level = AlarmLevel::none;
  for (const Alarm& a : trend.alarms)
    if (a.rule != AlarmRule::lasting) level = std::max(level, a.level);
  return level;
}

void compare_alarms(const Run& run) {
  const std::span<const TrendPoint> all{run.points};
  std::vector<AlarmLevel> limits_only;
  std::vector<AlarmLevel> with_lasting;
  for (std::size_t i = 0; i < all.size(); ++i) {
    const Trend trend = find_trend(all.first(i + 1), all.front().time);
    with_lasting.push_back(trend.level);
    limits_only.push_back(level_without_lasting(trend));
  }
  print_alarms(run, "trend", alarms_of(all.size(), [&](std::size_t i) { return with_lasting[i]; }));
  print_alarms(run, "trend without the sequential test",
               alarms_of(all.size(), [&](std::size_t i) { return limits_only[i]; }));
  std::vector<double> first;
  for (std::size_t i = 0; i < 8; ++i) first.push_back(*all[i].levels.at(Indicator::overall));
  const double normal = median(first);
  print_alarms(run, "rms, 2 and 4 times the first eight", alarms_of(all.size(), [&](std::size_t i) {
                 return simple(*all[i].levels.at(Indicator::overall) / normal, 2, 4);
               }));
  print_alarms(run, "kurtosis, 4 and 6", alarms_of(all.size(), [&](std::size_t i) {
                 return simple(*all[i].levels.at(Indicator::kurtosis), 4, 6);
               }));
}

// ---- forecasts

void print_coverage(const Coverage& c, std::string_view what) {
  const auto part = [&](std::size_t n) {
    return c.given == 0 ? 0.0 : 100.0 * static_cast<double>(n) / static_cast<double>(c.given);
  };
  const auto middle = [](const std::vector<double>& values, const char* format) {
    return values.empty() ? std::string{"-"} : fmt::format(fmt::runtime(format), median(values));
  };
  fmt::print(
      "| {} | {} | {} | {} | {:.0f} % | {:.0f} % | {:.0f} % | {:.0f} % | {} | {} | {} | {} |\n",
      what, c.asked, c.given, c.says_nothing, part(c.inside), part(c.too_early), part(c.too_late),
      part(c.open), middle(c.likely_error, "{:.2f}"), middle(c.earliest_error, "{:.2f}"),
      middle(c.earliest_gaps, "{:.1f}"), middle(c.latest_gaps, "{:.1f}"));
}

/// Each reading of a run is asked when the high band will be at a limit.
Coverage forecast_run(const Run& run, double limit_db) {
  Coverage coverage;
  const std::span<const TrendPoint> all{run.points};
  const Trend whole = find_trend(all, all.front().time);
  const LevelTrend* level = whole.find(Indicator::high_band);
  if (level == nullptr || !level->baseline) return coverage;
  ForecastOptions options;
  options.limit_db = limit_db;
  std::optional<double> reached;
  for (std::size_t i = 2; i + 2 < level->level_db.size() && !reached; ++i)
    if (median({level->level_db.data() + i - 2, 5}) - level->baseline->level_db >= options.limit_db)
      reached = days_between(level->time.front(), level->time[i]);
  if (!reached) return coverage;
  for (std::size_t n = 20; n < level->time.size(); ++n) {
    const double now = days_between(level->time.front(), level->time[n - 1]);
    if (now >= *reached) break;
    LevelTrend known = *level;
    known.time.resize(n);
    known.level_db.resize(n);
    coverage.count(forecast(known, options), *reached - now, seconds_between_records / 86400);
  }
  return coverage;
}

/// Of machines that do not change: alerts and alarms raised over 60 visits.
void false_alarms(std::size_t series) {
  fmt::print(
      "\n| scatter, dB | machines | with an alert | with an alarm |\n| --- | --- | --- | --- |\n");
  for (const double sigma : {0.5, 1.0, 1.5, 2.5}) {
    std::size_t alerts = 0;
    std::size_t alarms = 0;
    for (std::size_t k = 0; k < series; ++k) {
      Random random{k, 11};
      const Growth growth{Law::steady, random};
      const Series s = visits(growth, 0, 60, sigma, random);
      std::vector<TrendPoint> points;
      for (std::size_t i = 0; i < s.day.size(); ++i) points.push_back(point_at(s.day[i], s.db[i]));
      const std::span<const TrendPoint> all{points};
      const Alarms a = alarms_of(all.size(), [&](std::size_t i) {
        return find_trend(all.first(i + 1), all.front().time).level;
      });
      alerts += a.alert ? 1U : 0U;
      alarms += a.alarm ? 1U : 0U;
    }
    fmt::print("| {} | {} | {} | {} |\n", sigma, series, alerts, alarms);
  }
}

// ---- the sequential test

/// Levels that scatter on their own, as many as tested_levels. Shape: [levels][visits]
std::vector<std::vector<double>> independent_levels(std::size_t n, double sigma, Random& random) {
  std::vector<std::vector<double>> levels;
  for (std::size_t k = 0; k < tested_levels.size(); ++k) {
    const Growth growth{Law::steady, random};
    levels.push_back(visits(growth, 0, n, sigma, random).db);
  }
  return levels;
}

TrendPoint point_of(const std::vector<std::vector<double>>& levels, std::size_t i) {
  TrendPoint p = point_at(14.0 * static_cast<double>(i), 0);
  for (std::size_t k = 0; k < levels.size(); ++k)
    p.levels.at(tested_levels.at(k)) = std::pow(10.0, levels[k][i] / 20);
  return p;
}

/// Readings after the baseline, over the alerts that began, all levels together.
double readings_between(std::size_t machines, std::size_t baseline, double sigma) {
  constexpr std::size_t length = 1000;
  std::size_t readings = 0;
  std::size_t alerts = 0;
  for (std::size_t m = 0; m < machines; ++m) {
    Random random{m, 21};
    const auto levels = independent_levels(baseline + length, sigma, random);
    std::vector<TrendPoint> first;
    for (std::size_t i = 0; i < baseline; ++i) first.push_back(point_of(levels, i));
    const Trend trend = find_trend(first, first.front().time);
    std::vector<bool> active(baseline + length, false);
    for (std::size_t k = 0; k < levels.size(); ++k) {
      const LevelTrend* level = trend.find(tested_levels.at(k));
      const Baseline& b = *level->baseline;
      const auto begin = static_cast<std::size_t>(
          std::upper_bound(level->time.begin(), level->time.end(), b.last) - level->time.begin());
      const auto one = lasting_rise({levels[k], begin, b.level_db, b.sigma_db, b.readings});
      for (std::size_t i = 0; i < active.size(); ++i) active[i] = active[i] || one[i];
    }
    readings += length;
    for (std::size_t i = baseline; i < active.size(); ++i)
      alerts += active[i] && !active[i - 1] ? 1U : 0U;
  }
  return static_cast<double>(readings) / static_cast<double>(std::max<std::size_t>(1, alerts));
}

void false_alert_times(std::size_t machines) {
  fmt::print(
      "\n| scatter, dB | readings between false alerts, baseline of 8 | of 3 |\n"
      "| --- | --- | --- |\n");
  for (const double sigma : {0.5, 1.0, 1.5, 2.5})
    fmt::print("| {} | {:.0f} | {:.0f} |\n", sigma, readings_between(machines, 8, sigma),
               readings_between(machines, 3, sigma));
}

/// Visits after the growth began until the first alert, the median of the machines, without and
/// with the sequential test; how many gave one before any growth.
void alert_delays(std::size_t machines) {
  constexpr std::size_t healthy = 20;
  constexpr std::size_t length = 80;
  fmt::print(
      "\n| growth | scatter, dB | visits to the alert without the test | with it | alert before "
      "the growth, without | with |\n| --- | --- | --- | --- | --- | --- |\n");
  for (const auto& [what, per_visit, step] :
       {std::tuple{"0.2 dB a visit", 0.2, 0.0}, std::tuple{"0.5 dB a visit", 0.5, 0.0},
        std::tuple{"4 dB at once", 0.0, 4.0}})
    for (const double sigma : {0.5, 1.0, 1.5}) {
      std::array<std::vector<double>, 2> delays;
      std::array<std::size_t, 2> early{};
      for (std::size_t m = 0; m < machines; ++m) {
        Random random{m, 33};
        const Growth growth{Law::steady, random};
        const Series s = visits(growth, 0, length, sigma, random);
        std::vector<TrendPoint> points;
        for (std::size_t i = 0; i < length; ++i) {
          const double since = i < healthy ? 0 : static_cast<double>(i - healthy + 1);
          points.push_back(
              point_at(s.day[i], s.db[i] + per_visit * since + (since > 0 ? step : 0)));
        }
        std::array<double, 2> delay{length, length};
        for (std::size_t i = length; i-- > 8;) {
          const Trend trend = find_trend(std::span{points}.first(i + 1), points.front().time);
          const double visit = static_cast<double>(i) + 1 - static_cast<double>(healthy);
          if (level_without_lasting(trend) != AlarmLevel::none) delay[0] = visit;
          if (trend.level != AlarmLevel::none) delay[1] = visit;
        }
        for (std::size_t k = 0; k < 2; ++k) {
          if (delay.at(k) <= 0)
            ++early.at(k);
          else
            delays.at(k).push_back(delay.at(k));
        }
      }
      const auto middle = [](const std::vector<double>& v) {
        const double m = v.empty() ? static_cast<double>(length) : median(v);
        return m >= length ? std::string{"never"} : fmt::format("{:.0f}", m);
      };
      fmt::print("| {} | {} | {} | {} | {} of {} | {} of {} |\n", what, sigma, middle(delays[0]),
                 middle(delays[1]), early[0], machines, early[1], machines);
    }
}

void print_coverage_head() {
  fmt::print(
      "\n| growth | asked | given | says nothing | inside | before it | after it | no end | "
      "likely/actual | earliest/actual | earliest, no end | latest |\n"
      "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n");
}

}  // namespace

int main(int argc, char** argv) {
  std::size_t series = 300;
  if (argc > 1) {
    const std::string_view text{argv[1]};
    std::from_chars(text.data(), text.data() + text.size(), series);
  }
  if (argc > 2) {
    const std::vector<Run> runs = read_runs(argv[2]);
    fmt::print(
        "| run | rule | first alert | first alarm | alert standing in the first half |\n"
        "| --- | --- | --- | --- | --- |\n");
    for (const Run& run : runs) compare_alarms(run);
    print_coverage_head();
    for (const Run& run : runs)
      for (const double limit : {6.0, 9.0, 12.0, 15.0})
        print_coverage(forecast_run(run, limit), fmt::format("{}, to {:.0f} dB", run.name, limit));
    if (runs.empty()) fmt::print("no run to failure in {}\n", argv[2]);
  }
  false_alarms(series);
  false_alert_times(std::max<std::size_t>(1, series / 4));
  alert_delays(std::max<std::size_t>(1, series / 4));
  print_coverage_head();
  for (const double sigma : {0.7, 1.5}) {
    for (const Law law : growing_laws)
      print_coverage(simulated_coverage(law, sigma, series, 12),
                     fmt::format("{}, {} dB", token(law), sigma));
    print_coverage(simulated_coverage(Law::steady, sigma, series, 12),
                   fmt::format("{}, {} dB", token(Law::steady), sigma));
  }
  return 0;
}
