#include "bearingdsp/history/trend.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "support/close.hpp"
#include "support/made_reading.hpp"

using namespace bearingdsp;

namespace {

/// A reading whose levels stand `db` above 1 m/s2 and 1 mm/s.
TrendPoint at(int day, double db) {
  TrendPoint p;
  p.time = test::day(day);
  p.levels.unit = SampleUnit::acceleration;
  p.levels.high_band = {Hz{1000}, Hz{10000}};
  const double level = std::pow(10.0, db / 20);
  for (const Indicator i : {Indicator::overall, Indicator::high_band, Indicator::floor})
    p.levels.at(i) = level;
  p.levels.at(Indicator::velocity) = 1e-3 * level;
  p.speed = Rpm{1480};
  p.verdict = Verdict::no_fault;
  return p;
}

std::vector<TrendPoint> series(const std::vector<double>& db) {
  std::vector<TrendPoint> points;
  for (std::size_t i = 0; i < db.size(); ++i) points.push_back(at(7 * static_cast<int>(i), db[i]));
  return points;
}

Trend trend_of(const std::vector<TrendPoint>& points, const TrendOptions& o = {}) {
  return find_trend(points, points.front().time, o);
}

const std::vector<double> steady{0.3, -0.2, 0.1, 0.4, -0.3, 0, 0.2, -0.1};

std::vector<double> then(std::vector<double> more) {
  std::vector<double> all = steady;
  all.insert(all.end(), more.begin(), more.end());
  return all;
}

bool has(const Trend& t, AlarmRule rule, AlarmLevel level, Indicator indicator) {
  for (const Alarm& a : t.alarms)
    if (a.rule == rule && a.level == level && a.indicator == indicator) return true;
  return false;
}

}  // namespace

TEST_CASE("debounced: two of three raise it, three below end it, one far beyond is enough") {
  const auto run = [](const std::vector<double>& above) {
    std::string s;
    for (const bool b : debounced(above, 2)) s += b ? '1' : '0';
    return s;
  };
  CHECK(run({-5, 1, -5, -5, -5}) == "00000");
  CHECK(run({-5, 1, 1, -5, -5, -5, -5}) == "0011100");
  CHECK(run({-5, 1, -5, 1, 1}) == "00011");
  CHECK(run({-5, 6, -5, -5, -5}) == "01110");
  CHECK(run({1, 1, -1, -1, -1, -1}) == "011111");  // within the hysteresis it stays
  CHECK(run({}).empty());
}

TEST_CASE("trend: baseline is median and scatter of the first eight [src:closed-form]") {
  const Trend t = trend_of(series(steady));
  const LevelTrend* level = t.find(Indicator::high_band);
  REQUIRE(level != nullptr);
  REQUIRE(level->baseline);
  CHECK(test::close_abs(level->baseline->level_db, 0.05, 1e-9));
  // MAD of the eight is 0.2: (4 x 1.5^2 + 8 x (1.4826 x 0.2)^2) / 12, root.
  const double s = 1.482602218505602 * 0.2;
  CHECK(test::close_rel(level->baseline->sigma_db, std::sqrt((4 * 2.25 + 8 * s * s) / 12), 1e-6));
  CHECK(level->baseline->readings == 8);
  CHECK(t.level == AlarmLevel::none);
  CHECK(t.remark.empty());
}

TEST_CASE("trend: one wild reading raises nothing at the alert limit, two do") {
  CHECK(trend_of(series(then({0, 8}))).level == AlarmLevel::none);
  const Trend alert = trend_of(series(then({0, 8, 8})));
  CHECK(has(alert, AlarmRule::baseline, AlarmLevel::alert, Indicator::high_band));
  CHECK(has(alert, AlarmRule::baseline, AlarmLevel::alert, Indicator::floor));
  CHECK(alert.alarms.front().since == test::day(7 * 10));
  CHECK(trend_of(series(then({0, 14, 14}))).level == AlarmLevel::alarm);
  CHECK(trend_of(series(then({0, 20}))).level == AlarmLevel::alarm);
  CHECK(trend_of(series(then({8, 8, 5, 5, 5, 5}))).level == AlarmLevel::alert);
  CHECK(trend_of(series(then({8, 8, 0, 0, 0}))).level == AlarmLevel::none);
}

