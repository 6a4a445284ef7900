#pragma once

#include <concepts>
#include <string>
#include <string_view>

#include "bearingdsp/core/letters.hpp"

/// Parts of sentences made whole.
namespace bearingdsp {

/// Begins with a capital; what does not begin with an ASCII letter stays as it is.
/// Errors: none
[[nodiscard]] inline std::string capital(std::string text) {
  if (!text.empty()) text.front() = upper(text.front());
  return text;
}

/// Ends with one full stop.
/// Errors: none
[[nodiscard]] inline std::string full_stop(std::string text) {
  while (!text.empty() && text.back() == '.') text.pop_back();
  return text + '.';
}

/// "1 line", "2 lines". one: a word whose plural ends in s.
/// Errors: none
[[nodiscard]] std::string counted(std::integral auto n, std::string_view one) {
  return std::to_string(n) + ' ' + std::string{one} + (n == 1 ? "" : "s");
}

/// One more part of a list in one line, which may be empty yet: in front of it, unless it is the
/// first, what comes between two.
/// Errors: none
inline void add_part(std::string& list, std::string_view part, std::string_view between = ", ") {
  if (!list.empty()) list += between;
  list += part;
}

}  // namespace bearingdsp
