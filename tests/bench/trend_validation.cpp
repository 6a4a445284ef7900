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

using namespace bearingdsp;

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

struct Coverage {
  std::size_t asked{0}, given{0}, inside{0}, too_early{0}, too_late{0}, open{0}, says_nothing{0};
  std::vector<double> likely_error;    ///< likely over actual, of those that came
  std::vector<double> earliest_error;  ///< earliest over actual, of those that came
  std::vector<double> earliest_gaps;   ///< without an end: earliest in readings
  std::vector<double> latest_gaps;     ///< with one: latest in readings
  void count(const Forecast& f, std::optional<double> actual, double gap) {
    ++asked;
    if (!f.reach) {
      says_nothing += f.why.find("would say nothing") != std::string::npos ? 1U : 0U;
      return;
    }
    ++given;
    const ReachRange& r = *f.reach;
    if (r.latest_days) {
      latest_gaps.push_back(*r.latest_days / gap);
    } else {
      ++open;
      earliest_gaps.push_back(r.earliest_days / gap);
    }
    const double reached = actual.value_or(INFINITY);
    if (reached < r.earliest_days)
      ++too_early;
    else if (r.latest_days && reached > *r.latest_days)
      ++too_late;
    else
      ++inside;
    if (!actual || !(*actual > 0)) return;
    likely_error.push_back(r.likely_days / *actual);
    earliest_error.push_back(r.earliest_days / *actual);
  }
  void print(std::string_view what) const {
    const auto part = [&](std::size_t n) {
      return given == 0 ? 0.0 : 100.0 * static_cast<double>(n) / static_cast<double>(given);
    };
    const auto middle = [](const std::vector<double>& values, const char* format) {
      return values.empty() ? std::string{"-"} : fmt::format(fmt::runtime(format), median(values));
    };
    fmt::print(
        "| {} | {} | {} | {} | {:.0f} % | {:.0f} % | {:.0f} % | {:.0f} % | {} | {} | {} | {} |\n",
        what, asked, given, says_nothing, part(inside), part(too_early), part(too_late), part(open),
        middle(likely_error, "{:.2f}"), middle(earliest_error, "{:.2f}"),
        middle(earliest_gaps, "{:.1f}"), middle(latest_gaps, "{:.1f}"));
  }
};

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

enum class Law {
  steady,
  exponential,
  accelerating,
  wandering,
  standstill,
  pieces,
  amplitude,
  turning,
  falling_back
};

/// Level above the baseline in dB at a day, growth beginning on day 0.
class Growth {
 public:
  Growth(Law law, Random& random) : law_{law} {
    rate_ = 0.03 * std::exp(1.2 * random.uniform());
    life_ = 12 / rate_ * (1 + random.uniform());
    stop_ = 4 + 10 * random.uniform();
    turn_ = (2 + 6 * random.uniform()) / rate_;
    double rate = rate_;
    double sum = 0;
    for (double& v : walk_) {
      v = sum;
      rate = rate_ * std::exp(0.6 * random.normal());
      sum += rate * period_;
    }
    sum = 0;
    for (auto& [day, level] : steps_) {
      day = sum -= std::log(1 - random.uniform()) * 2 / rate_;
      level = 0.5 - std::log(1 - random.uniform()) * 1.5;
    }
  }
  [[nodiscard]] double at(double day) const {
    if (day <= 0 || law_ == Law::steady) return 0;
    switch (law_) {
      case Law::exponential:
        return rate_ * day;
      case Law::accelerating:
        return day < life_ ? std::min(60.0, -12 * std::log10(1 - day / life_)) : 60;
      case Law::wandering: {
        const auto i = std::min<std::size_t>(static_cast<std::size_t>(day / period_), 198);
        const double part = day / period_ - static_cast<double>(i);
        return walk_[i] + part * (walk_[i + 1] - walk_[i]);
      }
      case Law::standstill:
        return std::min(rate_ * day, stop_);
      case Law::pieces: {
        double level = 0;
        for (const auto& [at, step] : steps_) level += at <= day ? step : 0;
        return level;
      }
      case Law::amplitude:
        return 20 * std::log10(1 + rate_ * day / 3);
      case Law::turning:
        return day < turn_ ? rate_ * day : rate_ * turn_ + 4 * rate_ * (day - turn_);
      case Law::falling_back: {
        const double hill = std::max(0.0, 8 - rate_ * std::abs(day - 8 / rate_));
        return hill + (day > 16 / rate_ ? rate_ * (day - 16 / rate_) : 0);
      }
      default:
        return 0;
    }
  }

 private:
  Law law_;
  static constexpr double period_ = 45;
  double rate_, life_, stop_, turn_;
  std::array<std::pair<double, double>, 100> steps_{};
  std::array<double, 200> walk_{};
};

struct Series {
  std::vector<double> day, db;
};

/// Visits about every fortnight; scatter of visits, part of it slow (temperature, load), and now
/// and then a visit that is far off.
Series visits(const Growth& growth, double begin, std::size_t n, double sigma, Random& random) {
  Series s;
  double day = 0;
  double slow = 0;
  for (std::size_t i = 0; i < n; ++i) {
    slow = 0.8 * slow + 0.6 * 0.5 * sigma * random.normal();
    const double wild = random.uniform() < 0.03 ? 6 * random.normal() : 0;
    s.day.push_back(day);
    s.db.push_back(growth.at(day - begin) + slow + sigma * random.normal() + wild);
    day += 14 * (0.7 + 0.6 * random.uniform());
  }
  return s;
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

Coverage simulated_coverage(Law law, double sigma, std::size_t series) {
  Coverage coverage;
  const ForecastOptions options;
  for (std::size_t k = 0; k < series; ++k) {
    Random random{k, 12};
    const Growth growth{law, random};
    constexpr double begin = 200;
    const Series s = visits(growth, begin, 120, sigma, random);
    std::optional<double> reached;
    for (double day = begin; day < 6000 && !reached; day += 0.5)
      if (growth.at(day - begin) >= options.limit_db) reached = day;
    const double normal = median({s.db.data(), 8});
    std::vector<double> above;
    for (const double v : s.db) above.push_back(v - normal);
    for (std::size_t n = 10; n < s.day.size(); ++n) {
      const double now = s.day[n - 1];
      if (reached && now >= *reached) break;
      coverage.count(forecast(std::span{s.day}.first(n), std::span<const double>{above}.first(n),
                              sigma, options),
                     reached ? std::optional{*reached - now} : std::nullopt, 14);
    }
  }
  return coverage;
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
        forecast_run(run, limit).print(fmt::format("{}, to {:.0f} dB", run.name, limit));
    if (runs.empty()) fmt::print("no run to failure in {}\n", argv[2]);
  }
  false_alarms(series);
  print_coverage_head();
  for (const double sigma : {0.7, 1.5}) {
    for (const auto& [law, what] :
         {std::pair{Law::exponential, "constant rate"},
          std::pair{Law::accelerating, "accelerating"}, std::pair{Law::wandering, "changing rate"},
          std::pair{Law::standstill, "stands still"}, std::pair{Law::pieces, "in steps"},
          std::pair{Law::amplitude, "even in amplitude"},
          std::pair{Law::turning, "turns four times as fast"},
          std::pair{Law::falling_back, "falls back in between"}, std::pair{Law::steady, "none"}})
      simulated_coverage(law, sigma, series).print(fmt::format("{}, {} dB", what, sigma));
  }
  return 0;
}
