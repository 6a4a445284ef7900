#include "bearingdsp/history/forecast.hpp"

#include <fmt/format.h>

#include <algorithm>
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
constexpr double step_share = 0.7;
// Efficiency of the median of pairwise slopes and of the MAD against least squares, for Gaussian
// scatter: the variance of the robust slope is larger by about this [sen1968].
constexpr double robust_inflation = 1.1;

/// Upper quantile of Student's t from the normal one. Source: [abramowitz1964] 26.7.5
double student_quantile(double p, double freedom) {
  const double z = normal_quantile(p);
  const double z2 = z * z;
  return z + z * (z2 + 1) / (4 * freedom) +
         z * (5 * z2 * z2 + 16 * z2 + 3) / (96 * freedom * freedom) +
         z * (3 * z2 * z2 * z2 + 19 * z2 * z2 + 17 * z2 - 15) / (384 * std::pow(freedom, 3));
}

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
  /// With the rate from now on a factor of that seen.
  [[nodiscard]] double at(double ahead, double factor) const {
    return level + factor * slope * ahead;
  }
  [[nodiscard]] double spread(double ahead) const {
    return std::sqrt(variance + slope_variance * (ahead - centre) * (ahead - centre));
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
  return o;
}

/// Days ahead at which the level, the rate changed by `factor`, + k spread first is at the limit,
/// up to `end`.
std::optional<double> crossing(const Outlook& o, double limit, double factor, double k,
                               double end) {
  constexpr int steps = 400;
  double before = 0;
  for (int i = 0; i <= steps; ++i) {
    const double ahead = end * i / steps;
    if (o.at(ahead, factor) + k * o.spread(ahead) < limit) {
      before = ahead;
      continue;
    }
    double low = before;
    double high = ahead;
    for (int j = 0; j < 50; ++j) {
      const double mid = 0.5 * (low + high);
      (o.at(mid, factor) + k * o.spread(mid) < limit ? low : high) = mid;
    }
    return high;
  }
  return std::nullopt;
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
  if (db.size() < o.least_readings)
    return refused(fmt::format("{} readings, {} are needed", db.size(), o.least_readings));
  if (median(db.last(3)) >= o.limit_db) return refused("the limit is reached already");
  const std::size_t begin = growth_begin(db, sigma_db, o.most_readings);
  const auto y = db.subspan(begin);
  const auto x = days.subspan(begin);
  if (y.size() < o.least_readings)
    return refused(fmt::format("{} readings since it left the baseline, {} are needed",
                               y.size() - 1, o.least_readings - 1));
  const double span = x.back() - x.front();
  if (!(span > 0)) return refused("all readings are of one time");
  if (rising_by_chance(y) > o.by_chance) return refused("it does not rise beyond what chance does");
  if (is_step(y)) return refused("it rose in one step, which says nothing about what comes next");
  const Outlook outlook = outlook_of(x, y, sigma_db);
  if (!(outlook.slope > 0)) return refused("it does not rise beyond what chance does");
  const auto likely = crossing(outlook, o.limit_db, 1, 0, o.farthest * span);
  if (!likely)
    return refused(
        fmt::format("the limit is further ahead than {:.0f} times the time it was seen "
                    "growing",
                    o.farthest));
  const double k = student_quantile(0.5 + 0.5 * o.probability, static_cast<double>(y.size()) - 2);
  Forecast f;
  f.probability = o.probability;
  // Twice as far as the middle may lie: beyond it nothing is said.
  f.reach =
      ReachRange{crossing(outlook, o.limit_db, o.faster, k, o.farthest * span).value_or(*likely),
                 *likely, crossing(outlook, o.limit_db, o.slower, -k, 2 * o.farthest * span)};
  f.why =
      fmt::format("{} readings over {:.3g} days, {:.2g} dB a day", y.size(), span, outlook.slope);
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
