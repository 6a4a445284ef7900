#include "bearingdsp/bearing/geometry.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>
#include <stdexcept>

namespace bearingdsp {
namespace {

Error refuse_geometry(std::string what, std::string advice) {
  return Error{Errc::bad_argument, "bearing geometry", std::move(what), std::move(advice)};
}

bool positive(double v) { return std::isfinite(v) && v > 0; }

}  // namespace

Rotation both_rings_turn(Rpm inner, Rpm outer) noexcept {
  if (inner.value() != 0) return {1, outer.value() / inner.value()};
  return {0, outer.value() != 0 ? 1.0 : 0.0};
}

Result<DefectOrders> defect_orders(const BearingGeometry& g, Rotation rotation) {
  if (g.rolling_elements < 3)
    return refuse_geometry(fmt::format("{} rolling elements", g.rolling_elements),
                           "a bearing has at least 3 in a row");
  if (!positive(g.element_diameter))
    return refuse_geometry(fmt::format("element diameter {}", g.element_diameter),
                           "give a positive size in the unit of the pitch diameter");
  if (!positive(g.pitch_diameter))
    return refuse_geometry(fmt::format("pitch diameter {}", g.pitch_diameter),
                           "give a positive size in the unit of the element diameter");
  const double angle = g.contact_angle.value();
  if (!(angle >= 0 && angle <= 90))
    return refuse_geometry(fmt::format("contact angle {} degrees", angle),
                           "give an angle from 0 (radial) to 90 degrees (thrust)");
  if (g.element_diameter >= g.pitch_diameter)
    return refuse_geometry(fmt::format("element diameter {} is not below pitch diameter {}",
                                       g.element_diameter, g.pitch_diameter),
                           "check that the two are not swapped and have the same unit");
  const double room = g.pitch_diameter * std::sin(std::numbers::pi / g.rolling_elements);
  constexpr double rounded_sizes = 1.01;
  if (g.element_diameter > rounded_sizes * room)
    return refuse_geometry(fmt::format("{} elements of diameter {} overlap on a pitch circle of {}",
                                       g.rolling_elements, g.element_diameter, g.pitch_diameter),
                           fmt::format("at most {:.4g} fits; count the elements of one row", room));
  if (!std::isfinite(rotation.inner) || !std::isfinite(rotation.outer))
    return refuse_geometry("a ring speed is not a number", "give the speed of both rings");
  const double relative = std::abs(rotation.inner - rotation.outer);
  if (relative == 0)
    return refuse_geometry("both rings rotate at the same speed, so nothing rolls",
                           "give two different ring speeds");

  const double ratio = g.element_diameter / g.pitch_diameter;
  const double x = angle < 90 ? ratio * std::cos(angle * std::numbers::pi / 180) : 0.0;
  const double half_z = 0.5 * g.rolling_elements;
  DefectOrders orders;
  orders.bpfo = Order{half_z * relative * (1 - x)};
  orders.bpfi = Order{half_z * relative * (1 + x)};
  orders.bsf = Order{relative * (1 - x * x) / (2 * ratio)};
  if (!std::isfinite(orders.bsf.value()))
    return refuse_geometry(fmt::format("element diameter {} is far too small for pitch diameter {}",
                                       g.element_diameter, g.pitch_diameter),
                           "check the unit of the two sizes");
  orders.ftf = Order{std::abs(rotation.inner * (1 - x) + rotation.outer * (1 + x)) / 2};
  orders.rolling_elements = g.rolling_elements;
  orders.origin = OrdersOrigin::geometry;
  orders.source = fmt::format("geometry: {} elements, d {:g}, D {:g}, {:g} degrees",
                              g.rolling_elements, g.element_diameter, g.pitch_diameter, angle);
  return orders;
}

DefectOrders with_slip(DefectOrders orders, double slip) {
  if (!(slip >= 0 && slip < 0.5)) throw std::invalid_argument{"with_slip: slip not in [0, 0.5)"};
  const Order lost = slip * orders.bpfo;
  orders.bpfo = orders.bpfo - lost;
  orders.bpfi = orders.bpfi + lost;
  orders.ftf = (1 - slip) * orders.ftf;
  orders.bsf = (1 - slip) * orders.bsf;
  return orders;
}

DefectFrequencies at_speed(const DefectOrders& orders, Hz shaft) noexcept {
  return {at_speed(orders.bpfo, shaft), at_speed(orders.bpfi, shaft), at_speed(orders.bsf, shaft),
          at_speed(orders.ftf, shaft)};
}

}  // namespace bearingdsp
