#pragma once
/// Stages of speed/ for a caller that has the transforms of the axes already.
#include <complex>
#include <span>
#include <vector>

#include "bearingdsp/speed/order_tracking.hpp"

namespace bearingdsp::speed_detail {

/// Forward transforms of the axes' first good_fft_size_below(n) samples, the line at 0 Hz set to 0.
/// Shape: one for each axis, or none: then they are made.
using Transforms = std::vector<std::span<const std::complex<double>>>;

/// As speed_lines() and track_from_vibration().
[[nodiscard]] SpeedLines speed_lines(std::span<const SignalView> axes, const Transforms& known,
                                     FftPlans& plans, const ModelParameters& model);
[[nodiscard]] Result<PhaseTrack> track_from_vibration(std::span<const SignalView> axes,
                                                      const Transforms& known, FftPlans& plans,
                                                      const TrackOptions& options,
                                                      const ModelParameters& model);

}  // namespace bearingdsp::speed_detail
