#pragma once
/// UTF-8, a character at a time.
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace bearingdsp::utf8 {

struct Decoded {
  std::uint32_t code{0};
  std::size_t bytes{1};
  bool valid{false};
};

/// Decodes the character at the front (text is not empty). Overlong forms, surrogates and values
/// above U+10FFFF are not valid [rfc3629].
[[nodiscard]] Decoded front(std::string_view text) noexcept;

}  // namespace bearingdsp::utf8
