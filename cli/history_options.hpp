#pragma once
/// What the commands about the history share.
#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/machine/route.hpp"
#include "commands.hpp"

namespace cli {

/// --store; in a plant folder a default that is not empty is the store of the plant. What is typed
/// is checked by check_store_name(), so that a name under which nothing would be kept is refused by
/// every command in the same way, also where the option may be left out.
CLI::Option* add_store_option(
    CLI::App& command, std::string& store,
    const std::string& help =
        "history database (default: that of the plant folder, or history.db)");

/// A word that is no EventKind, with those that are.
[[nodiscard]] bearingdsp::Error no_kind(const std::string& word);

/// The subcommands of `history` that correct it: entries, edit, remove, restore, rename, changes.
void add_history_corrections(CLI::App& history, Run& run);

/// The machine files of a route, and the store: what no option may name.
[[nodiscard]] std::vector<std::string> read_by(const bearingdsp::Route& route,
                                               const std::string& store);

}  // namespace cli
