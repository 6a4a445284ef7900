#pragma once
/// How every command shows a report and a failure.
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/report/model.hpp"
#include "bearingdsp/report/text.hpp"
#include "bearingdsp/verdict/assessment.hpp"
#include "terminal.hpp"

namespace cli {

/// Layout for stdout as it is now: width, colour, and plain characters where the locale asks.
[[nodiscard]] bearingdsp::TextOptions text_options(When colour);
/// The report as text on stdout.
void show(const bearingdsp::Report& report, When colour);
/// The exit code of an assessment, the same for every command: 0 where nothing is to be done, 3
/// where the recording cannot tell, 1 else.
[[nodiscard]] Exit exit_of(bearingdsp::Urgency urgency) noexcept;
/// The error on stderr, and the exit code of a failure.
Exit fail(const bearingdsp::Error& error);

}  // namespace cli
