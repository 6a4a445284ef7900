#pragma once
/// Text that is not ours (file names, cells, names in machine files, what a library says) made safe
/// for where it is shown. The one place that decides it.
#include <cstdint>
#include <string>
#include <string_view>

namespace bearingdsp {

/// Where a text goes.
enum class Medium : std::uint8_t {
  terminal,  ///< one line of plain text
  csv,       ///< one cell of a table that a spreadsheet opens
  markdown,  ///< text in a line of a Markdown document, behind other words
  html,      ///< between tags or in a quoted attribute, of HTML or SVG
  json,      ///< a whole JSON document, as serialised
};

/// The text as it may be written there.
///
/// terminal: control characters (C0, DEL, C1), line and paragraph separators and the directional
/// formatting characters of [uax9] become visible escapes, "\x1b" and "\u202e"; so do bytes that
/// are not UTF-8. csv, markdown and html begin with the same. csv keeps tab and line breaks, puts a
/// ' before what a spreadsheet would calculate (csv_content() takes it off), and quotes where
/// [rfc4180] asks. markdown escapes what [commonmark] gives a meaning, html what could end an
/// element or attribute. json keeps the data: the same characters become its own escapes.
/// Units: UTF-8 to UTF-8.
/// Errors: none.
/// Source: [uax9] section 2, [rfc4180] section 2, [commonmark] section 2.4, [rfc8259] section 7;
/// the ' of a cell: common practice, no source
[[nodiscard]] std::string safe_text(std::string_view text, Medium medium);

/// A cell that safe_text() wrote and a CSV reader took out of its quotes, without the ' put before
/// it.
[[nodiscard]] std::string_view csv_content(std::string_view cell) noexcept;

}  // namespace bearingdsp
