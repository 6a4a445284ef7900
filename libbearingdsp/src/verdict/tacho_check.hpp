#pragma once
/// A tacho's speed against the one that was given.
#include <span>

#include "bearingdsp/speed/estimate.hpp"
#include "bearingdsp/speed/tacho.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

/// What is believed where a tacho and a given speed were compared.
enum class TachoTrust {
  tacho,      ///< they agree, or the vibration shows the tacho's speed
  recounted,  ///< the tacho with another number of pulses per revolution
  given,      ///< the vibration shows the given speed: the tacho is left out
  neither,    ///< the vibration does not decide: the speed is open
};
struct TachoChecked {
  TachoTrust trust{TachoTrust::tacho};
  double pulses_per_revolution{1};  ///< of the tacho, where recounted
  double confidence{1};             ///< that this is right; 1 where nothing contradicts
  std::string why;                  ///< where neither: both speeds
};

/// Compares the tacho's speed with the given one, or with the given range. Where they contradict
/// each other, the one at whose multiples the vibration has its lines is believed, if the other
/// explains the lines clearly less well; a finding says what was seen and what to do. A ratio near
/// a whole number (or one over it) means another number of pulses per revolution.
/// uneven: the speed changed so much that lines smear; the axes are read at even steps of the
/// tacho's angle then. Shape, errors: as estimate_speed()
TachoChecked check_tacho(const TachoReading& reading, std::span<const SignalView> axes,
                         const DiagnoseOptions& options, bool uneven, FftPlans& plans,
                         Findings& findings);

}  // namespace bearingdsp
