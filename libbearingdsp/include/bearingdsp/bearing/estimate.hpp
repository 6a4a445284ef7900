#pragma once
/// Defect orders of a bearing that nobody has opened, with how far to trust them.
///
/// Both estimates rest on how a deep groove bearing is put together: its Z balls are slipped in
/// from one side, so together they take a nearly fixed angle of the circle, the filling angle
///   phi = 2 (Z - 1) asin(d/D),
/// and d/D = sin(phi / (2 (Z - 1))). Over the rows of the catalogue whose envelope is known, phi
/// is 190 degrees in the median and 180 to 201 for nine tenths of them.
#include <cstdint>
#include <string_view>
#include <vector>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// What is known of the make of a bearing whose elements were counted.
enum class BearingMake : std::uint8_t {
  any,          ///< nothing: roller, angular contact and filling-slot bearings are possible
  radial_ball,  ///< single-row radial ball bearing without filling slot: the usual motor bearing
};

/// Orders from the number of elements in a row alone (counted through the cage, or read from a
/// list). Half-widths cover every row of the catalogue of that make, see uncertainty():
///   any          BPFO and FTF 11 %, BPFI 8 %, BSF 42 %
///   radial_ball  BPFO and FTF 4 %, BPFI 2.6 %, BSF 15 % (rows of known envelope)
/// The usual rule of thumb (0.4 Z, 0.6 Z, 0.4) claims 20 % for all.
/// Errors: bad_argument unless 4 <= Z <= 60
[[nodiscard]] Result<DefectOrders> orders_from_element_count(int rolling_elements,
                                                             BearingMake make = BearingMake::any);

/// Boundary dimensions, mm.
struct BoundaryDimensions {
  double bore{0};
  double outside_diameter{0};
  double width{0};
};

/// Candidates for a single-row radial ball bearing of which only the boundary dimensions are known,
/// likeliest number of elements first. Pitch is taken at the mean of bore and outside diameter
/// (true within 1.6 % for the printed insides); a number of elements is as likely as the ring
/// section (balls of 0.295 of the difference of the diameters) and the filling angle agree on the
/// ball. Half-widths hold for 95 % of the catalogue's rows once the number of elements is the right
/// one. candidates_from_sizes() has the probabilities and knows the sizes of the plan.
///
/// Errors: bad_argument: a size that is not a positive number, bore >= outside diameter, or a width
///         that no single-row ball bearing of the ring section has
/// Source: data/inside_ranges.csv
[[nodiscard]] Result<std::vector<DefectOrders>> orders_from_boundary(
    const BoundaryDimensions& dimensions);

/// Boundary dimensions of a designation, as size_of() has them.
/// Errors: those of read_designation(); not_found where they are not listed
[[nodiscard]] Result<BoundaryDimensions> boundary_dimensions(std::string_view designation);

}  // namespace bearingdsp
