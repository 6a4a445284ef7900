#pragma once
/// A report as one HTML file that needs nothing else: no server, no network, no other file.
#include <span>
#include <string>
#include <string_view>

#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

struct HtmlOptions {
  bool interactive{true};  ///< plots that can be zoomed and asked; false: static pictures only
};

/// The verdict first, then what it rests on: sections in their order, plots after the evidence,
/// parts marked as detail folded away. `parts` follow as chapters of their own; rows of tables that
/// name one (ReportTable::targets) lead to it.
///
/// Every text is escaped. The page forbids itself by its Content-Security-Policy any script, style
/// or picture but its own (by their hashes). Each plot is there as a static picture, for print and
/// for readers without script, and with its data: curves of up to 4096 samples as 32-bit floats,
/// longer ones in 16 bits; the page says how true that is. Curves longer than the page can carry
/// (2^21 samples in all) keep the smallest and largest of every few samples, so no peak is lost.
/// Where the library was built without the plotting code, pages are static and say so.
/// Source: [csp3] sections 6.1 and 8.2 (hashes)
[[nodiscard]] std::string to_html(const Report& report, std::span<const Report> parts = {},
                                  const HtmlOptions& options = {});

/// Whether the plotting code was there when the library was built.
[[nodiscard]] bool has_interactive_plots() noexcept;

}  // namespace bearingdsp
