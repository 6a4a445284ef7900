#include "bearing/special_bore.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <tuple>
#include <utility>

#include "bearingdsp/core/letters.hpp"

namespace bearingdsp {
namespace {

bool separator(char c) { return c == ' ' || c == '-' || c == '/' || c == '_'; }

/// Index behind a number 60xx, 62xx or 63xx, and its plain bore.
std::optional<std::pair<std::size_t, double>> basic_number(std::string_view t) {
  for (std::size_t i = 0; i + 4 <= t.size(); ++i) {
    if (i > 0 && is_digit(t[i - 1])) continue;
    const auto group = t.substr(i, 4);
    if (!std::all_of(group.begin(), group.end(), is_digit)) continue;
    if (i + 4 < t.size() && is_digit(t[i + 4])) continue;
    if (group[0] != '6' || (group[1] != '0' && group[1] != '2' && group[1] != '3')) return {};
    constexpr std::array smallest{10.0, 12.0, 15.0, 17.0};
    const auto code = static_cast<std::size_t>(10 * (group[2] - '0') + (group[3] - '0'));
    if (code > 22) return {};
    return std::pair{i + 4,
                     code < smallest.size() ? smallest.at(code) : 5.0 * static_cast<double>(code)};
  }
  return {};
}

/// Digits from an index: value and index behind.
std::pair<int, std::size_t> digits(std::string_view t, std::size_t at) {
  int value = 0;
  std::size_t end = at;
  for (; end < t.size() && end < at + 2 && is_digit(t[end]); ++end)
    value = 10 * value + (t[end] - '0');
  if (end < t.size() && is_digit(t[end])) return {0, at};
  return {value, end};
}

constexpr double inch_mm = 25.4;
constexpr double furthest = 4.6;  // mm from the plain bore: 6203-1/2 is 4.3 away

std::string without(std::string_view t, std::size_t from, std::size_t to) {
  std::string rest{t.substr(0, from)};
  if (to < t.size()) rest += ' ' + std::string{t.substr(to)};
  return rest;
}

/// A fraction of an inch set apart, "5/8" or "1-1/8", anywhere behind the number.
std::optional<SpecialBore> fraction(std::string_view t, std::size_t behind, double plain) {
  for (std::size_t i = behind; i < t.size(); ++i) {
    if (!is_digit(t[i]) || !separator(t[i - 1])) continue;
    std::size_t at = i;
    int whole = 0;
    auto [upper, slash] = digits(t, at);
    if (slash < t.size() && slash > at && (t[slash] == '-' || t[slash] == ' ') &&
        slash + 1 < t.size() && is_digit(t[slash + 1])) {
      whole = upper;
      at = slash + 1;
      std::tie(upper, slash) = digits(t, at);
    }
    if (slash == at || slash >= t.size() || t[slash] != '/') continue;
    const auto [lower, end] = digits(t, slash + 1);
    constexpr std::array halves{1, 2, 4, 8, 16, 32};
    const bool one_inch = upper == 1 && lower == 1;  // 6205-16 written out
    if (std::find(halves.begin(), halves.end(), lower) == halves.end() || upper < 1 ||
        (upper >= lower && !one_inch))
      continue;
    const double mm = inch_mm * (whole + static_cast<double>(upper) / lower);
    if (std::abs(mm - plain) > furthest) continue;
    const std::size_t from = std::max(behind, i - 1);
    return SpecialBore{whole > 0 ? fmt::format("{}-{}/{}", whole, upper, lower)
                                 : fmt::format("{}/{}", upper, lower),
                       mm, without(t, from, end)};
  }
  return {};
}

}  // namespace

std::optional<SpecialBore> find_special_bore(std::string_view t) {
  const auto basic = basic_number(t);
  if (!basic) return {};
  const auto [behind, plain] = *basic;
  if (auto found = fraction(t, behind, plain)) return found;
  if (behind + 2 >= t.size() || (t[behind] != '/' && t[behind] != '-')) return {};
  const auto [value, end] = digits(t, behind + 1);
  if (end == behind + 1 || value < 5 || (end < t.size() && !separator(t[end]))) return {};
  const double metric = std::abs(value - plain);
  const double sixteenths = std::abs(value * inch_mm / 16 - plain);
  const bool listed = value == 8 || value == 10 || value == 12 || value == 14 || value == 16;
  if (t[behind] == '-' && listed && sixteenths < metric && sixteenths <= furthest) {
    const int upper = value % 16 == 0 ? 0 : value;
    if (upper == 0) return SpecialBore{"1/1", inch_mm, without(t, behind, end)};
    int part = upper, whole = 16;
    while (part % 2 == 0) part /= 2, whole /= 2;
    return SpecialBore{fmt::format("{}/{}", part, whole), value * inch_mm / 16,
                       without(t, behind, end)};
  }
  if (metric < 0.5 || metric > furthest) return {};
  return SpecialBore{fmt::format("{}", value), static_cast<double>(value), without(t, behind, end)};
}

}  // namespace bearingdsp
