#include "exit_codes.hpp"

#include <algorithm>

#include "bearingdsp/core/sentence.hpp"

namespace cli {
namespace {

constexpr std::string_view something =
    "something is to be done (the bearing, another fault, or vibration in zone C or D)";

constexpr auto all_codes = std::to_array<ExitCodes>({
    {"", {"done, or nothing is to be done", "something is to be done", "failed", "cannot tell"}},
    {"triage",
     {"done (without an observation), or nothing is to be done", "something is to be done",
      "failed", "cannot tell: record"}},
    {"diagnose", {"nothing is to be done", something, "failed", "cannot tell"}},
    {"frequencies", {"done", "", "failed", ""}},
    {"bearing", {"done", "", "failed", ""}},
    {"inspect", {"the samples could be read", "", "failed", ""}},
    {"record",
     {"nothing is to be done, or recorded without a diagnosis", something,
      "failed, or the recording ended early", "cannot tell"}},
    {"compare",
     {"nothing is to be done", "something is to be done (the bearing or another fault)", "failed",
      "cannot tell or not comparable"}},
    {"acceptance",
     {"pass, and nothing is to be done", "fail, or something else is to be done",
      "the command failed", "repeat the run, or cannot tell"}},
    {"replacement", {"done", "", "failed", ""}},
    {"cause", {"done", "", "failed", ""}},
    {"balance plan", {"done", "", "failed", ""}},
    {"balance solve", {"done", "", "failed", "cannot tell: the runs give no weight"}},
    {"balance four-run", {"done", "", "failed", "cannot tell: the runs give no weight"}},
    {"balance split", {"done", "", "failed", ""}},
    {"checks",
     {"every reading good, or no reading", "a reading is not good", "failed",
      "clarify: outside a limit that is not confirmed"}},
    {"grease", {"done", "", "failed", ""}},
    {"spares", {"done", "", "failed", ""}},
    {"init", {"done", "", "failed", ""}},
    {"machine add", {"done", "", "failed", ""}},
    {"machine list", {"done", "", "failed", ""}},
    {"machine show", {"done", "", "failed", ""}},
    {"machine check", {"no errors in the file", "", "errors in the file, or failed", ""}},
    {"route add", {"done", "", "failed", ""}},
    {"route run",
     {"nothing is to be done", something, "failed, or a recording could not be analysed",
      "cannot tell"}},
    {"sensor add", {"done", "", "failed", ""}},
    {"sensor calibrate", {"done", "", "failed", ""}},
    {"trend", {"nothing is to be done", something, "failed", "cannot tell"}},
    {"summary", {"nothing is to be done", something, "failed", "cannot tell"}},
    {"calendar", {"done", "", "failed", ""}},
    {"export", {"done", "", "failed, or a recording could not be analysed", ""}},
    {"history list", {"done", "", "failed", ""}},
    {"history export", {"done", "", "failed", ""}},
    {"history check",
     {"not damaged", "a recording is missing or changed (with --files)", "damaged, or failed", ""}},
    {"history event", {"done", "", "failed", ""}},
    {"history entries", {"done", "", "failed", ""}},
    {"history edit", {"done", "", "failed", ""}},
    {"history remove", {"done", "", "failed", ""}},
    {"history restore", {"done", "", "failed", ""}},
    {"history rename", {"done", "", "failed", ""}},
    {"history changes", {"done", "", "failed", ""}},
    {"simulate", {"done", "", "failed", ""}},
    {"validate", {"done", "", "failed, or a recording gave no diagnosis", ""}},
    {"manual", {"done", "", "failed", ""}},
    {"help", {"done", "", "failed", ""}},
});

void add(CLI::App& app, const std::string& path) {
  const auto children = app.get_subcommands([](CLI::App*) { return true; });
  const std::string name = path.empty() ? "" : " " + path;
  std::string footer;
  if (!children.empty()) footer = "'bearingdsp help" + name + " COMMAND' explains a command.";
  if (const std::string codes = exit_codes_of(path); !codes.empty())
    bearingdsp::add_part(footer, "Exit code: " + codes + ".", "\n");
  app.footer(footer);
  for (CLI::App* child : children)
    add(*child, path.empty() ? child->get_name() : path + " " + child->get_name());
}

}  // namespace

std::span<const ExitCodes> exit_codes() { return all_codes; }

std::string exit_codes_of(std::string_view command) {
  const auto row = std::find_if(all_codes.begin(), all_codes.end(),
                                [&](const ExitCodes& e) { return e.command == command; });
  std::string text;
  if (row == all_codes.end()) return text;
  for (std::size_t code = 0; code < row->meaning.size(); ++code)
    if (!row->meaning[code].empty())
      bearingdsp::add_part(text, std::to_string(code) + " " + std::string{row->meaning[code]},
                           "; ");
  return text;
}

void add_exit_codes(CLI::App& app) { add(app, ""); }

}  // namespace cli
