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

}  // namespace bearingdsp
