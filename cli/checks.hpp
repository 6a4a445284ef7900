#pragma once
/// Checks of what is typed, with errors in plain words.
#include <CLI/CLI.hpp>
#include <string>
#include <utility>
#include <vector>

namespace cli {

/// A number from lowest to highest, written with a point.
[[nodiscard]] CLI::Validator between(double lowest, double highest);
/// A number of Hz, also written like 48k or 25.6 kHz. For transform(), not check().
[[nodiscard]] CLI::Validator sampling_rate();
/// A number from lowest to highest without a fraction.
[[nodiscard]] CLI::Validator whole_between(int lowest, int highest);
/// One of these words, in any case, standing for the number beside it.
[[nodiscard]] CLI::Validator one_word_of(std::vector<std::pair<std::string, int>> words);
/// The parser's own words for a value that is not a number, in ours; other messages as they are.
[[nodiscard]] std::string in_plain_words(const std::string& message);

}  // namespace cli
