#pragma once
/// The shades of a map, from the lowest value to the highest: even steps of lightness, falling all
/// the way, so that they order themselves for every eye and in grey print. On a dark page they run
/// the other way round.
/// Source: why even lightness [crameri2020]; the colours are our own.
#include <array>
#include <cstdint>

namespace bearingdsp {

/// 0xRRGGBB, sRGB.
inline constexpr std::array<std::uint32_t, 33> shades{
    0xFBF9F3, 0xF7F1E4, 0xF3E9D4, 0xF0E1C4, 0xEDD9B5, 0xEAD1A6, 0xE7C997, 0xE4C088, 0xE2B779,
    0xDFAF6B, 0xDDA65D, 0xDB9C4F, 0xD89349, 0xD58945, 0xD28042, 0xCF763F, 0xCB6C3D, 0xC7633B,
    0xC3593A, 0xBF4F39, 0xB8463B, 0xB13E3E, 0xA83640, 0xA02F42, 0x972843, 0x8D2344, 0x821E45,
    0x761C48, 0x691B49, 0x5B1B49, 0x4D1A48, 0x3F1A45, 0x311942};

}  // namespace bearingdsp
