#include "bearingdsp/bearing/estimate.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>
#include <utility>

#include "bearing/usual_inside.hpp"
#include "bearingdsp/bearing/designation.hpp"
#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/bearing/size.hpp"

namespace bearingdsp {
namespace {

constexpr double filling_angle = 190;  // degrees; median of the catalogue's rows

/// d/D from which Z elements take the filling angle.
double diameter_ratio(int z) {
  return std::sin(filling_angle / (2.0 * (z - 1)) * std::numbers::pi / 180);
}

/// Half-widths by Part.
struct HalfWidths {
  double outer, inner, spin, cage;
};
/// Over all rows of the catalogue but thrust bearings the largest deviations are 10.3, 7.6, 41 and
/// 10.3 % (a filling-slot ball bearing; an angular contact bearing).
constexpr HalfWidths any_bearing{0.11, 0.08, 0.42, 0.11};
/// Over its rows of single-row radial ball bearings 3.6, 1.8, 13.3 and 3.6 %.
constexpr HalfWidths ball_bearing{0.04, 0.026, 0.15, 0.04};

DefectOrders estimated(int z, HalfWidths w) {
  DefectOrders o = defect_orders({z, diameter_ratio(z), 1, Degrees{0}}).value();
  o.part_uncertainty = {w.outer, w.inner, w.spin, w.cage};
  o.relative_uncertainty = w.spin;
  o.origin = OrdersOrigin::element_count;
  o.source = fmt::format("estimated from {} rolling elements", z);
  return o;
}

Error refuse_boundary(std::string what, std::string advice) {
  return {Errc::bad_argument, "boundary dimensions", std::move(what), std::move(advice)};
}

}  // namespace

Result<DefectOrders> orders_from_element_count(int z, BearingMake make) {
  if (z < 4 || z > 60)
    return Error{Errc::bad_argument, "number of rolling elements",
                 fmt::format("{} is out of range", z), "count the elements of one row: 4 to 60"};
  return estimated(z, make == BearingMake::any ? any_bearing : ball_bearing);
}

Result<std::vector<DefectOrders>> orders_from_boundary(const BoundaryDimensions& b) {
  for (const double v : {b.bore, b.outside_diameter, b.width})
    if (!(std::isfinite(v) && v > 0))
      return refuse_boundary(fmt::format("{:g} is not a valid size", v),
                             "give bore, outside diameter and width");
  if (b.bore >= b.outside_diameter)
    return refuse_boundary(
        fmt::format("bore {:g} is not below outside diameter {:g}", b.bore, b.outside_diameter),
        "check that the two are not swapped");
  // Width by ring section of the deep groove bearings in the size table: 0.65 (160xx) to 1.9
  // (623xx).
  constexpr double narrowest = 0.5;
  constexpr double widest = 2.2;
  const double shape = b.width / (0.5 * (b.outside_diameter - b.bore));
  if (shape < narrowest || shape > widest)
    return refuse_boundary(
        fmt::format("no set of balls fits {:g} x {:g} x {:g} mm", b.bore, b.outside_diameter,
                    b.width),
        "this estimate is for single-row radial ball bearings; give the geometry instead");
  usual_inside::Known known;
  known.sizes = b;
  std::vector<DefectOrders> orders;
  for (auto& c : usual_inside::candidates(known)) orders.push_back(std::move(c.orders));
  return orders;
}

Result<BoundaryDimensions> boundary_dimensions(std::string_view designation) {
  const auto readings = read_designation(designation);
  if (!readings) return readings.error();
  if (const auto size = size_of(readings->front()).boundary(); size && readings->size() == 1)
    return *size;
  return Error{Errc::not_found, fmt::format("bearing '{}'", designation.substr(0, 60)),
               "its boundary dimensions are not listed", "give bore, outside diameter and width"};
}

}  // namespace bearingdsp
