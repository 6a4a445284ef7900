#pragma once
/// What the commands about the history share.
#include <CLI/CLI.hpp>
#include <cstdint>
#include <string>
#include <vector>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/machine/route.hpp"
#include "commands.hpp"

namespace cli {

inline constexpr const char* store_meaning =
    "history database (default: that of the plant folder, or history.db)";
/// Who says that the store is that of the plant.
enum class StoreNote : std::uint8_t { by_option, by_command };

/// --store; in a plant folder a default that is not empty is the store of the plant, and a note
/// says so. What is typed is checked by check_store_name(), so that a name under which nothing
/// would be kept is refused by every command in the same way, also where the option may be left
/// out.
CLI::Option* add_store_option(CLI::App& command, std::string& store,
                              const std::string& help = store_meaning,
                              StoreNote note = StoreNote::by_option);

/// A word that is no EventKind, with those that are.
[[nodiscard]] bearingdsp::Error no_kind(const std::string& word);

/// The subcommands of `history` that correct it: entries, edit, remove, restore, rename, changes.
void add_history_corrections(CLI::App& history, Run& run);

/// The machine files of a route, and the store: what no option may name.
[[nodiscard]] std::vector<std::string> read_by(const bearingdsp::Route& route,
                                               const std::string& store);

}  // namespace cli
