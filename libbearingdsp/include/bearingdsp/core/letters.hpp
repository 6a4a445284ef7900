#pragma once

#include <string>
#include <string_view>

/// Letters and figures of ASCII, whatever the locale. Errors of all: none.
namespace bearingdsp {

[[nodiscard]] constexpr bool is_digit(char c) noexcept { return c >= '0' && c <= '9'; }

/// What is not a capital stays as it is.
[[nodiscard]] constexpr char lower(char c) noexcept {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

/// What is not a small letter stays as it is.
[[nodiscard]] constexpr char upper(char c) noexcept {
  return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
}

[[nodiscard]] constexpr bool is_letter(char c) noexcept {
  return upper(c) >= 'A' && upper(c) <= 'Z';
}

/// A letter, a figure, or a byte of a character beyond ASCII.
[[nodiscard]] constexpr bool in_word(char c) noexcept {
  return is_letter(c) || is_digit(c) || static_cast<unsigned char>(c) >= 0x80;
}

[[nodiscard]] inline std::string lower(std::string_view text) {
  std::string out{text};
  for (char& c : out) c = lower(c);
  return out;
}

[[nodiscard]] inline std::string upper(std::string_view text) {
  std::string out{text};
  for (char& c : out) c = upper(c);
  return out;
}

}  // namespace bearingdsp
