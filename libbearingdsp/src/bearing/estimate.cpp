#include "bearingdsp/bearing/estimate.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

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
/// Over all rows of the catalogue the largest deviations are 10.2, 7.5, 39 and 10.2 % (a
/// filling-slot ball bearing); without it 6.0, 4.8, 38 and 6.0 %.
constexpr HalfWidths any_bearing{0.11, 0.08, 0.40, 0.11};
/// Over its rows of single-row radial ball bearings 3.9, 2.6, 14.4 and 3.9 %.
constexpr HalfWidths ball_bearing{0.04, 0.026, 0.15, 0.04};

DefectOrders estimated(int z, HalfWidths w, OrdersOrigin origin, std::string source) {
  DefectOrders o = defect_orders({z, diameter_ratio(z), 1, Degrees{0}}).value();
  o.part_uncertainty = {w.outer, w.inner, w.spin, w.cage};
  o.relative_uncertainty = w.spin;
  o.origin = origin;
  o.source = std::move(source);
  return o;
}

Error refuse(std::string what, std::string advice) {
  return {Errc::bad_argument, "boundary dimensions", std::move(what), std::move(advice)};
}

}  // namespace

Result<DefectOrders> orders_from_element_count(int z, BearingMake make) {
  if (z < 4 || z > 60)
    return Error{Errc::bad_argument, "number of rolling elements",
                 fmt::format("{} is out of range", z), "count those of one row: 4 to 60"};
  return estimated(z, make == BearingMake::any ? any_bearing : ball_bearing,
                   OrdersOrigin::element_count,
                   fmt::format("estimated from {} rolling elements", z));
}

Result<std::vector<DefectOrders>> orders_from_boundary(const BoundaryDimensions& b) {
  for (const double v : {b.bore, b.outside_diameter, b.width})
    if (!(std::isfinite(v) && v > 0))
      return refuse(fmt::format("{:g} is not a size", v), "give bore, outside diameter and width");
  if (b.bore >= b.outside_diameter)
    return refuse(
        fmt::format("bore {:g} is not below outside diameter {:g}", b.bore, b.outside_diameter),
        "check that the two are not swapped");
  const double pitch = 0.5 * (b.bore + b.outside_diameter);
  const double section = 0.5 * (b.outside_diameter - b.bore);
  constexpr double smallest = 0.50;  // element diameter as a part of the ring section
  constexpr double largest = 0.68;
  constexpr double likeliest = 0.605;
  constexpr double widest = 0.80;  // element diameter as a part of the width
  constexpr double narrowest = 0.40;
  std::vector<std::pair<double, int>> fits;
  for (int z = 5; z <= 60; ++z) {
    const double d = diameter_ratio(z) * pitch;
    const bool in_section = d >= smallest * section && d <= largest * section;
    const bool in_width = d >= narrowest * b.width && d <= widest * b.width;
    if (in_section && in_width) fits.emplace_back(std::abs(d / section - likeliest), z);
  }
  if (fits.empty())
    return refuse(
        fmt::format("no ball set fits {:g} x {:g} x {:g} mm", b.bore, b.outside_diameter, b.width),
        "this holds for single-row radial ball bearings; give the geometry instead");
  std::sort(fits.begin(), fits.end());
  std::vector<DefectOrders> candidates;
  candidates.reserve(fits.size());
  for (const auto& [distance, z] : fits)
    candidates.push_back(
        estimated(z, ball_bearing, OrdersOrigin::boundary,
                  fmt::format("estimated from {:g} x {:g} x {:g} mm, if it has {} elements", b.bore,
                              b.outside_diameter, b.width, z)));
  return candidates;
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