TEST_CASE("trend: change and significance are of the last three readings [src:closed-form]") {
  const Trend t = trend_of(series(then({4.05, 9, 4.05})));
  const LevelTrend* level = t.find(Indicator::high_band);
  REQUIRE(level != nullptr);
  CHECK(test::close_abs(level->change_db, 4.0, 1e-9));
  CHECK(test::close_rel(level->significance,
                        4.0 / (level->baseline->sigma_db * std::sqrt(1 + 1.0 / 8)), 1e-9));
}

TEST_CASE("trend: a steady rise is reported before any limit is reached") {
  const Trend t = trend_of(series(then({0.6, 1.2, 1.8, 2.4, 3, 3.6, 4.2, 4.8, 5.4, 5.8})));
  CHECK(has(t, AlarmRule::rate, AlarmLevel::alert, Indicator::high_band));
  CHECK_FALSE(has(t, AlarmRule::baseline, AlarmLevel::alert, Indicator::high_band));
  CHECK(test::close_rel(t.find(Indicator::high_band)->db_per_day, 0.6 / 7, 0.02));
}

TEST_CASE("trend: only like is compared with like") {
  auto points = series(then({0, 0}));
  for (int i = 0; i < 3; ++i) {
    points.push_back(at(200 + i, 20));
    points.back().speed = Rpm{2960};
  }
  points.push_back(at(210, 0));
  const Trend t = trend_of(points);
  CHECK(t.level == AlarmLevel::none);
  CHECK(t.other == 3);
  CHECK(t.compared == 11);
  // The latest decides: at the other speed there is no baseline yet, and it says so.
  points.pop_back();
  const Trend other = trend_of(points);
  CHECK(other.compared == 3);
  CHECK(other.level == AlarmLevel::none);
  CHECK(other.remark.find("provisional, of 3") != std::string::npos);
  points.pop_back();
  CHECK(trend_of(points).remark.find("2 of 3") != std::string::npos);

  auto loads = series(then({20, 20}));
  loads.back().load_percent = 30;
  loads[8].load_percent = 90;
  CHECK(trend_of(loads).other == 1);
  auto units = series(then({20}));
  units.front().levels.unit = SampleUnit::volt;
  CHECK(trend_of(units).other == 1);
}

TEST_CASE("trend: after a new bearing the old one is no measure") {
  auto points = series(then({14, 14, 14}));
  CHECK(trend_of(points).level == AlarmLevel::alarm);
  for (int i = 0; i < 5; ++i) points.push_back(at(100 + 7 * i, 3 + 0.1 * i));
  const Trend t = find_trend(points, test::day(99));
  CHECK(t.level == AlarmLevel::none);
  CHECK(t.compared == 5);
  REQUIRE(t.find(Indicator::high_band)->baseline);
  CHECK(test::close_abs(t.find(Indicator::high_band)->baseline->level_db, 3.2, 1e-9));
}

TEST_CASE("trend: a machine that was damaged from the start has no baseline, and that is said") {
  auto points = series(then({0, 0}));
  for (TrendPoint& p : points) p.verdict = Verdict::fault;
  const Trend t = trend_of(points);
  CHECK_FALSE(t.find(Indicator::high_band)->baseline);
  CHECK(t.remark.find("from the first readings") != std::string::npos);
}

TEST_CASE("trend: a family that appears is an alarm, one that always stood is not") {
  auto points = series(then({0, 0, 0}));
  points[9].strength[0] = 0.3;
  points[10].strength[0] = 0.3;
  const Trend t = trend_of(points);
  REQUIRE(t.alarms.size() == 1);
  CHECK(t.alarms.front().rule == AlarmRule::new_family);
  CHECK(t.alarms.front().part == Part::outer_ring);
  CHECK(t.alarms.front().since == test::day(70));
  points[9].strength[0] = 0;
  CHECK(trend_of(points).alarms.empty());
  for (TrendPoint& p : points) p.strength[0] = 0.3;
  CHECK(trend_of(points).alarms.empty());
}

