#include "bearingdsp/evidence/unknown_family.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>

#include "evidence/pooled.hpp"
#include "evidence/smoothed.hpp"

namespace bearingdsp {
namespace {

constexpr double lowest = 2.1;
constexpr double highest = 12.0;
constexpr double tolerance = 0.02;  // neighbouring templates overlap by half
constexpr double step = 1.02;

}  // namespace

Hz unknown_family_reach(Hz shaft) noexcept { return at_speed(Order{4.2 * highest}, shaft); }

EnvelopeSpectrum whole_envelope_spectrum(std::span<const RecordSpectrum> axes, Hz shaft,
                                         FftPlans& plans) {
  if (axes.empty()) throw std::invalid_argument{"whole_envelope_spectrum: no axis"};
  const Band whole = band_tree(axes[0].rate, axes[0].rate).front();
  return std::move(
      pooled_envelope_spectra(axes, {&whole, 1}, unknown_family_reach(shaft), plans).front());
}

UnknownFamily search_unknown_family(std::span<const RecordSpectrum> axes, Hz shaft, FftPlans& plans,
                                    const std::vector<Hz>& mains, double least) {
  return search_unknown_family(whole_envelope_spectrum(axes, shaft, plans), shaft, mains, least);
}

UnknownFamily search_unknown_family(const EnvelopeSpectrum& whole, Hz shaft,
                                    const std::vector<Hz>& mains, double least) {
  UnknownFamily best;
  const Smoothed smooth{whole.depth2};
  const double shaft_depth =
      score_family(whole, smooth, shaft, {Order{1}, 8, 0.0005, Order{0}, false, {}}).strength();
  const auto steps = static_cast<int>(std::floor(std::log(highest / lowest) / std::log(step)));
  for (int i = 0; i <= steps; ++i) {
    const double order = lowest * std::pow(step, i);
    FamilyTemplate wanted{Order{order}, 4, tolerance, Order{1}, true, mains};
    wanted.least_depth = std::max(least, best.strength);
    FamilyScore score = score_family(whole, smooth, shaft, wanted);
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
