#pragma once
/// Text inside HTML and SVG.
#include <cstdint>
#include <span>
#include <string>
#include <string_view>

namespace bearingdsp {

/// safe_text() for HTML and SVG.
[[nodiscard]] std::string escaped(std::string_view text);
/// safe_text() for Markdown.
[[nodiscard]] std::string in_markdown(std::string_view text);
/// Source: [rfc4648] section 4
[[nodiscard]] std::string base64(std::span<const std::uint8_t> bytes);

/// The element by which a page forbids itself every script and style but these (as they are in
/// their elements; empty: none), and to load or send anything.
/// Source: [csp3]
[[nodiscard]] std::string content_policy(std::string_view style, std::string_view script);

}  // namespace bearingdsp
