#pragma once
/// From the sizes inside a bearing to the frequencies that a defect makes.
///
/// With x = (d/D) cos a, ring rates fi and fo (signed) and pure rolling:
///   cage  fc   = fi/2 (1 - x) + fo/2 (1 + x)
///   BPFO       = Z |fc - fo| = Z/2 |fi - fo| (1 - x)
///   BPFI       = Z |fi - fc| = Z/2 |fi - fo| (1 + x)
///   BSF        = D/(2d) |fi - fo| (1 - x^2)
/// so only the difference of the ring speeds matters to the three rolling frequencies.
#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// Internal sizes of one row. Only the ratio of the diameters matters; both in the same unit.
struct BearingGeometry {
  int rolling_elements{0};     ///< Z, in one row
  double element_diameter{0};  ///< d; for tapered or spherical rollers at mid-length
  double pitch_diameter{0};    ///< D, circle through the centres of the elements
  Degrees contact_angle{0};    ///< a, 0 for a radial bearing, 90 for a thrust bearing
};

/// Turns of each ring for one revolution of the shaft that orders refer to; signed, + the same way
/// round.
struct Rotation {
  double inner{1};
  double outer{0};
};
/// The usual motor: the inner ring sits on the shaft, the housing stands still.
inline constexpr Rotation inner_ring_turns{1, 0};
/// The outer ring is driven and the inner one stands still (rollers, wheels, sheaves).
inline constexpr Rotation outer_ring_turns{0, 1};
/// Both rings turn. Orders then refer to the inner ring, or to the outer ring if the inner stands
/// still; two standing rings give {0, 0}, which defect_orders() refuses.
[[nodiscard]] Rotation both_rings_turn(Rpm inner, Rpm outer) noexcept;

/// Defect orders of a geometry, exact for pure rolling (relative_uncertainty 0; slip comes on top).
/// Units:   orders of the shaft that `rotation` refers to
/// Errors:  bad_argument, with the reason: fewer than 3 elements; a size that is not a positive
///          number; d >= D; an angle outside [0, 90) degrees; elements that overlap on the pitch
///          circle (d > D sin(pi/Z), 1 % allowed for rounded sizes); rings that turn together
/// Source:  [randall2011] section 1 (rotating inner ring); both rings: closed form above
[[nodiscard]] Result<DefectOrders> defect_orders(const BearingGeometry& geometry,
                                                 Rotation rotation = inner_ring_turns);

/// Orders as they become when the cage lags by this fraction of its rate: FTF and BPFO fall, BPFI
/// rises so that bpfo + bpfi and bpfo / ftf stay the same, BSF falls (elements roll on the standing
/// outer ring and slide on the inner). slip in [0, 0.5); others are a caller's bug
/// (std::invalid_argument).
/// Source:  slip identities, [smith2015] section 2
[[nodiscard]] DefectOrders with_slip(DefectOrders orders, double slip);

/// The four frequencies at one shaft rate.
struct DefectFrequencies {
  Hz bpfo;
  Hz bpfi;
  Hz bsf;
  Hz ftf;
};
[[nodiscard]] DefectFrequencies at_speed(const DefectOrders& orders, Hz shaft) noexcept;

}  // namespace bearingdsp
