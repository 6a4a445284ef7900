#pragma once
/// The angle of a shaft, refined from the phase of its harmonics.
#include <vector>

#include "bearingdsp/core/model.hpp"
#include "slow_copy.hpp"

namespace bearingdsp::speed_detail {

struct FollowedAngle {
  std::vector<double> angle;  ///< revolutions, at each sample of the slow copies
  double error{0};            ///< one standard deviation, revolutions
  int harmonic{0};            ///< on which it was fixed last; 0: none stands clear
};

/// Sharpens an angle that is known roughly, from low harmonics to high ones, so that the phase
/// never turns by half a cycle between blocks.
/// Source: [bonnardot2005]
FollowedAngle follow_phase(const std::vector<SlowCopy>& axes, std::vector<double> angle,
                           double mean_rate, const TrackModel& model);

}  // namespace bearingdsp::speed_detail
