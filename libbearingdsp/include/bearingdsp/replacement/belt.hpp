#pragma once
/// How hard a belt pulls at the shaft.
#include <cstdint>
#include <string_view>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/token.hpp"

namespace bearingdsp {

enum class BeltKind : std::uint8_t { v_belt, toothed, flat_with_idler, flat };
/// "V-belt", "toothed belt", "flat belt with a tension pulley", "flat belt".
[[nodiscard]] std::string_view token(BeltKind kind) noexcept;

/// Forces, N.
struct BeltPull {
  double useful_n{0};  ///< transmits the power
  double low_n{0};     ///< pull at the shaft: useful force times the lower factor of the belt
  double high_n{0};    ///< and times the upper one
};

/// F = 19.1e6 P / (n D), P in kW, n in r/min, pulley diameter D in mm; times 1.5 to 2.5 for
/// V-belts, 1.1 to 2 for toothed belts, 2.5 to 3 for flat belts with a tension pulley, 3 to 4
/// without.
/// Errors: std::invalid_argument (caller's bug) unless all are above 0 Source: P = F v; factors: a
/// bearing manufacturer's page (V-belt to 2, toothed belt to 1.3, flat
///         belts); the upper ends of V-belt and toothed belt: from memory
[[nodiscard]] BeltPull belt_pull(double power_kw, Rpm speed, double pulley_mm, BeltKind kind);

}  // namespace bearingdsp
