#pragma once
#include <CLI/CLI.hpp>
#include <string>
#include <string_view>

namespace cli {

/// Completion rules for "bash", "zsh" or "fish". After an option that takes a value, and for
/// positionals, files are offered.
[[nodiscard]] std::string shell_rules(const CLI::App& app, std::string_view shell);

}  // namespace cli
