#pragma once
/// Which of the known words was meant.
#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace bearingdsp {

/// Fewest insertions, deletions, replacements and swaps of neighbours that turn a into b.
[[nodiscard]] std::size_t edit_distance(std::string_view a, std::string_view b);

/// At most `most` of the known words that are nearest to `word`, nearest first; none if all are
/// farther than a third of its length (at least 1, at most 3 changes). A known word that begins
/// with the whole of it counts as one change away.
[[nodiscard]] std::vector<std::string> near_misses(std::string_view word,
                                                   std::span<const std::string> known,
                                                   std::size_t most = 3);

/// "did you mean A or B?", or `otherwise` if nothing is near.
[[nodiscard]] std::string did_you_mean(std::string_view word, std::span<const std::string> known,
                                       std::string otherwise);

/// A known term with the words that belong to it: other names, what it looks like.
struct DescribedTerm {
  std::string name;
  std::string words;
};

/// At most `most` names of the terms that share most words with the phrase, most first: words count
/// by how rare they are among the terms, and match where they begin alike ("flutes", "fluting").
/// None where no word is shared.
/// Shape: terms [n].
/// Source: inverse document frequency, ours
[[nodiscard]] std::vector<std::string> alike_by_words(std::string_view phrase,
                                                      std::span<const DescribedTerm> terms,
                                                      std::size_t most = 3);

/// did_you_mean() of the spelling, else of the words of the terms, else `otherwise`.
[[nodiscard]] std::string did_you_mean(std::string_view word, std::span<const std::string> known,
                                       std::span<const DescribedTerm> terms, std::string otherwise);

}  // namespace bearingdsp