TEST_CASE("trend: the limits of a standard need no baseline") {
  TrendOptions o;
  o.velocity_alert = 4.5e-3;
  o.velocity_alarm = 7.1e-3;
  const auto levels = series({14, 14});  // 5.0 mm/s
  CHECK(has(trend_of(levels, o), AlarmRule::standard, AlarmLevel::alert, Indicator::velocity));
  CHECK(trend_of(series({18, 18}), o).level == AlarmLevel::alarm);
  CHECK(trend_of(series({10, 10}), o).level == AlarmLevel::none);
  CHECK(trend_of(levels, o).alarms.front().why.find("5.0 mm/s") != std::string::npos);
}

TEST_CASE("trend: readings that mean nothing are left out, and nothing is no trend") {
  auto points = series(then({20, 20}));
  points[8].usable = points[9].usable = false;
  const Trend t = trend_of(points);
  CHECK(t.unusable == 2);
  CHECK(t.level == AlarmLevel::none);
  CHECK(find_trend({}, {}).remark == "no readings");
}

TEST_CASE("trend: points and the start of the baseline come from a history") {
  PointHistory h;
  h.readings = {test::made_reading(0), test::made_reading(10)};
  h.readings[1].findings.front() = {FindingKind::clipped, Weight::blocking, "", "", "", ""};
  h.events = {{EventKind::note, test::day(8), "", "", {}},
              {EventKind::bearing_replaced, test::day(5), "", "", {}}};
  const auto points = trend_points(h);
  REQUIRE(points.size() == 2);
  CHECK(points[0].usable);
  CHECK_FALSE(points[1].usable);
  CHECK(points[0].strength[0] == 0.9);
  CHECK(points[0].speed == Rpm{24.75 * 60});
  CHECK(baseline_start(h) == test::day(5));
  h.events.clear();
  CHECK(baseline_start(h) == test::day(0));
}

TEST_CASE(
    "trend: a rise over the first readings is no baseline [src:case of a pump, 2.15 to 5.98]") {
  // Velocity at eight visits, mm/s: it rises at each, 8.9 dB in all.
  const std::vector<double> mm_s{2.15, 2.49, 2.88, 3.33, 3.86, 4.46, 5.16, 5.98};
  std::vector<double> db;
  for (const double v : mm_s) db.push_back(20 * std::log10(v));
  const Trend t = trend_of(series(db));
  const LevelTrend* velocity = t.find(Indicator::velocity);
  REQUIRE(velocity->baseline);
  CHECK(velocity->baseline->readings == 3);
  CHECK(velocity->baseline->provisional);
  CHECK(test::close_abs(velocity->baseline->drift_db, 8.9, 0.1));
  CHECK(test::close_abs(velocity->change_db, db[6] - db[1], 1e-9));
  CHECK(has(t, AlarmRule::baseline, AlarmLevel::alert, Indicator::velocity));
  CHECK(t.remark.find("rose by 9 dB over the first readings") != std::string::npos);
  // What falls, as a new bearing runs in, has its normal state at the end.
  std::vector<double> falling = db;
  std::reverse(falling.begin(), falling.end());
  const Trend down = trend_of(series(falling));
  CHECK(down.find(Indicator::velocity)->baseline->readings == 4);
  CHECK(test::close_abs(down.find(Indicator::velocity)->baseline->level_db,
                        (db[1] + db[2]) / 2 - 60, 1e-9));
  CHECK(down.level == AlarmLevel::none);
}

