#pragma once
/// Words as people type them, and lists in a cell of a data file.
#include <algorithm>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/letters.hpp"

namespace bearingdsp {

/// Lower case, with single blanks for hyphens, underscores and blanks: how words are compared.
[[nodiscard]] inline std::string plain_word(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c == '-' || c == '_' || c == ' ' || c == '\t') {
      if (!out.empty() && out.back() != ' ') out += ' ';
      continue;
    }
    out += lower(c);
  }
  while (!out.empty() && out.back() == ' ') out.pop_back();
  return out;
}

/// The parts between the separators; none of an empty text.
[[nodiscard]] inline std::vector<std::string> split_list(std::string_view list,
                                                         char separator = ';') {
  std::vector<std::string> parts;
  while (!list.empty()) {
    const auto end = std::min(list.find(separator), list.size());
    parts.emplace_back(list.substr(0, end));
    list.remove_prefix(std::min(end + 1, list.size()));
  }
  return parts;
}

}  // namespace bearingdsp
