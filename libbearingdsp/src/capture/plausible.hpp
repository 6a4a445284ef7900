#pragma once
/// Levels that no machine has.
#include <optional>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/finding.hpp"

namespace bearingdsp::capture_detail {

/// m/s rms: 180 times the limit of zone D of the largest machines (11 mm/s, ISO 20816-3).
inline constexpr double max_plausible_velocity = 2.0;

/// A blocking finding where the rms, mean removed, is beyond what a sensor on a bearing housing can
/// give: the unit, the sensitivity or the full scale is wrong.
/// Units: of the samples
std::optional<Finding> implausible_level(double rms, SampleUnit unit);

}  // namespace bearingdsp::capture_detail
