#include "bearingdsp/condition/shock.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "bearingdsp/dsp/periodicity.hpp"
#include "bearingdsp/dsp/statistics.hpp"

namespace bearingdsp {
namespace {

constexpr double shortest_window = 8;  // samples: fewer give no level
constexpr double fewest_windows = 20;
constexpr Hz lowest_rate{1000};
// Twice the mean of one millisecond: nothing is left above 1 kHz, half at some 450 Hz.
constexpr double smoothing_seconds = 0.001;
// What repeats is looked for among all bursts with this many times the energy of the usual ones.
constexpr double burst = 2;
// From one limit to the next, energy.
constexpr double next_limit = 4;
// Cages of slow shafts strike less than twice a second; the inner ring of a fast one, 500 times.
// Rates beyond 130 Hz are too many a second to be called isolated anyhow.
constexpr PeriodicityOptions rates{.lowest = 1.75, .highest = 130};

std::size_t window_of(Hz rate, const ShockOptions& options) {
  return static_cast<std::size_t>(
      std::max(shortest_window, std::round(options.window.value() * rate.value())));
}

/// What lies below some 500 Hz, where the shaft's own lines are.
std::vector<double> low_part(std::span<const double> x, Hz rate) {
  const auto half = std::max<std::size_t>(
      1, static_cast<std::size_t>(std::round(0.5 * smoothing_seconds * rate.value())));
  return running_mean(running_mean(x, half), half);
}

/// Mean square of the rest, window by window; a rest of the recording counts to the last window.
std::vector<double> short_time_power(std::span<const double> x, std::span<const double> low,
                                     std::size_t window) {
  std::vector<double> power(x.size() / window);
  for (std::size_t w = 0; w < power.size(); ++w) {
    const std::size_t end = w + 1 == power.size() ? x.size() : (w + 1) * window;
    double sum = 0;
    for (std::size_t i = w * window; i < end; ++i) sum += (x[i] - low[i]) * (x[i] - low[i]);
    power[w] = sum / static_cast<double>(end - w * window);
  }
  // The mean at the ends is of mirrored samples and follows no slope: the neighbours are the
  // better guess.
  if (power.size() > 2) {
    power.front() = power[1];
    power.back() = power[power.size() - 2];
  }
  return power;
}

/// Windows first <= w < last that exceed the usual bursts, with one over the limit among them.
struct Burst {
  std::size_t first{0};
  std::size_t last{0};
  double most{0};
};

std::vector<Burst> bursts_over(std::span<const double> power, double limit, double usual) {
  std::vector<Burst> out;
  for (std::size_t w = 0; w < power.size(); ++w) {
    if (power[w] <= limit) continue;
    Burst b{w, w + 1, power[w]};
    while (b.first > 0 && power[b.first - 1] > usual) --b.first;
    while (b.last < power.size() && power[b.last] > usual) {
      b.most = std::max(b.most, power[b.last]);
      ++b.last;
    }
    w = b.last - 1;
    out.push_back(b);
  }
  return out;
}

bool isolated(std::span<const Burst> bursts, std::size_t window, Hz rate, double seconds,
              const ShockOptions& options) {
  if (static_cast<double>(bursts.size()) > std::max(2.0, options.max_per_second * seconds))
    return false;
  std::vector<double> times;
  for (const Burst& b : bursts)
    times.push_back(static_cast<double>(b.first * window) / rate.value());
  PeriodicityOptions tried = rates;
  tried.resolved = rate.value() / 2;
  return strongest_period(times, seconds, tried).chance >= options.min_chance;
}

}  // namespace

Result<Shocks> find_shocks(std::span<const double> x, Hz rate, const ShockOptions& options) {
  if (!(rate.value() > 0) || !(options.window.value() > 0) || !(options.usual_share > 0) ||
      !(options.usual_share < 1) || !(options.over_bursts > 0) || !(options.over_level > 0) ||
      !(options.over_level_of_series > 0) || !(options.max_per_second > 0))
    return Error{Errc::bad_argument, "shocks", "rate or an option is not positive",
                 "give positive values"};
  Shocks found;
  // What is looked for lies above 500 Hz.
  if (rate < lowest_rate) return found;
  // As a double first: at a rate that no recorder has it is beyond all whole numbers.
  if (!(static_cast<double>(x.size()) >=
        fewest_windows * std::max(shortest_window, options.window.value() * rate.value())))
    return found;
  const std::size_t window = window_of(rate, options);
  const auto power = short_time_power(x, low_part(x, rate), window);
  const double middle = median(power);
  const double usual = quantile(power, 1 - options.usual_share);
  if (!(middle > 0)) return found;
  found.usual = std::sqrt(usual);
  const double seconds = static_cast<double>(x.size()) / rate.value();
  auto bursts = bursts_over(power, burst * usual, usual);
  const bool series = !isolated(bursts, window, rate, seconds, options);
  double limit = std::max(options.over_bursts * usual,
                          (series ? options.over_level_of_series : options.over_level) * middle);
  // A series may itself be that strong: then only what is far above it.
  do {
    std::erase_if(bursts, [&](const Burst& b) { return b.most <= limit; });
    limit *= next_limit;
  } while (!isolated(bursts, window, rate, seconds, options));
  for (const Burst& b : bursts) {
    const std::size_t end = b.last == power.size() ? x.size() : b.last * window;
    found.all.push_back({b.first * window, end, b.most / middle});
    found.share += static_cast<double>(end - b.first * window) / static_cast<double>(x.size());
  }
  return found;
}

std::vector<double> without_shocks(std::span<const double> x, Hz rate, const Shocks& shocks,
                                   const ShockOptions& options) {
  std::vector<double> y{x.begin(), x.end()};
  if (shocks.all.empty()) return y;
  const std::size_t window = window_of(rate, options);
  const auto low = low_part(x, rate);
  const auto power = short_time_power(x, low, window);
  std::vector<double> gain(power.size(), 1.0);
  for (const Shock& s : shocks.all) {
    if (s.first > s.last || s.last > x.size())
      throw std::invalid_argument{"without_shocks: a shock lies outside the recording"};
    for (std::size_t w = s.first / window; w < power.size() && w * window < s.last; ++w)
      if (power[w] > 0) gain[w] = std::min(1.0, shocks.usual / std::sqrt(power[w]));
  }
  // The neighbours take the lower gain too: between the centres of windows gains run straight, and
  // none of a shock's samples may meet a higher one than its own window's.
  std::vector<double> least(gain.size());
  for (std::size_t w = 0; w < gain.size(); ++w)
    least[w] = std::min({gain[w], gain[w > 0 ? w - 1 : 0], gain[std::min(w + 1, gain.size() - 1)]});
  for (std::size_t i = 0; i < x.size(); ++i) {
    const double at = (static_cast<double>(i) + 0.5) / static_cast<double>(window) - 0.5;
    const double left = std::clamp(std::floor(at), 0.0, static_cast<double>(least.size() - 1));
    const auto w = static_cast<std::size_t>(left);
    const double next = least[std::min(w + 1, least.size() - 1)];
    const double g = least[w] + (next - least[w]) * std::clamp(at - left, 0.0, 1.0);
    if (g < 1) y[i] = low[i] + g * (x[i] - low[i]);
  }
  return y;
}

}  // namespace bearingdsp
