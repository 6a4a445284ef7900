#pragma once
/// What can be followed over time by one number: the levels, the multiples of the shaft speed, and
/// how strongly the lines of each component are present.
#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/core/token.hpp"
#include "bearingdsp/history/indicators.hpp"

namespace bearingdsp {

/// The first are the indicators, in their order.
enum class Followed : std::uint8_t {
  velocity,
  overall,
  peak,
  high_band,
  envelope,
  kurtosis,
  crest_factor,
  floor,
  shaft_1x,
  shaft_2x,
  shaft_3x,
  outer_ring,
  inner_ring,
  rolling_element,
  cage,
};
inline constexpr std::size_t followed_count = indicator_count + shaft_orders + part_count;

[[nodiscard]] constexpr Followed followed(Indicator i) noexcept { return static_cast<Followed>(i); }
[[nodiscard]] constexpr Followed followed(Part part) noexcept {
  return static_cast<Followed>(indicator_count + shaft_orders + static_cast<std::size_t>(part));
}
/// None of the multiples of the shaft speed and the components.
[[nodiscard]] std::optional<Indicator> indicator_of(Followed what) noexcept;
[[nodiscard]] std::optional<Part> part_of(Followed what) noexcept;

/// As token(Indicator); "1x", "2x", "3x"; "BPFO", "BPFI", "BSF", "FTF"
[[nodiscard]] std::string_view token(Followed what) noexcept;
/// The one of that name, in any case, '-' and '_' for blanks; also "high-frequency" for the high
/// band, "floor", "crest" and the names of the components. None for another word.
[[nodiscard]] std::optional<Followed> followed_named(std::string_view word) noexcept;

/// Its value in a recording: a level in its SI unit, a ratio, or the strength of the component's
/// lines (FamilyEvidence::strength). None where it was not measured.
/// Shape: strength [part_count], by Part
[[nodiscard]] std::optional<double> value_of(Followed what, const Levels& levels,
                                             const std::array<double, part_count>& strength);

}  // namespace bearingdsp
