#pragma once
/// Names of sources as they are printed; docs/sources.md says what was read in each.
#include <string_view>

namespace bearingdsp::sources {

inline constexpr std::string_view practice = "common practice, no source";
inline constexpr std::string_view three_limits = "manufacturers' catalogues A, B and F";
inline constexpr std::string_view catalogue_a = "manufacturer's catalogue A";
inline constexpr std::string_view catalogue_b = "manufacturer's catalogue B";
inline constexpr std::string_view catalogue_d = "manufacturer's catalogue D";
inline constexpr std::string_view catalogue_e = "manufacturer's catalogue E";
inline constexpr std::string_view naming = "designation";

}  // namespace bearingdsp::sources
