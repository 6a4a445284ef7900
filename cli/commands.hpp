#pragma once
/// The subcommands. Each adds itself and sets `run` when it was chosen.
#include <CLI/CLI.hpp>
#include <functional>
#include <string>
#include <string_view>

#include "terminal.hpp"

namespace cli {

using Run = std::function<Exit()>;

/// All of them.
void add_commands(CLI::App& app, Run& run);

void add_acceptance(CLI::App& app, Run& run);
void add_bearing(CLI::App& app, Run& run);
void add_cause(CLI::App& app, Run& run);
void add_compare(CLI::App& app, Run& run);
void add_diagnose(CLI::App& app, Run& run);
void add_frequencies(CLI::App& app, Run& run);
void add_history(CLI::App& app, Run& run);
void add_inspect(CLI::App& app, Run& run);
void add_machine(CLI::App& app, Run& run);
void add_manual(CLI::App& app, Run& run);
void add_replacement(CLI::App& app, Run& run);
void add_route(CLI::App& app, Run& run);
void add_simulate(CLI::App& app, Run& run);
void add_trend(CLI::App& app, Run& run);
void add_validate(CLI::App& app, Run& run);

/// --colour, for the commands that print a report.
void add_colour_option(CLI::App& command, When& when);
/// What stands under every help: where to read on, and what the exit codes mean.
[[nodiscard]] std::string help_footer(
    std::string_view codes = "0 no fault found, 1 fault, 2 failed, 3 cannot tell");

}  // namespace cli
