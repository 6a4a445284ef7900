#pragma once
/// The commands and options as data, for the manual page and the shells: taken from the parser
/// itself, so that they cannot differ from what it accepts.
#include <CLI/CLI.hpp>
#include <string>
#include <vector>

namespace cli {

struct OptionText {
  std::vector<std::string> names;  ///< "--bearing", "-q"; empty for a positional
  std::string value;               ///< what it takes, such as FILE; empty for a flag
  std::string meaning;
  std::vector<std::string> words;  ///< that it takes, where they are few
};

struct CommandText {
  std::string path;  ///< "route run"; empty for the tool itself
  std::string meaning;
  std::vector<OptionText> options;  ///< positionals first
  std::vector<std::string> subcommands;
};

/// The tool, then every command, a parent before its children.
[[nodiscard]] std::vector<CommandText> command_tree(const CLI::App& app);

/// The first line of a text.
[[nodiscard]] std::string first_line(const std::string& text);

}  // namespace cli
