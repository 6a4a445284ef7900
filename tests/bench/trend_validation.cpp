// When alarms come on measured runs to failure, how often they come on simulated machines that do
// not change, and how often a forecast's range holds what happens. Tables to stdout; what they
// mean: docs/validation/trend.md
//
// usage: trend_validation [simulated series] [manifest.csv]
#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/dataset/manifest.hpp"
#include "bearingdsp/dsp/statistics.hpp"
#include "bearingdsp/history/forecast.hpp"
#include "bearingdsp/history/trend.hpp"
#include "bearingdsp/simulate/random.hpp"
#include "support/growth_laws.hpp"

using namespace bearingdsp;
using test::Coverage;
using test::growing_laws;
using test::Growth;
using test::Law;
using test::Series;
using test::simulated_coverage;
using test::visits;

namespace {

namespace fs = std::filesystem;

constexpr double seconds_between_records = 10;

UtcTime after_seconds(double s) {
  return UtcTime{std::chrono::milliseconds{static_cast<std::int64_t>(1000 * s)}};
}

// ---- measured runs to failure

struct Run {
  std::string name;
  std::vector<TrendPoint> points;
};

std::vector<Run> read_runs(const std::string& manifest) {
  std::vector<Run> runs;
  std::ifstream in{manifest, std::ios::binary};
  const std::string text{std::istreambuf_iterator<char>{in}, std::istreambuf_iterator<char>{}};
  const auto rows = parse_csv(text, manifest);
  if (!rows) return runs;
  FftPlans plans;
  for (const auto& row : *rows) {
    if (row.size() < 8 || row[7] != "run to failure") continue;
    const fs::path folder = (fs::path{manifest}.parent_path() / row[1]).parent_path();
    std::vector<std::string> files;
    std::error_code code;
    for (auto at = fs::directory_iterator{folder, code}; !code && at != fs::directory_iterator{};
         ++at)
      if (at->path().extension() == ".csv") files.push_back(at->path().string());
    std::sort(files.begin(), files.end());
    Run run{folder.filename().string(), {}};
    for (const std::string& file : files) {
      ReadOptions options;
      options.rate = Hz{25600};
      options.units = {"g"};
      options.select = {"5", "6"};
      options.time_column = "none";
      const auto capture = read_capture(file, options);
      if (!capture) {
        fmt::print("{}\n", capture.error().message());
        continue;
      }
      TrendPoint p;
      p.time = after_seconds(seconds_between_records * static_cast<double>(run.points.size()));
      p.levels = measure_levels(std::vector<SignalView>{capture->view(0), capture->view(1)}, plans);
      run.points.push_back(p);
    }
    if (!run.points.empty()) runs.push_back(std::move(run));
  }
  return runs;
}

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

void compare_alarms(const Run& run) {
  const std::span<const TrendPoint> all{run.points};
  print_alarms(run, "trend", alarms_of(all.size(), [&](std::size_t i) {
                 return find_trend(all.first(i + 1), all.front().time).level;
               }));
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

TrendPoint point_at(double day, double db) {
  TrendPoint p;
  p.time = after_seconds(86400 * day);
  p.levels.unit = SampleUnit::acceleration;
  p.levels.high_band = {Hz{1000}, Hz{10000}};
  for (const Indicator i : {Indicator::overall, Indicator::high_band, Indicator::floor})
    p.levels.at(i) = std::pow(10.0, db / 20);
  return p;
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
  print_coverage_head();
  for (const double sigma : {0.7, 1.5}) {
    for (const Law law : growing_laws)
      print_coverage(simulated_coverage(law, sigma, series, 12),
                     fmt::format("{}, {} dB", name(law), sigma));
    print_coverage(simulated_coverage(Law::steady, sigma, series, 12),
                   fmt::format("{}, {} dB", name(Law::steady), sigma));
  }
  return 0;
}
