#include "bearingdsp/bearing/defect_orders.hpp"

namespace bearingdsp {

std::string_view token(Part part) noexcept {
  switch (part) {
    case Part::outer_ring:
      return "outer ring";
    case Part::inner_ring:
      return "inner ring";
    case Part::rolling_element:
      return "rolling element";
    case Part::cage:
      return "cage";
  }
  return "outer ring";
}

std::string_view token(OrdersOrigin origin) noexcept {
  switch (origin) {
    case OrdersOrigin::geometry:
      return "geometry";
    case OrdersOrigin::given:
      return "given";
    case OrdersOrigin::catalogue:
      return "catalogue";
    case OrdersOrigin::element_count:
      return "element count";
    case OrdersOrigin::boundary:
      return "boundary dimensions";
  }
  return "geometry";
}

}  // namespace bearingdsp
