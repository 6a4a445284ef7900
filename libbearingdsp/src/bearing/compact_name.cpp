#include "bearing/compact_name.hpp"

#include <algorithm>

#include "bearing/naming.hpp"
#include "bearingdsp/core/letters.hpp"

namespace bearingdsp {
std::string compact_designation(std::string_view designation) {
  std::string compact;
  for (const char c : designation) {
    if (c == ' ' || c == '\t' || c == '-' || c == '/' || c == '.' || c == '_') continue;
    compact += upper(c);
  }
  return compact;
}

std::vector<std::string> basic_designations(std::string_view designation) {
  std::vector<std::string> found{compact_designation(designation)};
  constexpr std::size_t longest = 40;  // no designation is longer; bounds the work on hostile input
  if (found.front().size() > longest) return found;
  for (std::size_t i = 0; i < found.size(); ++i)
    for (const auto& row : naming::suffixes()) {
      // What changes the inside (contact angle, extra capacity) is not dropped.
      if (!row.same_inside) continue;
      const std::string& suffix = row.text;
      const std::string whole = found[i];
      if (whole.size() <= suffix.size() || !whole.ends_with(suffix)) continue;
      std::string rest = whole.substr(0, whole.size() - suffix.size());
      if (std::find(found.begin(), found.end(), rest) == found.end())
        found.push_back(std::move(rest));
    }
  std::stable_sort(found.begin(), found.end(),
                   [](const auto& a, const auto& b) { return a.size() > b.size(); });
  return found;
}

}  // namespace bearingdsp
