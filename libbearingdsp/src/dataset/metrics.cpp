#include "bearingdsp/dataset/metrics.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

namespace bearingdsp {
namespace {

/// 97.5 % point of the normal distribution: two-sided 95 %.
constexpr double z95 = 1.959963984540054;
constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();

}  // namespace

Interval wilson_interval(std::size_t successes, std::size_t trials) {
  if (successes > trials)
    throw std::invalid_argument{"wilson_interval: more successes than trials"};
  if (trials == 0) return {0.0, 1.0};
  const double n = static_cast<double>(trials);
  const double p = static_cast<double>(successes) / n;
  const double z2 = z95 * z95;
  const double centre = (p + z2 / (2 * n)) / (1 + z2 / n);
  const double half = z95 / (1 + z2 / n) * std::sqrt(p * (1 - p) / n + z2 / (4 * n * n));
  // The ends are exactly 0 and 1 for none and all; rounding must not put them a little off.
  return {successes == 0 ? 0.0 : std::max(0.0, centre - half),
          successes == trials ? 1.0 : std::min(1.0, centre + half)};
}

double brier_score(std::span<const StatedProbability> forecasts) {
  if (forecasts.empty()) return not_a_number;
  double sum = 0;
  for (const StatedProbability& f : forecasts) {
    const double error = f.probability - (f.happened ? 1.0 : 0.0);
    sum += error * error;
  }
  return sum / static_cast<double>(forecasts.size());
}

std::vector<ReliabilityBin> reliability(std::span<const StatedProbability> forecasts,
                                        std::size_t bins) {
  if (bins == 0) throw std::invalid_argument{"reliability: at least one bin"};
  std::vector<ReliabilityBin> table(bins);
  const double width = 1.0 / static_cast<double>(bins);
  for (std::size_t b = 0; b < bins; ++b) {
    table[b].low = static_cast<double>(b) * width;
    table[b].high = b + 1 == bins ? 1.0 : static_cast<double>(b + 1) * width;
  }
  std::vector<double> sums(bins, 0.0);
  for (const StatedProbability& f : forecasts) {
    if (!(f.probability >= 0.0 && f.probability <= 1.0))
      throw std::invalid_argument{"reliability: probability outside [0, 1]"};
    const auto b =
        std::min(bins - 1, static_cast<std::size_t>(f.probability * static_cast<double>(bins)));
    ++table[b].count;
    if (f.happened) ++table[b].happened;
    sums[b] += f.probability;
  }
  for (std::size_t b = 0; b < bins; ++b) {
    const double n = static_cast<double>(table[b].count);
    table[b].mean_probability = table[b].count == 0 ? not_a_number : sums[b] / n;
    table[b].frequency =
        table[b].count == 0 ? not_a_number : static_cast<double>(table[b].happened) / n;
    table[b].interval = wilson_interval(table[b].happened, table[b].count);
  }
  return table;
}

namespace {

double share(std::size_t k, std::size_t n) {
  return n == 0 ? not_a_number : static_cast<double>(k) / static_cast<double>(n);
}

void require_probability(double p) {
  if (!(p >= 0.0 && p <= 1.0)) throw std::invalid_argument{"detection: probability outside [0, 1]"};
}

}  // namespace

double DetectionPoint::detection_rate() const noexcept { return share(called_damaged, damaged); }
double DetectionPoint::false_alarm_rate() const noexcept { return share(called_sound, sound); }

DetectionPoint detection_at(std::span<const StatedProbability> forecasts, double threshold) {
  DetectionPoint p;
  p.threshold = threshold;
  for (const StatedProbability& f : forecasts) {
    require_probability(f.probability);
    const bool called = f.probability >= threshold;
    ++(f.happened ? p.damaged : p.sound);
    if (called) ++(f.happened ? p.called_damaged : p.called_sound);
  }
  p.detection = wilson_interval(p.called_damaged, p.damaged);
  p.false_alarm = wilson_interval(p.called_sound, p.sound);
  return p;
}

std::vector<DetectionPoint> detection_curve(std::span<const StatedProbability> forecasts) {
  std::vector<StatedProbability> sorted(forecasts.begin(), forecasts.end());
  std::sort(sorted.begin(), sorted.end(),
            [](const StatedProbability& a, const StatedProbability& b) {
              return a.probability > b.probability;
            });
  DetectionPoint p = detection_at(forecasts, std::numeric_limits<double>::infinity());
  std::vector<DetectionPoint> curve{p};
  for (std::size_t i = 0; i < sorted.size();) {
    p.threshold = sorted[i].probability;
    for (; i < sorted.size() && sorted[i].probability == p.threshold; ++i)
      ++(sorted[i].happened ? p.called_damaged : p.called_sound);
    p.detection = wilson_interval(p.called_damaged, p.damaged);
    p.false_alarm = wilson_interval(p.called_sound, p.sound);
    curve.push_back(p);
  }
  return curve;
}

double area_under_curve(std::span<const DetectionPoint> curve) {
  if (curve.empty() || curve.front().damaged == 0 || curve.front().sound == 0) return not_a_number;
  double area = 0;
  for (std::size_t i = 1; i < curve.size(); ++i)
    area += (curve[i].false_alarm_rate() - curve[i - 1].false_alarm_rate()) *
            (curve[i].detection_rate() + curve[i - 1].detection_rate()) / 2;
  return area;
}

}  // namespace bearingdsp
