#pragma once
/// The four defect orders of a rolling bearing and how well they are known.
#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/token.hpp"

namespace bearingdsp {

/// Part of a bearing that can carry a defect.
enum class Part : std::uint8_t { outer_ring, inner_ring, rolling_element, cage };
inline constexpr int part_count = 4;
/// Words for the part: "outer ring", "inner ring", "rolling element", "cage".
[[nodiscard]] std::string_view token(Part part) noexcept;

/// Where defect orders come from, best first.
enum class OrdersOrigin : std::uint8_t { geometry, given, catalogue, element_count, boundary };
[[nodiscard]] std::string_view token(OrdersOrigin origin) noexcept;

/// Defect orders: multiples of the rotational frequency of the shaft. Identities, whatever the
/// slip, with the outer ring fixed: bpfo + bpfi = Z; bpfo = Z ftf. A defect of an element strikes
/// both rings: its lines are at multiples of 2 x BSF as well as BSF.
struct DefectOrders {
  Order bpfo;               ///< ball pass frequency, outer ring
  Order bpfi;               ///< ball pass frequency, inner ring
  Order bsf;                ///< ball spin frequency (one element about its own axis); not doubled
  Order ftf;                ///< fundamental train frequency (cage)
  int rolling_elements{0};  ///< Z; 0 where it is not known
  double relative_uncertainty{0};  ///< half-width of the interval that holds the true orders, as a
                                   ///< fraction of each; slip comes on top of it
  /// The same for each part on its own where it is known better, by Part; 0: relative_uncertainty
  /// holds. An estimate knows the rings several times better than the spin of the elements.
  std::array<double, part_count> part_uncertainty{};
  OrdersOrigin origin{OrdersOrigin::geometry};
  std::string source;  ///< who says so: catalogue row, "given by the user" ...

  /// Fundamental order of a defect of the part: BPFO, BPFI, BSF or FTF.
  [[nodiscard]] Order of(Part part) const noexcept {
    switch (part) {
      case Part::outer_ring:
        return bpfo;
      case Part::inner_ring:
        return bpfi;
      case Part::rolling_element:
        return bsf;
      case Part::cage:
        return ftf;
    }
    return bpfo;
  }
  /// Half-width, as a fraction, of the interval that holds the true order of the part.
  [[nodiscard]] double uncertainty(Part part) const noexcept {
    const double own = part_uncertainty[static_cast<std::size_t>(part)];
    return own > 0 ? own : relative_uncertainty;
  }
};

}  // namespace bearingdsp
