#pragma once
/// Pulse times of a shaft that turns smoothly, with the scatter of the pulses taken out.
#include <vector>

namespace bearingdsp::speed_detail {

struct SmoothPulses {
  std::vector<double> time;  ///< s, as many as there were, rising
  double scatter{0};         ///< of the pulses about them, rms, s
  double left{0};            ///< what of it is left in `time`, rms, s
};

/// The smoothest times that predict the pulses as well as any others: second differences are
/// penalised, how much is chosen by generalised cross-validation; a straight line (even rotation)
/// is among what is tried. A shaft's inertia keeps its angle smooth from one revolution to the
/// next; the scatter of a trigger is independent from pulse to pulse.
/// Shape:  t [n], rising, one entry an equal step of the angle, n >= 8
/// Errors: none; fewer than 8 come back as they are
/// Source: penalised least squares [whittaker1923]; choice of the penalty [craven1979]
SmoothPulses smooth_pulses(const std::vector<double>& t);

/// Whether uneven intervals come from scatter of the single pulses about an even motion: a pulse
/// that is late makes one interval longer and the next shorter, so that neighbours correlate with
/// -1/2. In a train of random pulses they do not.
/// Source: closed form, differences of independent values
bool scattered_pulses(const std::vector<double>& t);

}  // namespace bearingdsp::speed_detail
