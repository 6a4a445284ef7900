#include "markup.hpp"

#include <array>
#include <cstddef>

#include "bearingdsp/core/foreign_text.hpp"
#include "bearingdsp/history/hash.hpp"

namespace bearingdsp {

std::string escaped(std::string_view text) { return safe_text(text, Medium::html); }
std::string in_markdown(std::string_view text) { return safe_text(text, Medium::markdown); }

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

namespace {

/// 'sha256-...' of a script or style element's text, as [csp3] has it.
std::string allowed(std::string_view text) {
  if (text.empty()) return "'none'";
  const std::string hex = sha256(std::as_bytes(std::span{text.data(), text.size()}));
  std::array<std::uint8_t, 32> bytes{};
  const auto nibble = [](char c) { return c <= '9' ? c - '0' : c - 'a' + 10; };
  for (std::size_t i = 0; i < bytes.size(); ++i)
    bytes.at(i) = static_cast<std::uint8_t>(nibble(hex[2 * i]) * 16 + nibble(hex[2 * i + 1]));
  return "'sha256-" + base64(bytes) + "'";
}

}  // namespace

std::string content_policy(std::string_view style, std::string_view script) {
  return "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src "
         "data:; style-src " +
         allowed(style) + "; script-src " + allowed(script) +
         "; base-uri 'none'; form-action 'none'\">\n";
}

}  // namespace bearingdsp
