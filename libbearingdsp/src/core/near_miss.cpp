#include "bearingdsp/core/near_miss.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "bearingdsp/core/letters.hpp"

namespace bearingdsp {
namespace {

std::string meant(const std::vector<std::string>& near) {
  std::string text = "did you mean ";
  for (std::size_t i = 0; i < near.size(); ++i)
    text += (i == 0 ? "" : i + 1 < near.size() ? ", " : " or ") + near[i];
  return text + "?";
}

/// Its words of letters, in lower case, without those that every description has.
std::vector<std::string> words_in(std::string_view text) {
  constexpr std::array<std::string_view, 17> empty{"a",  "an",   "and", "at", "in",  "is",
                                                   "it", "like", "of",  "on", "or",  "out",
                                                   "so", "the",  "to",  "up", "with"};
  std::vector<std::string> words(1);
  for (const char c : text) {
    if (is_letter(c))
      words.back() += lower(c);
    else if (!words.back().empty())
      words.emplace_back();
  }
  std::erase_if(words, [&](const std::string& w) {
    return w.empty() || std::find(empty.begin(), empty.end(), w) != empty.end();
  });
  return words;
}

/// Without a usual ending: "fluting" and "flutes" become "flut".
std::string_view stem(std::string_view word) {
  constexpr std::array<std::string_view, 6> endings{"ing", "ish", "ed", "es", "e", "s"};
  for (const std::string_view ending : endings)
    if (word.size() >= ending.size() + 3 && word.ends_with(ending))
      return word.substr(0, word.size() - ending.size());
  return word;
}

/// The same stem, or alike but for the last letter of the shorter one ("red", "reddish").
bool begin_alike(std::string_view a, std::string_view b) {
  const std::size_t shorter = std::min(a.size(), b.size());
  const std::size_t needed = std::max<std::size_t>(3, shorter - 1);
  if (stem(a) == stem(b)) return true;
  return shorter >= 3 && a.substr(0, needed) == b.substr(0, needed);
}

}  // namespace

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
  // What is clearly farther than the nearest was not meant.
  for (const auto& [d, k] : near)
    if (words.size() < most && d <= near.front().first + 1) words.push_back(k);
  return words;
}

std::string did_you_mean(std::string_view word, std::span<const std::string> known,
                         std::string otherwise) {
  const auto near = near_misses(word, known);
  return near.empty() ? otherwise : meant(near);
}

std::vector<std::string> alike_by_words(std::string_view phrase,
                                        std::span<const DescribedTerm> terms, std::size_t most) {
  constexpr std::size_t longest = 200;  // bounds the work on hostile input
  const auto asked = words_in(phrase.substr(0, longest));
  std::vector<std::vector<std::string>> all;
  for (const DescribedTerm& term : terms) all.push_back(words_in(term.name + " " + term.words));
  std::vector<double> score(terms.size());
  for (const std::string& word : asked) {
    std::vector<std::size_t> holders;
    for (std::size_t i = 0; i < all.size(); ++i)
      if (std::any_of(all[i].begin(), all[i].end(),
                      [&](const std::string& other) { return begin_alike(word, other); }))
        holders.push_back(i);
    for (const std::size_t i : holders)
      score[i] +=
          std::log((1.0 + static_cast<double>(terms.size())) / static_cast<double>(holders.size()));
  }
  std::vector<std::size_t> order(terms.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return score[a] > score[b]; });
  std::vector<std::string> names;
  for (const std::size_t i : order)
    if (names.size() < most && score[i] > 0) names.push_back(terms[i].name);
  return names;
}

std::string did_you_mean(std::string_view word, std::span<const std::string> known,
                         std::span<const DescribedTerm> terms, std::string otherwise) {
  auto near = near_misses(word, known);
  if (near.empty()) near = alike_by_words(word, terms);
  return near.empty() ? otherwise : meant(near);
}

}  // namespace bearingdsp
