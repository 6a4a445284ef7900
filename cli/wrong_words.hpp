#pragma once
/// What is wrong with a command line that the parser refused, and the nearest that is right.
#include <CLI/CLI.hpp>
#include <span>
#include <string>
#include <vector>

#include "bearingdsp/core/result.hpp"

namespace cli {

/// The names of the commands directly below `app`.
[[nodiscard]] std::vector<std::string> names_of_commands(const CLI::App& app);
/// The error for `message`, the parser's own; `words`: the command line without the program's name.
[[nodiscard]] bearingdsp::Error wrong_words(const CLI::App& app, std::span<char* const> words,
                                            const std::string& message);

}  // namespace cli
