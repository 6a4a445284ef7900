#pragma once
/// Text inside HTML and SVG.
#include <cstdint>
#include <span>
#include <string>
#include <string_view>

namespace bearingdsp {

/// Safe between tags and inside a quoted attribute: what could end either is an entity, control
/// characters and bytes that are not UTF-8 are replaced.
[[nodiscard]] std::string escaped(std::string_view text);
/// Source: [rfc4648] section 4
[[nodiscard]] std::string base64(std::span<const std::uint8_t> bytes);

}  // namespace bearingdsp
