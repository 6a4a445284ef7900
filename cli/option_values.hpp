#pragma once
/// The words that an option takes, for completion in a shell.
#include <CLI/CLI.hpp>
#include <string>
#include <vector>

namespace cli {

/// Those of an option or positional that takes one of a few words; empty for the others.
[[nodiscard]] std::vector<std::string> values_of(const CLI::Option& option);

}  // namespace cli
