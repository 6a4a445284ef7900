#pragma once
/// Defect orders of bearings that the tests stand on.
#include "bearingdsp/bearing/defect_orders.hpp"

namespace test {

inline bearingdsp::DefectOrders orders_of(int elements, double bpfo, double bpfi, double bsf,
                                          double ftf) {
  using namespace bearingdsp;
  DefectOrders o;
  o.bpfo = Order{bpfo};
  o.bpfi = Order{bpfi};
  o.bsf = Order{bsf};
  o.ftf = Order{ftf};
  o.rolling_elements = elements;
  return o;
}

/// 6205 as the motor-bearing set with seeded faults publishes it.
inline bearingdsp::DefectOrders nine_elements() {
  return orders_of(9, 3.5848, 5.4152, 2.3567, 0.39828);
}

/// 6203 of the same set: BPFO, BPFI and 2 x BSF stand close to 3, 5 and 4 orders. The hard case.
inline bearingdsp::DefectOrders eight_elements() {
  return orders_of(8, 3.0516, 4.9484, 1.9902, 0.38145);
}

/// None of its orders is near one of nine elements.
inline bearingdsp::DefectOrders ten_elements() {
  return orders_of(10, 4.0842, 5.9158, 2.6381, 0.40842);
}

}  // namespace test