TEST_CASE("trend: three healthy readings before the damage are a baseline, and it is not denied") {
  auto points = series({0, 0.2, -0.2, 14, 14.5, 14, 15, 14.5});
  for (std::size_t i = 3; i < points.size(); ++i) points[i].verdict = Verdict::fault;
  const Trend t = trend_of(points);
  const LevelTrend* level = t.find(Indicator::high_band);
  REQUIRE(level->baseline);
  CHECK(level->baseline->readings == 3);
  CHECK(level->baseline->provisional);
  CHECK(t.level == AlarmLevel::alarm);
  CHECK(t.remark.find("provisional, of 3 healthy readings") != std::string::npos);
  // Two are too few, and were healthy all the same.
  points.erase(points.begin());
  const Trend two = trend_of(points);
  CHECK_FALSE(two.find(Indicator::high_band)->baseline);
  CHECK(two.remark == "no baseline: only 2 of the first readings without a fault, 3 are needed");
}

TEST_CASE("trend: every level has its limits and its state, those of the zones for velocity") {
  auto points = series(then({0, 13, 13}));
  for (TrendPoint& p : points) {
    p.levels.shaft[0] = *p.levels.at(Indicator::velocity);
    p.levels.at(Indicator::kurtosis) = 3 * *p.levels.at(Indicator::overall);
    p.strength[1] = 0.05;
  }
  points[9].strength[1] = points[10].strength[1] = 0.3;
  TrendOptions o;
  o.velocity_alert = 4.5e-3;
  o.velocity_alarm = 7.1e-3;
  const Trend t = trend_of(points, o);
  const double baseline = 0.05;
  const LevelTrend* one = t.find(Followed::shaft_1x);
  REQUIRE(one != nullptr);
  CHECK(one->state == AlarmLevel::alarm);
  CHECK(one->since == test::day(70));
  CHECK(test::close_abs(limits_of(*one, o).alarm_db, baseline - 60 + 12, 1e-9));
  CHECK(t.find(Followed::kurtosis)->state == AlarmLevel::alarm);
  const LevelTrend* velocity = t.find(Followed::velocity);
  CHECK(test::close_abs(limits_of(*velocity, o).alert_db, 20 * std::log10(4.5e-3), 1e-9));
  CHECK(limits_of(*velocity, o).alarm == "zone D, 7.1 mm/s");
  CHECK(velocity->state == AlarmLevel::none);  // 4.47 mm/s
  // A component's lines are held against what is called damage, without any baseline.
  const LevelTrend* inner = t.find(Followed::inner_ring);
  CHECK(inner->state == AlarmLevel::alarm);
  CHECK(test::close_abs(limits_of(*inner, o).alarm_db, 20 * std::log10(0.22), 1e-9));
  CHECK(t.find(Followed::outer_ring) == nullptr);
  // Without a baseline limits are drawn, from the first readings, and raise nothing.
  const Trend young = trend_of(series({0, 13}));
  const LevelTrend* high = young.find(Followed::high_band);
  const LevelLimits drawn = limits_of(*high, {});
  CHECK_FALSE(drawn.decide);
  CHECK(test::close_abs(drawn.zero_db, 6.5, 1e-9));
  CHECK(test::close_abs(drawn.alert_db, 12.5, 1e-9));
  CHECK(high->state == AlarmLevel::none);
}

TEST_CASE("trend: a small rise that lasts is an alert with its false-alert rate") {
  const Trend t = trend_of(series(then({4, 4.2, 3.9, 4.1, 4, 4.1, 3.8, 4, 4.2, 4})));
  CHECK(has(t, AlarmRule::lasting, AlarmLevel::alert, Indicator::velocity));
  CHECK_FALSE(has(t, AlarmRule::baseline, AlarmLevel::alert, Indicator::velocity));
  CHECK(t.alarms.back().why.find("once in 1000 readings") != std::string::npos);
  CHECK(trend_of(series(then({4, 4, 4, 4, 4, 4, 4, 4, 4, 0, 0, 0}))).level == AlarmLevel::none);
  CHECK(trend_of(series(then({1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1}))).alarms.empty());
}
