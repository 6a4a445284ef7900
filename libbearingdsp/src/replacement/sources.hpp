#pragma once
/// Names of sources as they are printed; docs/sources.md says what was read in each.
#include <string_view>

namespace bearingdsp::sources {

inline constexpr std::string_view practice = "common practice, no source";
inline constexpr std::string_view three_limits = "makers' catalogues A, B and F";
inline constexpr std::string_view catalogue_a = "maker's catalogue A";
inline constexpr std::string_view catalogue_b = "maker's catalogue B";
inline constexpr std::string_view catalogue_d = "maker's catalogue D";
inline constexpr std::string_view catalogue_e = "maker's catalogue E";
inline constexpr std::string_view naming = "designation";

}  // namespace bearingdsp::sources
