#include "utf8.hpp"

#include <algorithm>
#include <array>
#include <cstdint>

#include "bearingdsp/report/text.hpp"

namespace bearingdsp {
namespace {

struct Decoded {
  std::uint32_t code{0};
  std::size_t bytes{1};
  bool valid{false};
};

/// Decodes the character at the front (text is not empty). Overlong forms, surrogates and values
/// above U+10FFFF are not valid [RFC 3629].
Decoded front(std::string_view text) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char lead = byte(0);
  if (lead < 0x80) return {lead, 1, true};
  std::size_t length = 0;
  std::uint32_t code = 0;
  std::uint32_t least = 0;
  if (lead >= 0xc2 && lead <= 0xdf) {
    length = 2, code = lead & 0x1fU, least = 0x80;
  } else if (lead >= 0xe0 && lead <= 0xef) {
    length = 3, code = lead & 0x0fU, least = 0x800;
  } else if (lead >= 0xf0 && lead <= 0xf4) {
    length = 4, code = lead & 0x07U, least = 0x10000;
  } else {
    return {0xfffd, 1, false};
  }
  if (text.size() < length) return {0xfffd, 1, false};
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(i) & 0xc0U) != 0x80U) return {0xfffd, 1, false};
    code = (code << 6U) | (byte(i) & 0x3fU);
  }
  if (code < least || code > 0x10ffff || (code >= 0xd800 && code <= 0xdfff))
    return {0xfffd, 1, false};
  return {code, length, true};
}

struct Range {
  std::uint32_t first, last;
};
template <std::size_t N>
bool within(std::uint32_t code, const std::array<Range, N>& ranges) {
  return std::any_of(ranges.begin(), ranges.end(),
                     [code](const Range& r) { return code >= r.first && code <= r.last; });
}

constexpr std::array<Range, 7> zero_width{{{0x300, 0x36f},
                                           {0x1ab0, 0x1aff},
                                           {0x1dc0, 0x1dff},
                                           {0x200b, 0x200f},
                                           {0x20d0, 0x20ff},
                                           {0xfe00, 0xfe0f},
                                           {0xfe20, 0xfe2f}}};
constexpr std::array<Range, 9> wide{{{0x1100, 0x115f},
                                     {0x2e80, 0xa4cf},
                                     {0xac00, 0xd7a3},
                                     {0xf900, 0xfaff},
                                     {0xfe30, 0xfe6f},
                                     {0xff00, 0xff60},
                                     {0xffe0, 0xffe6},
                                     {0x1f300, 0x1faff},
                                     {0x20000, 0x3fffd}}};

std::size_t width_of(const Decoded& d) {
  if (!d.valid) return 1;
  if (within(d.code, zero_width)) return 0;
  return within(d.code, wide) ? 2 : 1;
}

bool control(std::uint32_t code) {
  // C0, DEL and C1; and the marks that reorder a line, which could make a name read as another.
  return code < 0x20 || (code >= 0x7f && code < 0xa0) || (code >= 0x202a && code <= 0x202e) ||
         (code >= 0x2066 && code <= 0x2069);
}

}  // namespace

std::size_t display_width(std::string_view utf8) {
  std::size_t width = 0;
  while (!utf8.empty()) {
    const Decoded d = front(utf8);
    width += width_of(d);
    utf8.remove_prefix(d.bytes);
  }
  return width;
}

std::string printable(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  while (!text.empty()) {
    const Decoded d = front(text);
    if (!d.valid || control(d.code)) {
      out += "\xef\xbf\xbd";
    } else {
      out += text.substr(0, d.bytes);
    }
    text.remove_prefix(d.bytes);
  }
  return out;
}

std::string padded(std::string_view text, std::size_t columns, bool to_the_right) {
  const std::size_t width = display_width(text);
  const std::string blanks(columns > width ? columns - width : 0, ' ');
  return to_the_right ? blanks + std::string{text} : std::string{text} + blanks;
}

std::vector<std::string> wrapped(std::string_view text, std::size_t columns) {
  columns = std::max<std::size_t>(columns, 1);
  std::vector<std::string> lines(1);
  std::size_t used = 0;
  while (!text.empty()) {
    const std::size_t start = text.find_first_not_of(' ');
    if (start == std::string_view::npos) break;
    text.remove_prefix(start);
    std::string_view word = text.substr(0, text.find(' '));
    text.remove_prefix(word.size());
    const std::size_t width = display_width(word);
    if (used > 0 && used + 1 + width > columns) lines.emplace_back(), used = 0;
    if (used > 0) lines.back() += ' ', ++used;
    if (used + width <= columns) {
      lines.back() += word;
      used += width;
      continue;
    }
    while (!word.empty()) {  // longer than a line: cut it
      const Decoded d = front(word);
      if (used > 0 && used + width_of(d) > columns) lines.emplace_back(), used = 0;
      lines.back() += word.substr(0, d.bytes);
      used += width_of(d);
      word.remove_prefix(d.bytes);
    }
  }
  return lines;
}

}  // namespace bearingdsp
