#pragma once
/// Levels that no machine has.
#include <optional>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/finding.hpp"

namespace bearingdsp::capture_detail {

/// A blocking finding where the rms, mean removed, is beyond what a sensor on a bearing housing can
/// give: the unit, the sensitivity or the full scale is wrong. Units: of the samples
std::optional<Finding> implausible_level(double rms, SampleUnit unit);

}  // namespace bearingdsp::capture_detail
