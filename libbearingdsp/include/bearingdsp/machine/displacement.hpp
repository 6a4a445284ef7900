#pragma once
/// Displacement of slow machines as their standards state it: rms, of pumps from peak to peak.
#include <optional>
#include <string>

#include "bearingdsp/machine/limits.hpp"

namespace bearingdsp {

/// Metres from peak to peak of a vibration of one frequency: 2 sqrt(2) x rms. One of several
/// frequencies may have more.
/// Errors: none
/// Source: closed form
[[nodiscard]] double sine_peak_to_peak(DisplacementRms displacement) noexcept;

/// Displacement limits of a pump up to 600 rpm: 50, 80 and 130 um from peak to peak, which the
/// standard leaves to choice, as the rms of one frequency that has them.
/// Errors: none
/// Source: [iso10816-7] table A.1: secondary, a one-page summary
[[nodiscard]] DisplacementLimits pump_displacement_limits();

/// "29, 57, 90 µm rms" or, of pumps, "50, 80, 130 µm peak to peak": as the standard states them;
/// empty without limits of the displacement.
/// Errors: none
[[nodiscard]] std::string displacement_limit_words(const ZoneLimits& limits);
/// "29 µm rms"; beside the limits of a pump "82 µm peak to peak".
/// Errors: none
[[nodiscard]] std::string displacement_words(DisplacementRms displacement,
                                             const std::optional<ZoneLimits>& limits);

}  // namespace bearingdsp
