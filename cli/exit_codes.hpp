#pragma once
/// What the exit code of each command means: one table for the help, the manual page, and
/// docs/exit-codes.md, which a test compares with it.
#include <CLI/CLI.hpp>
#include <array>
#include <span>
#include <string>
#include <string_view>

namespace cli {

struct ExitCodes {
  std::string_view command;  ///< "route run"; empty for the tool itself
  /// What codes 0 to 3 mean; empty: the command never ends with it.
  std::array<std::string_view, 4> meaning;
};
/// A row for each command, except those that only group others.
[[nodiscard]] std::span<const ExitCodes> exit_codes();
/// "0 pass, 1 fail, ...": the row in words. Empty for a command without a row.
[[nodiscard]] std::string exit_codes_of(std::string_view command);
/// Writes the exit codes below the help of each command.
void add_exit_codes(CLI::App& app);

}  // namespace cli
