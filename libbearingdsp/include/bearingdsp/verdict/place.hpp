#pragma once
/// The words a verdict is made of.
#include <cstdint>
#include <optional>
#include <string_view>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/core/token.hpp"

namespace bearingdsp {

/// What the recording says about the bearing.
enum class Verdict : std::uint8_t { no_fault, fault, indeterminate };
/// "no fault found", "fault", "cannot tell"
[[nodiscard]] std::string_view token(Verdict verdict) noexcept;

/// Where the damage is. The words are the `named` column of the validation table.
enum class Place : std::uint8_t {
  none,
  outer_ring,
  inner_ring,
  rolling_element,
  cage,
  several,          ///< more than one part
  unclear,          ///< bearing damage, component not identified
  another_bearing,  ///< bearing damage, but not of the bearing given: its impacts have another rate
  cannot_tell,
};
/// "none", "outer ring", "inner ring", "rolling element", "cage", "several", "place unclear",
/// "another bearing", "cannot tell".
[[nodiscard]] std::string_view token(Place place) noexcept;
/// The one component that a place names, or none.
[[nodiscard]] std::optional<Part> part_of(Place place) noexcept;

}  // namespace bearingdsp
