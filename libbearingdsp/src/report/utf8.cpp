#include "utf8.hpp"

#include <algorithm>
#include <array>
#include <cstdint>

#include "bearingdsp/core/foreign_text.hpp"
#include "bearingdsp/report/text.hpp"
#include "core/utf8.hpp"

namespace bearingdsp {

using utf8::Decoded;
using utf8::front;

namespace {

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

std::string printable(std::string_view text) { return safe_text(text, Medium::terminal); }

std::string padded(std::string_view text, std::size_t columns, bool to_the_right) {
  const std::size_t width = display_width(text);
  const std::string blanks(columns > width ? columns - width : 0, ' ');
  return to_the_right ? blanks + std::string{text} : std::string{text} + blanks;
}

namespace {

/// Length of what stays in one line: a word, with "%" behind a number and a number behind "<" or
/// ">".
std::size_t unbroken(std::string_view text) {
  std::size_t end = std::min(text.find(' '), text.size());
  const auto next = [&] { end = std::min(text.find(' ', end + 1), text.size()); };
  if (end < text.size() && end > 0 && (text[end - 1] == '<' || text[end - 1] == '>')) next();
  if (text.substr(end).starts_with(" %")) next();
  return end;
}

}  // namespace

std::vector<std::string> wrapped(std::string_view text, std::size_t columns) {
  columns = std::max<std::size_t>(columns, 1);
  std::vector<std::string> lines(1);
  std::size_t used = 0;
  while (!text.empty()) {
    const std::size_t start = text.find_first_not_of(' ');
    if (start == std::string_view::npos) break;
    text.remove_prefix(start);
    std::string_view word = text.substr(0, unbroken(text));
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
