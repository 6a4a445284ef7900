#include "bearingdsp/history/forecast.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>
#include <vector>

#include "bearingdsp/dsp/statistics.hpp"
#include "bearingdsp/dsp/tails.hpp"
#include "bearingdsp/history/growth.hpp"

namespace bearingdsp {
namespace {

constexpr double left_baseline_sigmas = 2;
// A single step between neighbours that makes up most of the rise is no growth.
constexpr double step_share = 0.5;
// The later half of the readings rises at less than this part of the rate of all: it has ended.
constexpr double ended_share = 0.2;
// Of the uncertainty of the level, added to what is missing when it is asked whether growth stops.
constexpr double stop_sigmas = 3;
// How far the latest readings stand above the line is the median of so many.
constexpr std::size_t latest_readings = 3;
// Efficiency of the median of pairwise slopes and of the MAD against least squares, for Gaussian
// scatter: the variance of the robust slope is larger by about this [sen1968].
constexpr double robust_inflation = 1.1;

std::vector<double> steadied(std::span<const double> y) {
  std::vector<double> out(y.begin(), y.end());
  for (std::size_t i = 1; i + 1 < y.size(); ++i)
    out[i] = std::max(std::min(y[i - 1], y[i]), std::min(std::max(y[i - 1], y[i]), y[i + 1]));
  return out;
}

/// First reading of the growth: the one after the last that was still at the baseline.
std::size_t growth_begin(std::span<const double> db, double sigma_db, std::size_t most) {
  const std::vector<double> steady = steadied(db);
  std::size_t begin = 0;
  for (std::size_t i = 0; i < steady.size(); ++i)
    if (steady[i] <= left_baseline_sigmas * sigma_db) begin = i;
  return std::max(begin, db.size() > most ? db.size() - most : 0);
}

Forecast refused(std::string why) {
  Forecast f;
  f.why = std::move(why);
  return f;
}

/// A line with what is not known about it, around the last reading.
struct Outlook {
  double level{0};     ///< at the last reading, dB
  double slope{0};     ///< dB per day
  double centre{0};    ///< mean day of the readings less the last
  double variance{0};  ///< of the level at the centre
  double slope_variance{0};
  double span{0};  ///< days over which it was seen growing
  double gap{0};   ///< days between readings

  /// Of the level `ahead` days on, were there no change of the rate.
  [[nodiscard]] double variance_at(double ahead) const {
    return variance + slope_variance * (ahead - centre) * (ahead - centre);
  }
};

Outlook outlook_of(std::span<const double> x, std::span<const double> y, double sigma_db) {
  const RobustLine line = robust_line(x, y);
  const double s = std::max(line.scatter, 0.5 * sigma_db);
  const auto n = static_cast<double>(x.size());
  const double middle = mean(x);
  double sxx = 0;
  for (const double v : x) sxx += (v - middle) * (v - middle);
  Outlook o;
  o.slope = line.slope;
  o.level = line.intercept + line.slope * x.back();
  o.centre = middle - x.back();
  o.variance = robust_inflation * s * s / n;
  o.slope_variance = robust_inflation * s * s / sxx;
  o.span = x.back() - x.front();
  o.gap = o.span / (n - 1);
  return o;
}

/// The same by the latest readings where they stand above the line or rise faster than it: a robust
/// line follows growth that turns upwards late. Only the earliest day may rest on them: they
/// scatter.
Outlook hastened(Outlook o, std::span<const double> x, std::span<const double> y) {
  std::vector<double> above;
  for (std::size_t i = x.size() - latest_readings; i < x.size(); ++i)
    above.push_back(y[i] - o.level - o.slope * (x[i] - x.back()));
  o.level += std::max(0.0, median(above));
  const std::size_t half = x.size() / 2;
  if (x[half] < x.back())
    o.slope = std::max(o.slope, robust_line(x.subspan(half), y.subspan(half)).slope);
  return o;
}

/// The chance that the limit is reached within some days, for days on a logarithmic grid.
class Arrival {
 public:
  Arrival(const Outlook& o, const ForecastOptions& options) : o_{o} {
    for (std::size_t i = 0; i < rates; ++i)
      rate_.at(i) = options.rate_median *
                    std::exp(options.rate_spread * normal_quantile((real(i) + 0.5) / rates));
    const double missing = std::max(0.0, options.limit_db - o.level);
    goes_on_ = std::exp(-(missing + stop_sigmas * std::sqrt(o.variance_at(0))) / options.stop_db);
    const double first = first_gaps * o.gap;
    const double ratio = std::max(1.0, last_spans * o.span / first);
    double most = 0;
    for (std::size_t i = 0; i < grid; ++i) {
      day_.at(i) = first * std::pow(ratio, real(i) / (grid - 1));
      most = std::max(most, reached(day_.at(i), options));
      chance_.at(i) = goes_on_ * most;
    }
  }
  /// First day by which it is reached with that chance; none within sight.
  [[nodiscard]] std::optional<double> day_of(double chance) const {
    const auto at = std::lower_bound(chance_.begin(), chance_.end(), chance);
    if (at == chance_.end()) return std::nullopt;
    const auto i = static_cast<std::size_t>(at - chance_.begin());
    if (i == 0) return day_.front();
    const double part = (chance - chance_.at(i - 1)) / (chance_.at(i) - chance_.at(i - 1));
    return day_.at(i - 1) + part * (day_.at(i) - day_.at(i - 1));
  }

