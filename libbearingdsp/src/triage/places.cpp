#include "bearingdsp/triage/triage.hpp"

namespace bearingdsp {

std::string_view token(MotorPlace place) noexcept {
  switch (place) {
    case MotorPlace::de_horizontal:
      return "DE horizontal";
    case MotorPlace::de_vertical:
      return "DE vertical";
    case MotorPlace::de_axial:
      return "DE axial";
    case MotorPlace::nde_horizontal:
      return "NDE horizontal";
    case MotorPlace::nde_vertical:
      return "NDE vertical";
    case MotorPlace::nde_axial:
      return "NDE axial";
    case MotorPlace::frame:
      return "frame";
    case MotorPlace::feet:
      return "feet";
    case MotorPlace::base:
      return "base";
  }
  return "frame";
}

std::string_view place_words(MotorPlace place) noexcept {
  switch (place) {
    case MotorPlace::de_horizontal:
      return "on the end shield beside the bearing, at shaft height: unbalance, bearing impacts";
    case MotorPlace::de_vertical:
      return "on the end shield above the bearing: the loaded side of a belt that pulls upwards";
    case MotorPlace::de_axial:
      return "on the end shield, along the shaft: misalignment, bent shaft, axial force";
    case MotorPlace::nde_horizontal:
      return "on the end shield under the fan cowl or on its rim, not on the sheet of the cowl";
    case MotorPlace::nde_vertical:
      return "on the end shield above the bearing, not on the sheet of the cowl";
    case MotorPlace::nde_axial:
      return "on the end shield through the grid if it is safe, never on the sheet of the cowl";
    case MotorPlace::frame:
      return "on the frame between the feet: hum of the magnetic field";
    case MotorPlace::feet:
      return "vertically on each foot, one after the other: loose or soft foot";
    case MotorPlace::base:
      return "on the base beside each foot: what the foot moves more than the base is looseness";
  }
  return "";
}

}  // namespace bearingdsp
