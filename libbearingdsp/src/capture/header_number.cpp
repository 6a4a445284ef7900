#include "header_number.hpp"

#include <string>

#include "bearingdsp/core/letters.hpp"
#include "reader.hpp"

namespace bearingdsp::capture_detail {
namespace {

bool digit(std::string_view text, std::size_t at) noexcept {
  return at < text.size() && is_digit(text[at]);
}

std::size_t digits_from(std::string_view text, std::size_t at) noexcept {
  std::size_t n = 0;
  while (digit(text, at + n)) ++n;
  return n;
}

/// "25,600,000": the end of the last group, or 0 if there is none.
std::size_t groups_end(std::string_view text, std::size_t start, char group) noexcept {
  const std::size_t first = digits_from(text, start);
  if (first == 0 || first > 3 || text[start] == '0') return 0;
  std::size_t at = start + first;
  std::size_t groups = 0;
  while (at < text.size() && text[at] == group && digits_from(text, at + 1) == 3) {
    at += 4;
    ++groups;
  }
  return groups > 0 && !(at < text.size() && text[at] == group && digit(text, at + 1)) ? at : 0;
}

std::optional<HeaderNumber> grouped(std::string_view value, std::size_t start, char group,
                                    char decimal) {
  std::size_t end = groups_end(value, start, group);
  if (end == 0) return std::nullopt;
  if (end < value.size() && value[end] == decimal) end += 1 + digits_from(value, end + 1);
  std::string plain;
  for (const char c : value.substr(0, end))
    if (c != group) plain += c;
  const auto number = parse_number(plain, decimal);
  if (!number) return std::nullopt;
  return HeaderNumber{*number, end};
}

std::optional<HeaderNumber> plain(std::string_view value, char decimal) {
  std::size_t end = 0;
  while (end < value.size() &&
         (digit(value, end) || value[end] == decimal ||
          std::string_view{"+-eE"}.find(value[end]) != std::string_view::npos))
    ++end;
  // The longest number in front: "5e" of "5 elements" has none in its e.
  for (; end > 0; --end)
    if (const auto number = parse_number(value.substr(0, end), decimal))
      return HeaderNumber{*number, end};
  return std::nullopt;
}

}  // namespace

std::optional<HeaderNumber> header_number(std::string_view value, char decimal, bool list,
                                          bool kilo) {
  const std::size_t start = !value.empty() && (value[0] == '+' || value[0] == '-') ? 1 : 0;
  for (const char group : {' ', '\''})
    if (const auto n = grouped(value, start, group, decimal)) return n;
  const char other = decimal == '.' ? ',' : '.';
  const bool usable = other == '.' || !list;
  if (usable && !kilo)
    if (const auto n = grouped(value, start, other, decimal)) return n;
  const auto own = plain(value, decimal);
  // "12,8 kHz" above columns with a point, and the other way round.
  if (usable && own && own->length < value.size() && value[own->length] == other)
    if (const auto n = plain(value, other)) return n;
  return own;
}

bool whole_in_groups(std::string_view field) noexcept {
  const std::size_t start = !field.empty() && (field[0] == '+' || field[0] == '-') ? 1 : 0;
  return start < field.size() && groups_end(field, start, ',') == field.size();
}

}  // namespace bearingdsp::capture_detail
