#pragma once
#include <array>
#include <optional>

#include "bearingdsp/core/basis.hpp"

namespace bearingdsp {

/// Frequencies of public supplies. Common practice, no source.
inline constexpr std::array public_mains{Hz{50}, Hz{60}};

/// The mains as noted, else each that there is.
[[nodiscard]] inline Basis basis_on(const std::optional<Hz>& noted, const ModelParameters& model) {
  if (noted) return {{*noted}, model};
  return {{public_mains.begin(), public_mains.end()}, model};
}

}  // namespace bearingdsp
