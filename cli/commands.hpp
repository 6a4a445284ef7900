#pragma once
/// The subcommands. Each adds itself and sets `run` when it was chosen.
#include <CLI/CLI.hpp>
#include <functional>
#include <memory>
#include <utility>

#include "terminal.hpp"

namespace cli {

using Run = std::function<Exit()>;

/// Where the command is chosen, it does that with its options.
template <class Options, class Taken>
void set_run(CLI::App& command, Run& run, std::shared_ptr<Options> o, Exit (*what)(Taken)) {
  command.callback([o = std::move(o), what, &run] { run = [o, what] { return what(*o); }; });
}

/// All of them.
void add_commands(CLI::App& app, Run& run);

void add_acceptance(CLI::App& app, Run& run);
void add_balance(CLI::App& app, Run& run);
/// `solve` and `four-run`, below `balance`.
void add_balance_solve(CLI::App& balance, Run& run);
/// `split`, below `balance`.
void add_balance_split(CLI::App& balance, Run& run);
void add_bearing(CLI::App& app, Run& run);
void add_checks(CLI::App& app, Run& run);
void add_grease(CLI::App& app, Run& run);
void add_spares(CLI::App& app, Run& run);
void add_cause(CLI::App& app, Run& run);
void add_compare(CLI::App& app, Run& run);
void add_diagnose(CLI::App& app, Run& run);
void add_frequencies(CLI::App& app, Run& run);
void add_help(CLI::App& app, Run& run);
void add_history(CLI::App& app, Run& run);
void add_init(CLI::App& app, Run& run);
void add_inspect(CLI::App& app, Run& run);
void add_machine(CLI::App& app, Run& run);
void add_manual(CLI::App& app, Run& run);
void add_record(CLI::App& app, Run& run);
void add_replacement(CLI::App& app, Run& run);
void add_route(CLI::App& app, Run& run);
void add_sensor(CLI::App& app, Run& run);
void add_simulate(CLI::App& app, Run& run);
void add_triage(CLI::App& app, Run& run);
void add_trend(CLI::App& app, Run& run);
void add_summary(CLI::App& app, Run& run);
void add_calendar(CLI::App& app, Run& run);
void add_export(CLI::App& app, Run& run);
void add_validate(CLI::App& app, Run& run);

}  // namespace cli
