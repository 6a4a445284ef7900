#pragma once
/// Aligned tables and block charts in text.
#include <string>
#include <vector>

#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// The table's lines, at most `columns` wide: words wrap first; a table that still does not fit
/// becomes one block a row. Cells are made printable.
[[nodiscard]] std::vector<std::string> table_lines(const ReportTable& table, std::size_t columns);

/// A bar chart of a plot with its markers underneath and their legend.
[[nodiscard]] std::vector<std::string> chart_lines(const ReportPlot& plot, std::size_t columns,
                                                   bool unicode);

}  // namespace bearingdsp
