#include "bearingdsp/evidence/unknown_family.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>

#include "evidence/pooled.hpp"
#include "evidence/smoothed.hpp"

namespace bearingdsp {

Hz unknown_family_reach(Hz shaft, const ModelParameters& model) noexcept {
  return at_speed(Order{model.unknown.reach * model.unknown.highest}, shaft);
}

EnvelopeSpectrum whole_envelope_spectrum(std::span<const RecordSpectrum> axes, Hz shaft,
                                         FftPlans& plans, const ModelParameters& model) {
  if (axes.empty()) throw std::invalid_argument{"whole_envelope_spectrum: no axis"};
  const Band whole = band_tree(axes[0].rate, axes[0].rate).front();
  return std::move(
      pooled_envelope_spectra(axes, {&whole, 1}, unknown_family_reach(shaft, model), plans)
          .front());
}

UnknownFamily search_unknown_family(std::span<const RecordSpectrum> axes, Hz shaft, FftPlans& plans,
                                    const Basis& basis, double least) {
  return search_unknown_family(whole_envelope_spectrum(axes, shaft, plans, basis.model), shaft,
                               basis, least);
}

UnknownFamily search_unknown_family(const EnvelopeSpectrum& whole, Hz shaft, const Basis& basis,
                                    double least) {
  const ModelParameters& model = basis.model;
  const UnknownModel& m = model.unknown;
  UnknownFamily best;
  const Smoothed smooth{whole.depth2};
  const double shaft_depth =
      score_family(
          whole, smooth, shaft,
          {Order{1}, model.bands.shaft_harmonics, model.bands.shaft_tolerance, Order{0}, false, {}},
          model)
          .strength();
  const auto steps =
      static_cast<int>(std::floor(std::log(m.highest / m.lowest) / std::log(m.step)));
  for (int i = 0; i <= steps; ++i) {
    const double order = m.lowest * std::pow(m.step, i);
    FamilyTemplate wanted{Order{order}, m.harmonics, m.tolerance, Order{1}, true, basis.mains};
    wanted.min_depth = std::max(least, best.strength);
    FamilyScore score = score_family(whole, smooth, shaft, wanted, model);
    double strength = score.strength();
    if (shaft_depth > 0)
      strength *= std::min(1.0, strength / (model.family.shaft_rivalry * shaft_depth));
    if (strength <= best.strength) continue;
    best.strength = strength;
    best.fundamental = Order{order * (1 + score.slip)};
    best.score = std::move(score);
  }
  return best;
}

}  // namespace bearingdsp
