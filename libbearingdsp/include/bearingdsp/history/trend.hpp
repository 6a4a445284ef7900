#pragma once
/// What has changed at a point since it was good, whether that means something, and whether a
/// person has to know. Pure functions over a series of readings; rules and reasons: docs/history.md
#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/token.hpp"
#include "bearingdsp/history/followed.hpp"
#include "bearingdsp/history/indicators.hpp"
#include "bearingdsp/history/record.hpp"
#include "bearingdsp/history/time.hpp"

namespace bearingdsp {

/// A reading as the trend sees it.
struct TrendPoint {
  UtcTime time{};
  Levels levels;
  std::optional<Rpm> speed;
  std::optional<double> load_percent;
  Verdict verdict{Verdict::indeterminate};
  std::array<double, part_count> strength{};  ///< of each part's family, by Part
  bool usable{true};                          ///< levels mean something: not clipped, stuck or dead
};
/// One point for each reading, in its order.
[[nodiscard]] std::vector<TrendPoint> trend_points(const PointHistory& history);
/// When the present baseline begins: at the latest event that begins one, else at the first
/// reading.
[[nodiscard]] UtcTime baseline_start(const PointHistory& history);

struct TrendOptions {
  double speed_tolerance{0.03};             ///< readings are alike up to this fraction in speed ...
  double load_tolerance{15};                ///< ... and this many percentage points in load
  std::size_t baseline_readings{8};         ///< the first healthy ones make the baseline
  std::size_t min_baseline{3};              ///< so many make a provisional one, fewer none
  double alert_db{6}, alarm_db{12};         ///< above the baseline, where the scatter is small
  double alert_sigmas{4}, alarm_sigmas{6};  ///< where it is not
  double hysteresis_db{2};                  ///< an alarm ends this far below where it began
  /// Limits of the velocity by a standard, m/s rms: alert from the boundary B/C, alarm from C/D.
  std::optional<double> velocity_alert{}, velocity_alarm{};
};

/// Whether the machine ran alike: in speed and load as far as both are known.
[[nodiscard]] bool ran_alike(const TrendPoint& a, const TrendPoint& b,
                             const TrendOptions& options = {});

/// The options with the limits of the machine's own class, where it has one and the options name
/// none.
[[nodiscard]] TrendOptions with_limits(TrendOptions options, const KnownLimits& limits);

/// The level that was normal, in dB: median and scatter of the first healthy readings.
struct Baseline {
  double level_db{0};  ///< 20 lg of the level in its SI unit
  double sigma_db{0};  ///< robust standard deviation, drawn towards 1.5 dB while readings are few
  std::size_t readings{0};
  UtcTime first{}, last{};
  /// Of fewer than TrendOptions::baseline_readings: it moves as healthy readings are added.
  bool provisional{false};
  /// A steady change of the readings that it could have been taken from; 0: none. Of readings that
  /// rose only the first make the baseline, of readings that fell (running in) the last.
  double drift_db{0};
};

enum class AlarmLevel : std::uint8_t { none, alert, alarm };
/// "none", "alert", "alarm"
[[nodiscard]] std::string_view token(AlarmLevel level) noexcept;

/// One level over time.
struct LevelTrend {
  Followed what{};
  std::vector<UtcTime> time;     ///< of the readings that are compared; shape [n]
  std::vector<double> level_db;  ///< shape [n]
  std::optional<Baseline> baseline;
  double change_db{0};     ///< median of the last three readings less the baseline
  double significance{0};  ///< that change in standard deviations of what chance does
  double db_per_day{0};    ///< robust slope of the last eight readings
  double by_chance{1};     ///< chance that a steady level rises as consistently
  /// Against limits_of() after the latest reading, and since which one; every level has this,
  /// Trend::alarms only those that point to damage.
  AlarmLevel state{AlarmLevel::none};
  std::optional<UtcTime> since{};
};

/// The limits that a level is drawn with and held against.
struct LevelLimits {
  double zero_db{0};  ///< the baseline; without one the median of the first three readings
  double alert_db{0}, alarm_db{0};  ///< 20 lg of the limits in SI units
  /// "limit of zone C" ..., "6 dB above the baseline" ...
  std::string alert, alarm;
  /// Without a baseline, and without limits of a standard, they are drawn and raise nothing.
  bool decide{true};
};
/// Velocity: where the options hold limits of a standard, these. Lines of a component: from 0.15
/// on they are present, from JudgementModel::even_strength on the component is called damaged.
/// Others: alert_db and alarm_db above the baseline, or as many sigmas where that is more.
/// Shape: level with one reading or more
[[nodiscard]] LevelLimits limits_of(const LevelTrend& level, const TrendOptions& options);

enum class AlarmRule : std::uint8_t {
  standard,    ///< the velocity is in zone C or D
  baseline,    ///< a level is far above its baseline
  rate,        ///< a level rises steadily
  new_family,  ///< a family of the bearing stands that did not stand in the baseline
  lasting,     ///< levels lie a little above their baseline, and stay there (change_test.hpp)
};
/// "limit of the standard", "above the baseline", "rising", "new family", "lasting rise"
[[nodiscard]] std::string_view token(AlarmRule rule) noexcept;

struct Alarm {
  AlarmRule rule{};
  AlarmLevel level{AlarmLevel::alert};
  std::optional<Indicator> indicator;  ///< of all but new_family; of lasting the first that rose
  std::optional<Part> part;            ///< of new_family
  UtcTime since{};                     ///< of the reading that raised it
  std::string why;                     ///< one sentence with the numbers
};

struct Trend {
  std::vector<LevelTrend> levels;  ///< those that were measured, by Followed
  std::vector<Alarm> alarms;       ///< standing now, worst first
  AlarmLevel level{AlarmLevel::none};
  std::size_t compared{0};  ///< readings alike to the latest
  std::size_t other{0};     ///< left out: another speed, load, unit or band
  std::size_t unusable{0};  ///< left out: clipped, stuck or dead
  std::string remark;       ///< why there is no baseline, or only a provisional one; else empty

  [[nodiscard]] const LevelTrend* find(Followed what) const noexcept;
  [[nodiscard]] const LevelTrend* find(Indicator indicator) const noexcept {
    return find(followed(indicator));
  }
};

/// Compares like with like: the readings alike to the latest usable one in speed, load, unit and
/// band. Baseline: the first healthy ones (no fault called) since `start`, unless they drift.
/// Alarms are raised by two of three readings, or by one far beyond, and end after three below.
/// Shape:  points [n] in order of time, n >= 0
/// Source: median and MAD as robust baseline [hampel1974]; consistency of a rise [mann1945]; slope
///         [sen1968]; limits and persistence are ours, measured in docs/validation/trend.md
[[nodiscard]] Trend find_trend(std::span<const TrendPoint> points, UtcTime start,
                               const TrendOptions& options = {});

/// Whether an alarm stands after each reading. It begins when two of the last three are at or above
/// the limit, or one is far_db above it, and ends when three in a row are hysteresis_db or more
/// below it: one noisy reading neither raises nor ends it.
/// Shape:  above [n]: level less limit, dB -> [n]
[[nodiscard]] std::vector<bool> debounced(std::span<const double> above, double hysteresis_db,
                                          double far_db = 6);

}  // namespace bearingdsp
