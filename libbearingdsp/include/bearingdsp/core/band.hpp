#pragma once
#include "bearingdsp/core/quantity.hpp"

namespace bearingdsp {

/// A frequency band; low < high.
struct Band {
  Hz low;
  Hz high;
  [[nodiscard]] Hz width() const noexcept { return high - low; }
};

}  // namespace bearingdsp
