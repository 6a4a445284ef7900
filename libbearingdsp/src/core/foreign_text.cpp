#include "bearingdsp/core/foreign_text.hpp"

#include <cstddef>

#include "bearingdsp/core/letters.hpp"
#include "core/utf8.hpp"

namespace bearingdsp {
namespace utf8 {

Decoded front(std::string_view text) noexcept {
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

}  // namespace utf8

namespace {

constexpr std::string_view digits = "0123456789abcdef";

/// "\x1b" or "\u202e"; all that is escaped has at most four digits.
std::string escape(std::uint32_t code, bool always_four) {
  const unsigned digits_wanted = always_four || code > 0xff ? 4 : 2;
  std::string out = digits_wanted == 4 ? "\\u" : "\\x";
  for (unsigned d = digits_wanted; d-- > 0;) out += digits[(code >> (4 * d)) & 15U];
  return out;
}

/// C0, DEL and C1 steer a terminal; the others reorder a line, so that a name reads as another, or
/// break it.
bool steers(std::uint32_t code) noexcept {
  return code < 0x20 || (code >= 0x7f && code < 0xa0) || code == 0x61c || code == 0x200e ||
         code == 0x200f || (code >= 0x2028 && code <= 0x202e) || (code >= 0x2066 && code <= 0x2069);
}

/// The text with escapes for what steers, but for the ASCII characters to keep.
std::string visible(std::string_view text, std::string_view keep = "") {
  std::string out;
  out.reserve(text.size());
  while (!text.empty()) {
    const utf8::Decoded d = utf8::front(text);
    const bool kept = d.valid && keep.find(text.front()) != std::string_view::npos;
    if (!d.valid)
      out += escape(static_cast<unsigned char>(text.front()), false);
    else if (steers(d.code) && !kept)
      out += escape(d.code, false);
    else
      out += text.substr(0, d.bytes);
    text.remove_prefix(d.bytes);
  }
  return out;
}

std::string as_html(std::string_view text) {
  std::string out;
  for (const char c : text) switch (c) {
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
  return out;
}

/// Whether the underscores around here mean emphasis: on one side of a word. A blank to fill in and
/// a name like M_1_a read better without escapes.
bool emphasises(std::string_view text, std::size_t i) noexcept {
  std::size_t first = i;
  std::size_t last = i;
  while (first > 0 && text[first - 1] == '_') --first;
  while (last + 1 < text.size() && text[last + 1] == '_') ++last;
  return (first > 0 && in_word(text[first - 1])) !=
         (last + 1 < text.size() && in_word(text[last + 1]));
}

/// Entities where a tag could begin: not every renderer of Markdown knows the backslash there.
std::string as_markdown(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '<' || c == '>' || c == '&') {
      out += as_html({&c, 1});
      continue;
    }
    const bool marks = std::string_view{"\\`*[]|~"}.find(c) != std::string_view::npos;
    if (marks || (c == '_' && emphasises(text, i))) out += '\\';
    out += c;
  }
  return out;
}

/// Whether a spreadsheet would calculate it; marks put before it do not count.
bool is_formula(std::string_view cell) noexcept {
  const std::size_t at = cell.find_first_not_of('\'');
  return at != cell.npos && std::string_view{"=+-@\t\r"}.find(cell[at]) != std::string_view::npos;
}

std::string as_cell(std::string_view text) {
  std::string cell = visible(text, "\t\r\n");
  if (is_formula(cell)) cell.insert(0, 1, '\'');
  if (cell.find_first_of(",\"\r\n") == std::string::npos) return cell;
  std::string out{"\""};
  for (const char c : cell) {
    if (c == '"') out += '"';
    out += c;
  }
  return out += '"';
}

/// A document holds such characters in its strings alone, apart from the line breaks and blanks of
/// its layout.
std::string as_json(std::string_view document) {
  std::string out;
  out.reserve(document.size());
  while (!document.empty()) {
    const utf8::Decoded d = utf8::front(document);
    if (d.valid && d.code >= 0x20 && steers(d.code))
      out += escape(d.code, true);
    else
      out += document.substr(0, d.bytes);
    document.remove_prefix(d.bytes);
  }
  return out;
}

}  // namespace

std::string safe_text(std::string_view text, Medium medium) {
  switch (medium) {
    case Medium::terminal:
      return visible(text);
    case Medium::csv:
      return as_cell(text);
    case Medium::markdown:
      return as_markdown(visible(text));
    case Medium::html:
      return as_html(visible(text));
    case Medium::json:
      return as_json(text);
  }
  return visible(text);
}

std::string_view csv_content(std::string_view cell) noexcept {
  return cell.starts_with('\'') && is_formula(cell) ? cell.substr(1) : cell;
}

}  // namespace bearingdsp
