#pragma once
/// What every search for damage needs besides the recording and the bearing.
#include <vector>

#include "bearingdsp/core/model.hpp"
#include "bearingdsp/core/quantity.hpp"

namespace bearingdsp {

/// A parameter, made for one call or one judgement; not to be kept.
struct Basis {
  /// Supply frequencies whose lines and impulses are not evidence; both 50 and 60 Hz where it is
  /// not known, none where none are to be excluded.
  std::vector<Hz> mains;
  const ModelParameters& model;  ///< has to outlive this
};

}  // namespace bearingdsp
