#include "bearingdsp/history/growth.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdlib>
#include <optional>
#include <stdexcept>
#include <vector>

#include "bearingdsp/dsp/statistics.hpp"
#include "bearingdsp/dsp/tails.hpp"

namespace bearingdsp {
namespace {

constexpr std::size_t exact_up_to = 40;

/// Share of all orders of n values with at most `inversions` pairs out of order.
double share_with_at_most(std::size_t n, std::size_t inversions) {
  // count[k]: share of the orders of m values with k inversions; one more value adds 0 .. m.
  std::vector<double> count{1.0};
  for (std::size_t m = 1; m < n; ++m) {
    std::vector<double> next(count.size() + m, 0.0);
    for (std::size_t k = 0; k < count.size(); ++k)
      for (std::size_t extra = 0; extra <= m; ++extra)
        next[k + extra] += count[k] / static_cast<double>(m + 1);
    count = std::move(next);
  }
  double sum = 0;
  for (std::size_t k = 0; k <= std::min(inversions, count.size() - 1); ++k) sum += count[k];
  return std::min(1.0, sum);
}

}  // namespace

int rising_score(std::span<const double> y) noexcept {
  int score = 0;
  for (std::size_t i = 0; i < y.size(); ++i)
    for (std::size_t j = i + 1; j < y.size(); ++j)
      score += (y[j] > y[i] ? 1 : 0) - (y[j] < y[i] ? 1 : 0);
  return score;
}

double chance_of_score(std::size_t n, int score) {
  if (n < 2) throw std::invalid_argument{"rising_by_chance: needs two values"};
  const auto m = static_cast<double>(n);
  const double pairs = m * (m - 1) / 2;
  // A tie takes one half from each side.
  if (n <= exact_up_to)
    return share_with_at_most(n, static_cast<std::size_t>(std::floor((pairs - score) / 2)));
  return normal_tail((score - 1) / std::sqrt(m * (m - 1) * (2 * m + 5) / 18));
}

double rising_by_chance(std::span<const double> y) {
  return chance_of_score(y.size(), rising_score(y));
}

std::optional<Drift> drift_of(std::span<const double> x, std::span<const double> y,
                              const DriftLimits& limits) {
  constexpr std::size_t min_values = 4;
  if (x.size() != y.size()) throw std::invalid_argument{"drift_of: unequal lengths"};
  if (y.size() < min_values || !(x.back() > x.front())) return std::nullopt;
  if (chance_of_score(y.size(), std::abs(rising_score(y))) > limits.false_alarm)
    return std::nullopt;
  Drift d{robust_line(x, y), 0};
  d.gain = d.line.slope * (x.back() - x.front());
  const double needed = std::max(limits.min_gain, limits.min_scatters * d.line.scatter);
  return std::abs(d.gain) >= needed ? std::optional{d} : std::nullopt;
}

RobustLine robust_line(std::span<const double> x, std::span<const double> y) {
  if (x.size() != y.size() || x.size() < 2)
    throw std::invalid_argument{"robust_line: needs two points and equal lengths"};
  std::vector<double> values;
  for (std::size_t i = 0; i < x.size(); ++i)
    for (std::size_t j = i + 1; j < x.size(); ++j)
      if (x[j] != x[i]) values.push_back((y[j] - y[i]) / (x[j] - x[i]));
  if (values.empty()) throw std::invalid_argument{"robust_line: no two different x"};
  RobustLine line;
  line.slope = median(values);
  values.resize(x.size());
  for (std::size_t i = 0; i < x.size(); ++i) values[i] = y[i] - line.slope * x[i];
  line.intercept = median(values);
  for (double& v : values) v = std::abs(v - line.intercept);
  line.scatter = normal_per_mad * median(values);
  return line;
}

}  // namespace bearingdsp
