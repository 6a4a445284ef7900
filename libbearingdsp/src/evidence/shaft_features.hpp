#pragma once
/// What the plain spectra say at the shaft's orders, pooled over axes. Internal to evidence/.
#include <span>
#include <string>
#include <vector>

#include "bearingdsp/core/basis.hpp"
#include "bearingdsp/speed/shaft_speed.hpp"
#include "evidence/axis_spectrum.hpp"

namespace bearingdsp::detail {

/// One axis at the shaft's orders.
struct AxisOrders {
  std::string name;
  bool axial{false};
  LineLevel one, two, three;
  double acceleration{0};     ///< mean square from 0.3 to 50 orders
  double velocity{0};         ///< mean square from 0.6 to 12.5 orders
  int whole_detected{0};      ///< of 3x .. 12x
  double whole_velocity{0};   ///< mean square of those standing
  int halves_detected{0};     ///< of 1.5x .. 6.5x; 0.5x masks in low-frequency noise too often
  double halves_velocity{0};  ///< mean square of those standing
  int thirds_detected{0};     ///< of 1/3x, 2/3x .. 10/3x without whole orders
  double thirds_velocity{0};  ///< mean square of those standing
  double skewness{0};         ///< of the displacement from 0.2 to 8 orders
};

struct ShaftFeatures {
  double shaft{0};        ///< Hz, refined on the lines; 0: no orders can be read
  double uncertainty{0};  ///< fraction
  bool calibrated{false};
  std::vector<AxisOrders> axes;
};

/// A line at a multiple of the mains is no sign of where 2x to 5x are: the
/// hum of a motor of four poles stands beside its 4x, within what a nominal speed leaves open.
[[nodiscard]] ShaftFeatures shaft_features(std::span<const AxisSpectrum> axes,
                                           const ShaftSpeed& speed, const Basis& basis,
                                           FftPlans& plans);

}  // namespace bearingdsp::detail
