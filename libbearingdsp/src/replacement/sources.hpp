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
/// Of what was read of workshop practice: docs/sources.md, "Workshop practice".
inline constexpr std::string_view tribology_handbook = "tribology handbook (workshop practice 1)";
inline constexpr std::string_view belt_page =
    "a bearing manufacturer's page on belts (workshop practice 2)";
inline constexpr std::string_view min_load_page =
    "a bearing manufacturer's catalogue on the web (workshop practice 3)";
inline constexpr std::string_view insulation_guide =
    "a test guide for insulated bearings (workshop practice 4)";
inline constexpr std::string_view environment_page =
    "a bearing manufacturer's pages on lubrication (workshop practice 5)";
inline constexpr std::string_view grease_chart =
    "US Bureau of Reclamation, FIST 2-4, 1990, table 2 (workshop practice 6)";
inline constexpr std::string_view viscosity_code =
    "ISO 281, as in a public lubrication calculator (workshop practice 7)";
inline constexpr std::string_view key_mark =
    "ISO 21940-32, abstract; a motor manufacturer's data sheet; N from memory";

}  // namespace bearingdsp::sources
