#include "stamp.hpp"

#include <cmath>
#include <utility>

#include "bearingdsp/core/letters.hpp"
#include "reader.hpp"

namespace bearingdsp::capture_detail {
namespace {

std::optional<int> two_digits(std::string_view text, std::size_t at) noexcept {
  if (at + 2 > text.size()) return std::nullopt;
  const char a = text[at];
  const char b = text[at + 1];
  if (a < '0' || a > '9' || b < '0' || b > '9') return std::nullopt;
  return (a - '0') * 10 + (b - '0');
}

/// Takes digits from the front, at most two; nothing if there are none.
std::optional<int> front_number(std::string_view& text) noexcept {
  std::optional<int> value;
  for (int i = 0; i < 2 && !text.empty() && is_digit(text[0]); ++i) {
    value = value.value_or(0) * 10 + (text[0] - '0');
    text.remove_prefix(1);
  }
  return value;
}

bool takes(std::string_view& text, char c) noexcept {
  if (text.empty() || text[0] != c) return false;
  text.remove_prefix(1);
  return true;
}

/// Seconds since midnight of "6:00", "06:00:00.25", "6:00:00,25 PM", "00:12.5" (minutes, seconds).
std::optional<double> parse_clock(std::string_view text) noexcept {
  const auto first = front_number(text);
  if (!first || !takes(text, ':')) return std::nullopt;
  const std::size_t before = text.size();
  const auto second = front_number(text);
  if (!second || before - text.size() != 2) return std::nullopt;
  double hour = *first;
  double minute = *second;
  double seconds = 0;
  if (takes(text, ':')) {
    const auto whole = front_number(text);
    if (!whole) return std::nullopt;
    seconds = *whole;
  } else if (!text.empty() && (text[0] == '.' || text[0] == ',')) {
    hour = 0;
    minute = *first;
    seconds = *second;
  }
  if (hour > 23 || minute > 59 || seconds > 60) return std::nullopt;
  if (takes(text, '.') || takes(text, ',')) {
    double place = 0.1;
    for (; !text.empty() && is_digit(text[0]); place /= 10) {
      seconds += place * (text[0] - '0');
      text.remove_prefix(1);
    }
  }
  text = trim(text);
  if (text.size() == 2 && (text[1] == 'M' || text[1] == 'm')) {
    const bool after_noon = text[0] == 'P' || text[0] == 'p';
    if ((!after_noon && text[0] != 'A' && text[0] != 'a') || hour > 12) return std::nullopt;
    hour = std::fmod(hour, 12) + (after_noon ? 12 : 0);
    text = {};
  }
  if (!text.empty()) return std::nullopt;
  return hour * 3600.0 + minute * 60.0 + seconds;
}

}  // namespace

std::optional<double> parse_day(std::string_view text) noexcept {
  const auto at = [&](std::size_t i) { return i < text.size() ? text[i] : '\0'; };
  std::optional<int> century;
  std::optional<int> year;
  std::optional<int> month;
  std::optional<int> day;
  if (text.size() == 10 && at(4) == at(7) && (at(4) == '-' || at(4) == '/')) {
    century = two_digits(text, 0);
    year = two_digits(text, 2);
    month = two_digits(text, 5);
    day = two_digits(text, 8);
  } else if (text.size() == 10 && at(2) == at(5) && (at(2) == '.' || at(2) == '/')) {
    day = two_digits(text, 0);
    month = two_digits(text, 3);
    century = two_digits(text, 6);
    year = two_digits(text, 8);
    // With slashes both orders are in use; it matters only where a recording passes midnight.
    if (at(2) == '/' && day && month && *day <= 12) std::swap(day, month);
  }
  if (!century || !year || !month || !day || *month < 1 || *month > 12 || *day < 1 || *day > 31)
    return std::nullopt;
  // Days since 1970-01-01 in the proleptic Gregorian calendar, year counted from March.
  const int m = *month;
  const int y = *century * 100 + *year - (m <= 2 ? 1 : 0);
  const int era = y / 400;
  const int of_era = y - era * 400;
  const int of_year = (153 * (m + (m > 2 ? -3 : 9)) + 2) / 5 + *day - 1;
  return era * 146097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719468;
}

std::optional<Stamp> parse_stamp(std::string_view text) noexcept {
  text = trim(text);
  Stamp stamp;
  if (text.size() > 11 && (text[10] == 'T' || text[10] == ' '))
    stamp.day = parse_day(text.substr(0, 10));
  if (stamp.day) text = trim(text.substr(11));
  // The zone moves the start, not the axis.
  if (text.size() > 6 && (text[text.size() - 6] == '+' || text[text.size() - 6] == '-') &&
      text[text.size() - 3] == ':') {
    text.remove_suffix(6);
  } else if (!text.empty() && text.back() == 'Z') {
    text.remove_suffix(1);
  }
  const auto clock = parse_clock(text);
  if (!clock) return std::nullopt;
  stamp.seconds = *clock;
  return stamp;
}

}  // namespace bearingdsp::capture_detail
