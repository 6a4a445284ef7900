// Every reading of bearings that ran to failure, measured and made, with what the trend and the
// forecast say after it: a table at stdout that run_to_failure.py scores.
//
// usage: remaining_life MACHINES [MANIFEST.csv]
#include <fmt/core.h>

#include <charconv>
#include <cmath>
#include <cstdint>
#include <limits>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/dsp/statistics.hpp"
#include "bearingdsp/history/forecast.hpp"
#include "bearingdsp/history/time.hpp"
#include "bearingdsp/history/trend.hpp"
#include "bearingdsp/simulate/random.hpp"
#include "support/growth_laws.hpp"
#include "support/measured_runs.hpp"

using namespace bearingdsp;

namespace {

constexpr double day_s = 86400;
constexpr double begin_day = 200;
constexpr std::size_t first_asked = 10;

double above_baseline_at_end(const LevelTrend& level) {
  const std::size_t n = level.level_db.size();
  return median(std::span<const double>{level.level_db}.last(std::min<std::size_t>(n, 5))) -
         level.baseline->level_db;
}

std::string cell(double value) { return std::isfinite(value) ? fmt::format("{:.6g}", value) : ""; }

/// One run: what is known after each reading. `limit_db`: at which the bearing is taken for failed.
void print_rows(std::string_view kind, std::string_view name, const std::vector<TrendPoint>& points,
                double limit_db, double begin_s, double end_s) {
  const std::span<const TrendPoint> all{points};
  const Trend whole = find_trend(all, all.front().time);
  const LevelTrend* level = whole.find(Indicator::high_band);
  if (level == nullptr || !level->baseline) return;
  ForecastOptions options;
  options.limit_db = limit_db;
  for (std::size_t n = first_asked; n <= level->time.size(); ++n) {
    const double now = day_s * days_between(all.front().time, level->time[n - 1]);
    if (now >= end_s) break;
    const Trend trend = find_trend(all.first(n), all.front().time);
    LevelTrend known = *level;
    known.time.resize(n);
    known.level_db.resize(n);
    const Forecast f = forecast(known, options);
    constexpr double none = std::numeric_limits<double>::quiet_NaN();
    const double likely = f.reach ? day_s * f.reach->likely_days : none;
    const double earliest = f.reach ? day_s * f.reach->earliest_days : none;
    const double latest = f.reach && f.reach->latest_days ? day_s * *f.reach->latest_days : none;
    fmt::print("{},{},{},{},{},{},{},{},{},{},{},{},{}\n", kind, name, n, cell(now),
               cell(known.level_db.back() - level->baseline->level_db),
               cell(level->baseline->sigma_db), cell(limit_db),
               trend.level == AlarmLevel::none ? 0 : 1, cell(earliest), cell(likely), cell(latest),
               cell(begin_s), cell(end_s));
  }
}

/// The limit of each is the median of where the others ended: nobody knows it of the run itself.
void measured(const std::string& manifest) {
  const std::vector<test::Run> runs = test::read_runs(manifest);
  std::vector<double> ends;
  for (const test::Run& run : runs) {
    const Trend whole = find_trend(run.points, run.points.front().time);
    const LevelTrend* level = whole.find(Indicator::high_band);
    ends.push_back(level != nullptr && level->baseline ? above_baseline_at_end(*level) : 0);
  }
  for (std::size_t r = 0; r < runs.size(); ++r) {
    std::vector<double> others;
    for (std::size_t o = 0; o < runs.size(); ++o)
      if (o != r) others.push_back(ends[o]);
    if (others.empty()) continue;
    const double life = test::seconds_between_records *
                        static_cast<double>(runs[r].points.size() - 1);  // until the last
    print_rows("measured", runs[r].name, runs[r].points, median(others),
               std::numeric_limits<double>::quiet_NaN(), life);
  }
}

void simulated(test::Law law, std::size_t machines) {
  // Draws of its own for each law, and none that the forecast's figures were chosen on.
  const std::uint64_t stream = 41 + static_cast<std::uint64_t>(law);
  for (std::size_t k = 0; k < machines; ++k) {
    Random random{k, stream};
    const test::Growth growth{law, random};
    const test::Series s = test::visits(growth, begin_day, 120, 0.7, random);
    const ForecastOptions options;
    double end = std::numeric_limits<double>::infinity();
    for (double day = begin_day; day < 6000 && !std::isfinite(end); day += 0.5)
      if (growth.at(day - begin_day) >= options.limit_db) end = day;
    std::vector<TrendPoint> points;
    for (std::size_t i = 0; i < s.day.size() && s.day[i] < end; ++i)
      points.push_back(test::point_at(s.day[i], s.db[i]));
    const bool grows = law != test::Law::steady;
    print_rows(test::token(law), fmt::format("{}", k), points, options.limit_db,
               grows ? day_s * begin_day : std::numeric_limits<double>::quiet_NaN(), day_s * end);
  }
}

}  // namespace

int main(int argc, char** argv) {
  std::size_t machines = 20;
  if (argc > 1) {
    const std::string_view text{argv[1]};
    std::from_chars(text.data(), text.data() + text.size(), machines);
  }
  fmt::print(
      "kind,run,readings,time_s,above_db,sigma_db,limit_db,alert,earliest_s,likely_s,latest_s,"
      "begin_s,end_s\n");
  if (argc > 2) measured(argv[2]);
  for (const test::Law law : test::growing_laws) simulated(law, machines);
  simulated(test::Law::steady, machines);
  return 0;
}
