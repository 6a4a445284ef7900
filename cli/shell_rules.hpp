#pragma once
#include <CLI/CLI.hpp>
#include <string>
#include <string_view>

namespace cli {

/// Completion rules for "bash", "zsh" or "fish". After an option that takes one of a few words,
/// these are offered; after FILE# of --machine, the machines in that file; after other options and
/// for positionals, files.
[[nodiscard]] std::string shell_rules(const CLI::App& app, std::string_view shell);

}  // namespace cli
