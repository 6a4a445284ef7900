#pragma once

#include <cctype>
#include <string>
#include <string_view>

/// Parts of sentences made whole.
namespace bearingdsp {

/// Begins with a capital; what does not begin with an ASCII letter stays as it is.
/// Errors: none
[[nodiscard]] inline std::string capital(std::string text) {
  if (!text.empty())
    text.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(text.front())));
  return text;
}

/// In capital letters, for a title; what is not an ASCII letter stays as it is.
/// Errors: none
[[nodiscard]] inline std::string upper(std::string_view text) {
  std::string out{text};
  for (char& c : out) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  return out;
}

/// Ends with one full stop.
/// Errors: none
[[nodiscard]] inline std::string full_stop(std::string text) {
  while (!text.empty() && text.back() == '.') text.pop_back();
  return text + '.';
}

/// One more part of a list in one line, which may be empty yet: in front of it, unless it is the
/// first, what comes between two.
/// Errors: none
inline void add_part(std::string& list, std::string_view part, std::string_view between = ", ") {
  if (!list.empty()) list += between;
  list += part;
}

}  // namespace bearingdsp
