#pragma once
/// One random stream a cause, so that adding one cause leaves the others as they were.
#include <cstdint>

namespace bearingdsp::simulation::stream {
inline constexpr std::uint64_t motion = 1;
inline constexpr std::uint64_t white_noise = 2;
inline constexpr std::uint64_t resonant_noise = 3;
inline constexpr std::uint64_t lines = 4;
inline constexpr std::uint64_t mains = 5;
inline constexpr std::uint64_t shocks = 6;
inline constexpr std::uint64_t defects = 16;  ///< and following, one a defect
}  // namespace bearingdsp::simulation::stream
