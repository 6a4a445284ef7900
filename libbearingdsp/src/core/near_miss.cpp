#include "bearingdsp/core/near_miss.hpp"

#include <algorithm>
#include <utility>

namespace bearingdsp {

std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> two_up(b.size() + 1);
  std::vector<std::size_t> up(b.size() + 1);
  std::vector<std::size_t> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::swap(two_up, up);
    std::swap(up, row);
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t change = a[i - 1] == b[j - 1] ? 0 : 1;
      row[j] = std::min({up[j] + 1, row[j - 1] + 1, up[j - 1] + change});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        row[j] = std::min(row[j], two_up[j - 2] + 1);
    }
  }
  return row[b.size()];
}

std::vector<std::string> near_misses(std::string_view word, std::span<const std::string> known,
                                     std::size_t most) {
  constexpr std::size_t longest = 64;  // no one mistypes more; bounds the work on hostile input
  if (word.size() > longest) return {};
  const std::size_t limit = std::clamp<std::size_t>(word.size() / 3, 1, 3);
  std::vector<std::pair<std::size_t, std::string>> near;
  for (const auto& k : known) {
    const bool cut_short = word.size() >= 3 && k.starts_with(word);
    const std::size_t d = cut_short ? 1 : edit_distance(word, k);
    if (d <= limit) near.emplace_back(d, k);
  }
  std::sort(near.begin(), near.end());
  near.erase(std::unique(near.begin(), near.end()), near.end());
  std::vector<std::string> words;
  for (const auto& [d, k] : near)
    if (words.size() < most) words.push_back(k);
  return words;
}

std::string did_you_mean(std::string_view word, std::span<const std::string> known,
                         std::string otherwise) {
  const auto near = near_misses(word, known);
  if (near.empty()) return otherwise;
  std::string text = "did you mean ";
  for (std::size_t i = 0; i < near.size(); ++i)
    text += (i == 0 ? "" : i + 1 < near.size() ? ", " : " or ") + near[i];
  return text + "?";
}

}  // namespace bearingdsp
