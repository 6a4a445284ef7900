#include "manual_page.hpp"

#include <cstddef>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/machine/cautions.hpp"
#include "command_tree.hpp"
#include "exit_codes.hpp"

namespace cli {
namespace {

/// Text as roff shows it: no hyphen turned typographic, no line taken for a request.
std::string roff(const std::string& text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    const bool starts = i == 0 || text[i - 1] == '\n';
    if (starts && (c == '.' || c == '\'')) out += "\\&";
    if (c == '\\')
      out += "\\e";
    else if (c == '-')
      out += "\\-";
    else if (c == '\n')
      out += "\n.br\n";
    else
      out += c;
  }
  return out;
}

std::string bold(const std::string& text) { return "\\fB" + roff(text) + "\\fR"; }

std::string tag(const OptionText& option) {
  std::string out;
  for (const auto& name : option.names) bearingdsp::add_part(out, bold(name));
  if (!option.value.empty()) bearingdsp::add_part(out, "\\fI" + roff(option.value) + "\\fR", " ");
  return ".TP\n" + out + "\n" + roff(option.meaning) + "\n";
}

/// What an exit code means in general.
std::string status() {
  std::string out;
  for (std::size_t code = 0; code < 4; ++code)
    out += ".TP\n" + std::to_string(code) + "\n" +
           roff(std::string{exit_codes().front().meaning[code]}) + "\n";
  return out +
         ".PP\nA failure prints one line on standard error: what is wrong, where, and what to "
         "do.\n";
}

}  // namespace

std::string manual_page(const CLI::App& app) {
  std::string out =
      ".TH BEARINGDSP 1 \"\" \"bearingdsp " BEARINGDSP_VERSION
      "\"\n.ad l\n.nh\n.SH NAME\nbearingdsp \\- diagnosis of rolling bearings in electric motors\n"
      ".SH SYNOPSIS\n.B bearingdsp\n.I COMMAND\n[\\fIOPTIONS\\fR]\n.SH DESCRIPTION\n";
  bool commands = false;
  for (const auto& command : command_tree(app)) {
    if (command.path.empty()) {
      out += roff(command.meaning) + "\n.SH OPTIONS\n";
    } else {
      if (!commands) out += ".SH COMMANDS\n";
      commands = true;
      out += ".SS " + roff(command.path) + "\n" + roff(command.meaning) + "\n";
    }
    for (const auto& option : command.options) out += tag(option);
    const std::string codes = exit_codes_of(command.path);
    if (!command.path.empty() && !codes.empty()) out += ".PP\nExit code: " + roff(codes) + ".\n";
  }
  return out +
         ".SH EXIT STATUS\n"
         "Each command has its own, stated above. For all of them:\n" +
         status() +
         ".PP\n"
         "For several recordings the worst result counts.\n"
         ".SH ENVIRONMENT\n"
         ".TP\n"
         ".B NO_COLOR\n"
         "no colours, whatever it is set to\n"
         ".SH CAUTION\n"
         "Measure on running machines only where the plant's rules allow it; keep clear of "
         "rotating parts. " +
         bearingdsp::before_work() + " Local codes and licensed practice come first.\n";
}

}  // namespace cli
