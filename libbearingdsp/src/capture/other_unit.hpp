#pragma once
/// Units of what a file states beside its samples; those of samples are in file_unit.hpp.
#include <optional>
#include <string_view>

namespace bearingdsp::capture_detail {

/// Seconds in one of a unit of time.
std::optional<double> seconds_in(std::string_view unit);
/// Revolutions per minute in one of a unit of speed, or in 1 Hz.
std::optional<double> rpm_in(std::string_view unit);
/// Whether it is a unit of what goes along with a vibration: speed, temperature, current, power ...
bool companion_unit(std::string_view unit);

}  // namespace bearingdsp::capture_detail
