#include "bearingdsp/evidence/unknown_family.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "evidence/pooled.hpp"

namespace bearingdsp {
namespace {

constexpr double lowest = 2.1;
constexpr double highest = 12.0;
constexpr double tolerance = 0.02;  // neighbouring templates overlap by half
constexpr double step = 1.02;

}  // namespace

UnknownFamily search_unknown_family(std::span<const RecordSpectrum> axes, Hz shaft, FftPlans& plans,
                                    const std::vector<Hz>& mains, double least) {
  const Hz up_to = at_speed(Order{4.2 * highest}, shaft);
  const double top = 0.49 * axes[0].rate.value();
  UnknownFamily best;
  const Band whole{Hz{0}, Hz{top}};
  best.spectrum = std::move(pooled_envelope_spectra(axes, {&whole, 1}, up_to, plans).front());
  const double shaft_depth =
      score_family(best.spectrum, shaft, {Order{1}, 8, 0.0005, Order{0}, false, {}}).strength();
  const auto steps = static_cast<int>(std::floor(std::log(highest / lowest) / std::log(step)));
  for (int i = 0; i <= steps; ++i) {
    const double order = lowest * std::pow(step, i);
    FamilyTemplate wanted{Order{order}, 4, tolerance, Order{1}, true, mains};
    wanted.least_depth = std::max(least, best.strength);
    FamilyScore score = score_family(best.spectrum, shaft, wanted);
    double strength = score.strength();
    if (shaft_depth > 0) strength *= std::min(1.0, strength / (shaft_rivalry * shaft_depth));
    if (strength <= best.strength) continue;
    best.strength = strength;
    best.fundamental = Order{order * (1 + score.slip)};
    best.score = std::move(score);
  }
  return best;
}

}  // namespace bearingdsp