 private:
  static constexpr std::size_t rates = 15, grid = 90;
  static constexpr double first_gaps = 0.1, last_spans = 6;
  static double real(std::size_t i) { return static_cast<double>(i); }

  /// Were it certain that growth goes on.
  [[nodiscard]] double reached(double ahead, const ForecastOptions& options) const {
    double sum = 0;
    for (const double rate : rate_) {
      const double gain = o_.slope * rate * ahead;
      const double spread = std::sqrt(o_.variance_at(rate * ahead) + options.piece_db * gain);
      sum += normal_tail((options.limit_db - o_.level - gain) / spread);
    }
    return sum / rates;
  }

  Outlook o_;
  double goes_on_{1};
  std::array<double, rates> rate_{};
  std::array<double, grid> day_{}, chance_{};
};

/// No further than twice the time it was seen growing: what comes later the readings do not know.
ReachRange range_of(const Outlook& o, const Outlook& hasty, const ForecastOptions& options) {
  constexpr double last_end_spans = 2;
  const double outside = 1 - options.probability;
  ReachRange r;
  r.likely_days = std::max(0.0, (options.limit_db - o.level) / o.slope);
  r.latest_days = Arrival{o, options}.day_of(1 - outside / 2);
  if (r.latest_days && *r.latest_days > last_end_spans * o.span) r.latest_days.reset();
  const auto earliest = Arrival{hasty, options}.day_of(r.latest_days ? outside / 2 : outside);
  r.earliest_days = std::min(earliest.value_or(r.likely_days), r.likely_days);
  if (r.latest_days) r.likely_days = std::min(r.likely_days, *r.latest_days);
  return r;
}

/// The later half hardly rises any more.
bool has_ended(std::span<const double> x, std::span<const double> y, double slope) {
  const std::size_t half = y.size() / 2;
  if (x[half] == x.back()) return false;
  return robust_line(x.subspan(half), y.subspan(half)).slope < ended_share * slope;
}

bool is_step(std::span<const double> y) {
  const std::vector<double> steady = steadied(y);
  double largest = 0;
  for (std::size_t i = 1; i < steady.size(); ++i)
    largest = std::max(largest, steady[i] - steady[i - 1]);
  return largest > step_share * (steady.back() - steady.front());
}

}  // namespace

Forecast forecast(std::span<const double> days, std::span<const double> db, double sigma_db,
                  const ForecastOptions& o) {
  if (days.size() != db.size()) throw std::invalid_argument{"forecast: unequal lengths"};
  if (!(o.probability > 0 && o.probability < 1))
    throw std::invalid_argument{"forecast: probability outside (0, 1)"};
  if (db.size() < o.min_readings)
    return refused(fmt::format("{} readings, {} are needed", db.size(), o.min_readings));
  if (median(db.last(3)) >= o.limit_db) return refused("the limit is reached already");
  const std::size_t begin = growth_begin(db, sigma_db, o.max_readings);
  const auto y = db.subspan(begin);
  const auto x = days.subspan(begin);
  if (y.size() < o.min_readings)
    return refused(fmt::format("{} readings since it left the baseline, {} are needed",
                               y.size() - 1, o.min_readings - 1));
  const double span = x.back() - x.front();
  if (!(span > 0)) return refused("all readings are of one time");
  if (rising_by_chance(y) > o.by_chance) return refused("it does not rise beyond what chance does");
  if (is_step(y))
    return refused("half of it or more rose in one step, which says nothing about what comes next");
  const Outlook outlook = outlook_of(x, y, sigma_db);
  if (!(outlook.slope > 0)) return refused("it does not rise beyond what chance does");
  if (has_ended(x, y, outlook.slope))
    return refused(
        "it rose and has stopped: damage may stand still for long, or go on at any time");
  const ReachRange reach = range_of(outlook, hastened(outlook, x, y), o);
  if (reach.likely_days > o.farthest * span)
    return refused(
        fmt::format("the limit is further ahead than {:.0f} times the time it was seen "
                    "growing",
                    o.farthest));
  if (!reach.latest_days && reach.earliest_days < outlook.gap)
    return refused(
        "it may be reached before the next reading or much later: the range would say nothing. "
        "Measure more often");
  Forecast f;
  f.probability = o.probability;
  f.reach = reach;
  f.why =
      fmt::format("{} readings over {:.3g} days, {:.2g} dB a day", y.size(), span, outlook.slope);
  return f;
}

Forecast forecast_of(const LevelTrend& level, const TrendOptions& options) {
  const bool by_zone =
      level.what == Followed::velocity && options.velocity_alert && options.velocity_alarm;
  if ((!by_zone && !part_of(level.what)) || !level.baseline) return forecast(level);
  const LevelLimits limits = limits_of(level, options);
  ForecastOptions own;
  own.limit_db = limits.alarm_db - level.baseline->level_db;
  Forecast f = forecast(level, own);
  f.limit = limits.alarm;
  return f;
}

Forecast forecast(const LevelTrend& level, const ForecastOptions& options) {
  if (!level.baseline) return refused("there is no baseline");
  std::vector<double> days;
  std::vector<double> db;
  for (std::size_t i = 0; i < level.time.size(); ++i) {
    days.push_back(days_between(level.time.front(), level.time[i]));
    db.push_back(level.level_db[i] - level.baseline->level_db);
  }
  return forecast(days, db, level.baseline->sigma_db, options);
}

}  // namespace bearingdsp
