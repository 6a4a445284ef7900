#pragma once
/// May two greases meet in one bearing?
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/token.hpp"

namespace bearingdsp {

enum class GreaseMix : std::uint8_t { compatible, borderline, incompatible };
/// "compatible", "borderline", "incompatible".
[[nodiscard]] std::string_view token(GreaseMix mix) noexcept;

/// Thickeners of the table, in its words: "lithium", "lithium complex", "polyurea" ...
[[nodiscard]] const std::vector<std::string>& thickeners();

/// The word of the table for a thickener: any case; "clay" for bentonite, "aluminium" also as
/// written in America.
/// Errors: not_found: another word, with the words that are known
[[nodiscard]] Result<std::string> thickener(std::string_view word);

/// The thickener that free words name: "lithium complex grease, 2024" is "lithium complex". Empty
/// where they name none, or two that are not one within the other.
[[nodiscard]] std::string thickener_in(std::string_view words);

/// Compatibility of two thickeners of thickeners(). Charts disagree with one another and leave oil
/// and additives out; the test is ASTM D6185.
/// Errors: those of thickener(); not_found: the table has no entry for the pair
/// Source: data/grease_compatibility.csv (US Bureau of Reclamation, FIST 2-4, 1990, table 2)
[[nodiscard]] Result<GreaseMix> grease_mix(std::string_view one, std::string_view other);

}  // namespace bearingdsp
