#pragma once
/// A report as plain text for a terminal or a file.
#include <cstddef>
#include <string>
#include <string_view>

#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

struct TextOptions {
  int width{80};        ///< columns; at least 40 are used
  bool colour{false};   ///< ANSI colours and bold
  bool unicode{true};   ///< block characters for the chart; false: plain ASCII
  bool details{false};  ///< also the parts marked as detail
  bool brief{false};    ///< source and headline only, one line
};

/// Lays out a report. Ends with a newline. Control characters and bytes that are not UTF-8 are
/// replaced, so that a file name cannot steer the terminal.
[[nodiscard]] std::string to_text(const Report& report, const TextOptions& options = {});

/// Columns a terminal needs for a UTF-8 text: 0 for combining marks, 2 for wide characters, 1 for
/// anything else and for each byte that is not UTF-8.
/// Source: Unicode UAX #11 (wide ranges).
[[nodiscard]] std::size_t display_width(std::string_view utf8);

}  // namespace bearingdsp
