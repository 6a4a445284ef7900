#pragma once
/// The odds of damage that a strength of evidence stands for, and the place of a component in
/// arrays of them.
#include <cmath>
#include <cstddef>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/verdict/judgement.hpp"

namespace bearingdsp {

/// The place of a component in an array of all.
[[nodiscard]] constexpr std::size_t index(Part part) { return static_cast<std::size_t>(part); }

/// Odds of damage at a strength; 0 without one.
/// Source: fitted, the rows `judgement.even_strength` and `judgement.steepness` of the model
[[nodiscard]] inline double odds_of(double strength, const JudgementModel& model) {
  return strength > 0 ? std::pow(strength / model.even_strength, model.steepness) : 0.0;
}

}  // namespace bearingdsp
