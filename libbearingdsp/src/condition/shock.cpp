#include "bearingdsp/condition/shock.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "bearingdsp/dsp/statistics.hpp"

namespace bearingdsp {

Result<std::vector<Shock>> find_shocks(std::span<const double> x, Hz rate,
                                       const ShockOptions& options) {
  if (!(rate.value() > 0) || !(options.window.value() > 0) || !(options.threshold > 0) ||
      !(options.over_bursts > 0) || !(options.most_per_second > 0))
    return Error{Errc::bad_argument, "shocks", "rate or an option is not positive",
                 "give positive values"};
  std::vector<Shock> shocks;
  const double wanted = std::max(4.0, std::round(options.window.value() * rate.value()));
  if (static_cast<double>(x.size()) < 20 * wanted) return shocks;
  const auto window = static_cast<std::size_t>(wanted);
  const std::size_t step = window / 2;  // half-overlapped, so that no shock is cut in two
  const double centre = mean(x);
  std::vector<double> half;
  for (std::size_t i = 0; i + step <= x.size(); i += step) {
    double sum = 0;
    for (std::size_t j = i; j < i + step; ++j) sum += (x[j] - centre) * (x[j] - centre);
    half.push_back(sum);
  }
  std::vector<double> energy(half.size() - 1);
  for (std::size_t i = 0; i < energy.size(); ++i) energy[i] = half[i] + half[i + 1];
  const double middle = median(energy);
  if (!(middle > 0)) return shocks;
  std::vector<double> level(energy.size());
  for (std::size_t i = 0; i < level.size(); ++i)
    level[i] = std::log(std::max(energy[i], 1e-12 * middle) / middle);
  // A steady sine has no spread at all; a tenth of a neper keeps ripple from being called a shock.
  const double scale = std::max(0.1, normal_per_mad * median_absolute_deviation(level));
  const double limit =
      std::max(options.threshold * scale, quantile(level, 0.98) + std::log(options.over_bursts));
  for (std::size_t i = 0; i < level.size(); ++i) {
    if (level[i] <= limit) continue;
    const std::size_t first = i * step;
    const std::size_t last = std::min(x.size(), (i + 2) * step);
    const double ratio = energy[i] / middle;
    if (!shocks.empty() && first <= shocks.back().last + window) {
      shocks.back().last = last;
      shocks.back().ratio = std::max(shocks.back().ratio, ratio);
    } else {
      shocks.push_back({first, last, ratio});
    }
  }
  const double seconds = static_cast<double>(x.size()) / rate.value();
  if (static_cast<double>(shocks.size()) > std::max(2.0, options.most_per_second * seconds))
    shocks.clear();
  return shocks;
}

std::vector<double> shock_weights(std::span<const Shock> shocks, std::size_t n, std::size_t slope) {
  std::vector<double> w(n, 1.0);
  for (const Shock& s : shocks) {
    if (s.first > s.last || s.last > n)
      throw std::invalid_argument{"shock_weights: a shock lies outside the record"};
    std::fill(w.begin() + static_cast<std::ptrdiff_t>(s.first),
              w.begin() + static_cast<std::ptrdiff_t>(s.last), 0.0);
    for (std::size_t i = 0; i < slope; ++i) {
      const double g = 0.5 - 0.5 * std::cos(std::numbers::pi * (static_cast<double>(i) + 0.5) /
                                            static_cast<double>(slope));
      if (s.first > i) w[s.first - 1 - i] = std::min(w[s.first - 1 - i], g);
      if (s.last + i < n) w[s.last + i] = std::min(w[s.last + i], g);
    }
  }
  return w;
}

}  // namespace bearingdsp
