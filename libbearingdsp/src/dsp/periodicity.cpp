#include "bearingdsp/dsp/periodicity.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <numbers>
#include <stdexcept>

#include "bearingdsp/dsp/tails.hpp"

namespace bearingdsp {
namespace {

constexpr std::size_t fewest_instants = 4;
constexpr std::size_t instants_per_piece = 16;
// Steps of the rate: an eighth of what a piece resolves loses at most 2.5 % of a peak.
constexpr double steps_per_resolution = 8;
// Up to this many times the mean rate few instants of a series are missing.
constexpr double near_full = 1.3;

/// The strongest rate from low to high, without charge for how many were tried.
struct Peak {
  double rate{0};
  double sum{0};
};

Peak search(std::span<const double> times, std::size_t pieces, double low, double high,
            double step) {
  Peak best;
  for (double f = low; f <= high; f += step) {
    double sum = 0;
    for (std::size_t p = 0; p < pieces; ++p) {
      const std::size_t first = p * times.size() / pieces;
      const std::size_t last = (p + 1) * times.size() / pieces;
      std::complex<double> phasor;
      for (std::size_t i = first; i < last; ++i)
        phasor += std::polar(1.0, 2 * std::numbers::pi * f * (times[i] - times[first]));
      sum += std::norm(phasor) / static_cast<double>(last - first);
    }
    if (sum > best.sum) best = {f, sum};
  }
  return best;
}

}  // namespace

Periodicity strongest_period(std::span<const double> times, double duration,
                             const PeriodicityOptions& options) {
  if (!(duration > 0) || !(options.lowest > 0) || !(options.lowest < options.highest))
    throw std::invalid_argument{"strongest_period: duration or rates are not above zero"};
  if (times.size() < fewest_instants) return {};
  const std::size_t pieces = (times.size() + instants_per_piece - 1) / instants_per_piece;
  const double piece = duration / static_cast<double>(pieces);
  // A rate that a piece does not hold twice is a trend of how dense the instants are.
  const double lowest = std::max(options.lowest, 2 / piece);
  const double highest = std::min(options.highest, options.resolved);
  const double full = near_full * static_cast<double>(times.size()) / duration;
  Periodicity out;
  for (const double high : {std::min(full, highest), highest}) {
    if (!(high > lowest)) continue;
    const Peak peak = search(times, pieces, lowest, high, 1 / (steps_per_resolution * piece));
    const double tried = std::max(1.0, (high - lowest) * piece);
    // Between the rates that a piece resolves the sum may be higher at random: about as good as
    // twice as many trials. And the better of two searches is taken.
    const double chance =
        std::min(1.0, 2 * 2 * tried * gamma_q(static_cast<double>(pieces), peak.sum));
    if (chance < out.chance) out = {peak.rate, chance};
  }
  return out;
}

}  // namespace bearingdsp
