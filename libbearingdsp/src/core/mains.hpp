#pragma once
#include <array>
#include <optional>
#include <vector>

#include "bearingdsp/core/quantity.hpp"

namespace bearingdsp {

/// Frequencies of public supplies. Common practice, no source.
inline constexpr std::array public_mains{Hz{50}, Hz{60}};

/// What the mains may be: as noted, else each that there is. T is Hz, or double for arithmetic.
template <class T = Hz>
[[nodiscard]] std::vector<T> possible_mains(const std::optional<Hz>& noted) {
  if (noted) return {T{noted->value()}};
  std::vector<T> all;
  for (const Hz f : public_mains) all.push_back(T{f.value()});
  return all;
}

}  // namespace bearingdsp
