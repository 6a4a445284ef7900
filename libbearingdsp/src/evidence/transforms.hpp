#pragma once
/// other_causes() for a caller that has the transforms of the axes already.
#include <complex>
#include <span>
#include <string>
#include <vector>

#include "bearingdsp/evidence/other_causes.hpp"

namespace bearingdsp::detail {

/// known: forward transforms of the axes' first good_fft_size_below(n) samples, the line at 0 Hz set
/// to 0.
/// Shape: one for each axis, or none: then they are made.
[[nodiscard]] std::vector<CauseEvidence> other_causes(
    std::span<const SignalView> axes,
    const std::vector<std::span<const std::complex<double>>>& known,
    std::span<const std::string> axis_names, const ShaftSpeed& speed,
    const OtherCauseOptions& options, FftPlans& plans, const ModelParameters& model);

}  // namespace bearingdsp::detail
