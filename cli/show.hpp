#pragma once
/// How every command shows a report and a failure.
#include <CLI/CLI.hpp>
#include <cstdint>
#include <string>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/report/model.hpp"
#include "bearingdsp/report/text.hpp"
#include "bearingdsp/verdict/assessment.hpp"
#include "terminal.hpp"

namespace cli {

/// How much of a report is printed, and in colour or not.
struct Printing {
  When colour{When::automatic};
  bool quiet{false}, verbose{false};
};
/// Whether the reports of a command have details that -v adds.
enum class Details : std::uint8_t { none, some };
/// -q, --colour and, where there are details, -v: the same in every command that prints a report.
/// `group`: heading of -q and -v in the help.
void add_printing_options(CLI::App& command, Printing& printing, Details details = Details::none,
                          const std::string& group = "");

/// Layout for stdout as it is now: width, colour, and plain characters where the locale asks; one
/// line with -q, details with -v.
[[nodiscard]] bearingdsp::TextOptions text_options(const Printing& printing);
/// The report as text on stdout.
void show(const bearingdsp::Report& report, const Printing& printing);
/// The exit code of an assessment, the same for every command: 0 where nothing is to be done, 3
/// where the recording cannot tell, 1 else.
[[nodiscard]] Exit exit_of(bearingdsp::Urgency urgency) noexcept;
/// The error on stderr, and the exit code of a failure.
Exit fail(const bearingdsp::Error& error);

}  // namespace cli
