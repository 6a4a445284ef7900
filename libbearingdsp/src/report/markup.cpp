#include "markup.hpp"

#include <cstddef>

#include "utf8.hpp"

namespace bearingdsp {

std::string escaped(std::string_view text) {
  std::string out;
  for (const char c : printable(text)) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

std::string base64(std::span<const std::uint8_t> bytes) {
  constexpr std::string_view digits =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string out;
  out.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const std::size_t left = bytes.size() - i;
    const std::uint32_t three = (std::uint32_t{bytes[i]} << 16U) |
                                (left > 1 ? std::uint32_t{bytes[i + 1]} << 8U : 0U) |
                                (left > 2 ? std::uint32_t{bytes[i + 2]} : 0U);
    for (unsigned k = 0; k < 4; ++k)
      out += k <= left ? digits[(three >> (18U - 6U * k)) & 63U] : '=';
  }
  return out;
}

}  // namespace bearingdsp
