#include "bearingdsp/speed/shaft_speed.hpp"

namespace bearingdsp {

std::string_view token(SpeedMethod method) noexcept {
  switch (method) {
    case SpeedMethod::not_found:
      return "not found";
    case SpeedMethod::given:
      return "given";
    case SpeedMethod::given_refined:
      return "given, refined";
    case SpeedMethod::tacho:
      return "tacho";
    case SpeedMethod::harmonic_comb:
      return "shaft harmonics";
    case SpeedMethod::defect_comb:
      return "defect family";
    case SpeedMethod::followed:
      return "followed";
  }
  return "not found";
}

}  // namespace bearingdsp
