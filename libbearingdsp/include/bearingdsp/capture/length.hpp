#pragma once
/// How long to record.
#include <optional>
#include <span>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/core/quantity.hpp"

namespace bearingdsp {

/// Bins of an order spectrum between two lines that are separated, with room for slip. Ours, no
/// source
inline constexpr double bins_to_separate = 4;
/// Nearer to a whole order than this nothing separates a series: no speed is that steady. Ours, no
/// source
inline constexpr double min_orders_apart = 0.005;
/// Revolutions after which two lines this many orders apart are separated; at most 800. Pure.
[[nodiscard]] double revolutions_to_separate(double orders_apart) noexcept;

/// Seconds after which a verdict is possible with room to spare: 10 s, which is 250 revolutions at
/// 1500 rpm; longer for a slow shaft (40 revolutions), and for a bearing of which a defect order is
/// so near a whole one that only many revolutions separate it from the shaft's own harmonic (at
/// most 60 s). Whole seconds, rounded up.
/// `orders`: of the bearings that it may be; may be empty. `shaft`: > 0, where known
[[nodiscard]] Seconds length_to_record(std::optional<Hz> shaft,
                                       std::span<const DefectOrders> orders = {}) noexcept;

}  // namespace bearingdsp
