#pragma once
/// The options of the subcommands that correct a history.
#include <CLI/CLI.hpp>
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/history/store.hpp"
#include "show.hpp"

namespace cli {

struct CorrectionCommand {
  std::string store{"history.db"}, machine, point, to, why;
  std::vector<std::string> numbers;
  std::string time, kind;
  std::optional<std::string> note, new_machine, new_point;
  std::optional<double> shift_days, load, temperature;
  bool confirm{false}, make_point{false}, whole_machine{false}, join{false}, json{false};
  Printing printing;
};

/// What was typed.
/// Errors: bad_argument
[[nodiscard]] bearingdsp::Result<std::vector<bearingdsp::EntryId>> ids_of(
    const CorrectionCommand& o);
[[nodiscard]] bearingdsp::Result<bearingdsp::Correction> correction_of(const CorrectionCommand& o);

inline constexpr const char* entries_help =
    "Lists every reading and event of a machine, with the number used to correct it.\n"
    "Example: bearingdsp history entries planer-feed";
inline constexpr const char* edit_help =
    "Corrects readings (r12) and events (e3); the journal keeps the old values.\n"
    "Example: bearingdsp history edit r12 --time 2026-03-02 --why \"clock was reset\"";
inline constexpr const char* remove_help =
    "Excludes readings and events from every result; a removed recording is not added again.\n"
    "Example: bearingdsp history remove r12 --why \"sensor was loose\"";
inline constexpr const char* restore_help = "Restores removed readings and events.";
inline constexpr const char* rename_help =
    "Renames a machine or a point; its history is kept.\n"
    "Example: bearingdsp history rename fan-2 dust-fan\n"
    "         bearingdsp history rename dust-fan \"DE horizontal\" --point \"DE h\"";
inline constexpr const char* changes_help = "Shows the journal: what was corrected, when and why.";

void add_entries_options(CLI::App& c, CorrectionCommand& o);
void add_edit_options(CLI::App& c, CorrectionCommand& o);
/// Numbers of readings and events, and why.
void add_number_options(CLI::App& c, CorrectionCommand& o);
void add_rename_options(CLI::App& c, CorrectionCommand& o);
void add_changes_options(CLI::App& c, CorrectionCommand& o);

}  // namespace cli
