#include "bearingdsp/capture/glitch.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "bearingdsp/dsp/periodicity.hpp"
#include "bearingdsp/dsp/statistics.hpp"

namespace bearingdsp {
namespace {

constexpr std::size_t fewest_samples = 64;
constexpr std::size_t median_half = 3;  // a window of seven: two samples of it cannot move it far
// Gaussian noise exceeds eight standard deviations once in 1e15 samples.
constexpr double spread = 8;
// In a smooth signal the local spread is next to nothing; what is small beside the signal does no
// harm.
constexpr double min_share_of_rms = 0.5;
// The slowest ringing that matters (a tenth of critical damping at a fifth of the rate) still has
// an eighth of its first peak after this many samples, and more than a quarter two samples on.
constexpr std::size_t neighbours = 8;
constexpr double over_neighbours = 5;
constexpr double max_share = 1.0 / 200;
// Instants at random keep a rate this well once in a hundred recordings.
constexpr double min_chance = 0.01;
constexpr PeriodicityOptions rates{.lowest = 1.75, .highest = 130};  // twice 60 Hz of the mains

/// The larger neighbour belongs to the same error; beyond it nothing may come near.
std::size_t companion(std::span<const double> off, std::size_t i) {
  if (i == 0) return 1;
  if (i + 1 == off.size()) return i - 1;
  return off[i + 1] > off[i - 1] ? i + 1 : i - 1;
}

bool is_isolated(std::span<const double> off, std::size_t i, std::size_t beside) {
  const std::size_t first = i > neighbours ? i - neighbours : 0;
  const std::size_t last = std::min(off.size() - 1, i + neighbours);
  for (std::size_t j = first; j <= last; ++j)
    if (j != i && j != beside && off[j] * over_neighbours > off[i]) return false;
  return true;
}

/// Whether no value exceeds `times` the median, found without a sort: the largest over `times`
/// lies below both middle values. Of most recordings that holds, and a sort costs more than all
/// else.
bool none_exceeds(std::span<const double> off, double times) {
  constexpr double rounding = 1e-9;
  double most = 0;
  for (const double v : off) most = std::max(most, v);
  const double least = most / times * (1 + rounding);
  const auto below = static_cast<std::size_t>(
      std::count_if(off.begin(), off.end(), [least](double v) { return v <= least; }));
  return 2 * below + 2 <= off.size();
}

bool part_of_the_signal(std::span<const Glitch> found, std::size_t n, Hz rate) {
  if (static_cast<double>(found.size()) > max_share * static_cast<double>(n)) return true;
  std::vector<double> times;
  for (const Glitch& g : found) times.push_back(static_cast<double>(g.first) / rate.value());
  PeriodicityOptions tried = rates;
  tried.resolved = rate.value() / 2;
  return strongest_period(times, static_cast<double>(n) / rate.value(), tried).chance < min_chance;
}

}  // namespace

std::vector<Glitch> find_glitches(std::span<const double> x, Hz rate) {
  std::vector<Glitch> found;
  if (x.size() < fewest_samples || !(rate.value() > 0) ||
      !std::all_of(x.begin(), x.end(), [](double v) { return std::isfinite(v); }))
    return found;
  std::vector<double> off = running_median(x, median_half);
  for (std::size_t i = 0; i < x.size(); ++i) off[i] = std::abs(x[i] - off[i]);
  if (none_exceeds(off, spread * normal_per_mad)) return found;
  // The median of the magnitudes, for values about zero, is their median absolute deviation.
  const double limit =
      std::max(spread * normal_per_mad * median(off), min_share_of_rms * std::sqrt(variance(x)));
  if (!(limit > 0)) return found;
  for (std::size_t i = 0; i < off.size(); ++i) {
    if (off[i] <= limit) continue;
    const std::size_t beside = companion(off, i);
    if (!is_isolated(off, i, beside)) continue;
    const bool two = off[beside] * over_neighbours > off[i];
    const std::size_t first = two ? std::min(i, beside) : i;
    if (!found.empty() && first < found.back().first + found.back().count) continue;
    found.push_back({first, two ? 2U : 1U});
  }
  if (part_of_the_signal(found, x.size(), rate)) found.clear();
  return found;
}

std::vector<double> without_glitches(std::span<const double> x, std::span<const Glitch> glitches) {
  std::vector<double> y{x.begin(), x.end()};
  for (const Glitch& g : glitches) {
    if (g.count > x.size() || g.first > x.size() - g.count)
      throw std::invalid_argument{"without_glitches: a glitch lies outside the samples"};
    const bool has_left = g.first > 0;
    const bool has_right = g.first + g.count < x.size();
    if (!has_left && !has_right) continue;
    const double left = has_left ? y[g.first - 1] : x[g.first + g.count];
    const double right = has_right ? x[g.first + g.count] : left;
    const auto steps = static_cast<double>(g.count + 1);
    for (std::size_t i = 0; i < g.count; ++i)
      y[g.first + i] = left + (right - left) * static_cast<double>(i + 1) / steps;
  }
  return y;
}

}  // namespace bearingdsp
