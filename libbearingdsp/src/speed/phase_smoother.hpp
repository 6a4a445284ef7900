#pragma once
/// The phase of a line through a recording, with its noise taken out.
#include <vector>

namespace bearingdsp::speed_detail {

/// The likeliest phases of a shaft whose rate wanders at random, given noisy ones at equal steps: a
/// Kalman filter and the backward pass of Rauch, Tung and Striebel. How much the rate wanders is
/// chosen by likelihood, one figure for the recording.
/// Shape:  phase [n] -> [n]; fewer than 8 come back as they are.
/// Unit: that of the phase
/// Errors: none
/// Source: [kalman1960], [rauch1965]
std::vector<double> smoothed_phase(const std::vector<double>& phase);

}  // namespace bearingdsp::speed_detail
