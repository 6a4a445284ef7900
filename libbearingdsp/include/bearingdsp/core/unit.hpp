#pragma once
/// Units of sample arrays, and the few conversions at the edges. Inside, acceleration is m/s^2,
/// velocity m/s, displacement m; g and mm/s exist only where a person reads or a file says so.
#include <cstdint>
#include <string_view>

namespace bearingdsp {

/// Unit of the samples of one channel.
enum class SampleUnit : std::uint8_t {
  acceleration,  ///< m/s^2
  velocity,      ///< m/s
  displacement,  ///< m
  volt,          ///< V, sensor sensitivity unknown
  revolution,    ///< shaft marker of a tacho or keyphasor; amplitude has no meaning
  uncalibrated,  ///< digital full scale or any unit not stated
};

inline constexpr double standard_gravity = 9.80665;  ///< m/s^2, ISO 80000-3 (exact by definition)

[[nodiscard]] constexpr double from_g(double g) noexcept { return g * standard_gravity; }
[[nodiscard]] constexpr double in_g(double metres_per_second2) noexcept {
  return metres_per_second2 / standard_gravity;
}
[[nodiscard]] constexpr double from_mm_per_s(double v) noexcept { return v * 1e-3; }
[[nodiscard]] constexpr double in_mm_per_s(double metres_per_second) noexcept {
  return metres_per_second * 1e3;
}

/// Symbol of the unit as it is written beside a number ("m/s2", "m/s", "m", "V", "rev", "1").
[[nodiscard]] std::string_view symbol(SampleUnit unit) noexcept;

}  // namespace bearingdsp
