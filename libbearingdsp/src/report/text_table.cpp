#include "text_table.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <string_view>
#include <utility>

#include "bearingdsp/core/letters.hpp"
#include "bearingdsp/report/text.hpp"
#include "utf8.hpp"

namespace bearingdsp {
namespace {

constexpr std::size_t gap = 2;         // blanks between columns
constexpr std::size_t min_words = 10;  // a column of words is not squeezed below this

void trim_end(std::string& line) {
  const auto last = line.find_last_not_of(' ');
  line.resize(last == std::string::npos ? 0 : last + 1);
}

std::vector<std::string> as_blocks(const ReportTable& table, std::size_t columns) {
  std::vector<std::string> lines;
  std::size_t label_width = 0;
  const auto label = [&](std::size_t c) {
    const ReportColumn& col = table.columns[c];
    return printable(col.unit.empty() ? col.title : col.title + " (" + col.unit + ")");
  };
  for (std::size_t c = 0; c < table.columns.size(); ++c)
    label_width = std::max(label_width, display_width(label(c)));
  for (const auto& row : table.rows) {
    if (!lines.empty()) lines.emplace_back();
    for (std::size_t c = 0; c < table.columns.size(); ++c) {
      const std::size_t room = columns > label_width + gap ? columns - label_width - gap : 1;
      const auto cell = wrapped(printable(row.at(c)), room);
      for (std::size_t i = 0; i < cell.size(); ++i) {
        std::string line = padded(i == 0 ? label(c) : "", label_width + gap, false) + cell[i];
        trim_end(line);
        lines.push_back(std::move(line));
      }
    }
  }
  return lines;
}

}  // namespace

std::vector<std::string> table_lines(const ReportTable& table, std::size_t columns) {
  const std::size_t n = table.columns.size();
  std::vector<std::size_t> width(n, 0);
  bool units = false;
  for (std::size_t c = 0; c < n; ++c) {
    width[c] =
        std::max(display_width(table.columns[c].title), display_width(table.columns[c].unit));
    units = units || !table.columns[c].unit.empty();
    for (const auto& row : table.rows)
      width[c] = std::max(width[c], display_width(printable(row.at(c))));
  }
  const auto total = [&] {
    std::size_t sum = n > 0 ? gap * (n - 1) : 0;
    for (const std::size_t w : width) sum += w;
    return sum;
  };
  while (total() > columns) {  // squeeze the widest column of words
    std::size_t widest = n;
    for (std::size_t c = 0; c < n; ++c)
      if (!table.columns[c].number && width[c] > min_words &&
          (widest == n || width[c] > width[widest]))
        widest = c;
    if (widest == n) return as_blocks(table, columns);
    --width[widest];
  }
  std::vector<std::string> lines;
  const auto put = [&](const auto& cell_of) {
    std::vector<std::vector<std::string>> cells(n);
    std::size_t height = 1;
    for (std::size_t c = 0; c < n; ++c) {
      cells[c] = wrapped(printable(cell_of(c)), width[c]);
      height = std::max(height, cells[c].size());
    }
    for (std::size_t i = 0; i < height; ++i) {
      std::string line;
      for (std::size_t c = 0; c < n; ++c) {
        if (c > 0) line.append(gap, ' ');
        line += padded(i < cells[c].size() ? cells[c][i] : "", width[c], table.columns[c].number);
      }
      trim_end(line);
      lines.push_back(std::move(line));
    }
  };
  put([&](std::size_t c) { return std::string_view{table.columns[c].title}; });
  if (units) put([&](std::size_t c) { return std::string_view{table.columns[c].unit}; });
  for (const auto& row : table.rows) put([&](std::size_t c) { return std::string_view{row[c]}; });
  return lines;
}

namespace {

char letter(MarkerKind kind) {
  switch (kind) {
    case MarkerKind::outer_ring:
      return 'O';
    case MarkerKind::inner_ring:
      return 'I';
    case MarkerKind::rolling_element:
      return 'E';
    case MarkerKind::cage:
      return 'C';
    case MarkerKind::shaft:
      return 'S';
  }
  return '?';
}

constexpr std::array<std::string_view, 5> kind_names{"outer ring", "inner ring", "rolling element",
                                                     "cage", "shaft"};

/// Markers in one line under the chart. Where two fall on one column the one that stands wins, then
/// the part over the shaft, then the lower harmonic.
std::string marker_line(const ReportPlot& plot, std::size_t columns, std::array<bool, 5>& used) {
  std::vector<const PlotMarker*> best(columns, nullptr);
  const auto rank = [](const PlotMarker& m) {
    return (m.detected ? 0 : 1000) + (m.kind == MarkerKind::shaft ? 500 : 0) +
           (m.sideband == 0 ? 0 : 100) + std::min(m.harmonic, 99);
  };
  for (const PlotMarker& m : plot.markers) {
    if (!(m.x >= 0 && m.x <= plot.x_end)) continue;
    const auto at = std::min(
        columns - 1, static_cast<std::size_t>(m.x / plot.x_end * static_cast<double>(columns)));
    if (best[at] == nullptr || rank(m) < rank(*best[at])) best[at] = &m;
  }
  std::string line(columns, ' ');
  for (std::size_t c = 0; c < columns; ++c)
    if (best[c] != nullptr) {
      const char mark = letter(best[c]->kind);
      line[c] = best[c]->detected || best[c]->kind == MarkerKind::shaft ? mark : lower(mark);
      used.at(static_cast<std::size_t>(best[c]->kind)) = true;
    }
  trim_end(line);
  return line;
}

}  // namespace

std::vector<std::string> chart_lines(const ReportPlot& plot, std::size_t columns, bool unicode) {
  constexpr std::size_t height = 6;
  constexpr std::array<std::string_view, 9> eighths{" ", "▁", "▂", "▃", "▄", "▅", "▆", "▇", "█"};
  constexpr std::array<std::string_view, 9> ascii{" ", " ", ".", ".", ":", ":", "|", "|", "#"};
  const std::size_t label_width = 9;
  if (plot.x.empty() || !(plot.x_end > 0) || columns < label_width + 20) return {};
  const std::size_t n = columns - label_width;
  std::vector<double> level(n, 0.0);
  for (std::size_t i = 0; i < plot.x.size(); ++i) {
    if (!(plot.x[i] >= 0) || plot.x[i] > plot.x_end || !std::isfinite(plot.y[i])) continue;
    const auto c =
        std::min(n - 1, static_cast<std::size_t>(plot.x[i] / plot.x_end * static_cast<double>(n)));
    level[c] = std::max(level[c], std::abs(plot.y[i]));
  }
  const double top = *std::max_element(level.begin(), level.end());
  if (!(top > 0)) return {};
  std::vector<std::string> lines;
  for (std::size_t r = 0; r < height; ++r) {
    const std::size_t above = (height - 1 - r) * 8;  // eighths below this row
    std::string line = padded(r == 0            ? significant(top)
                              : r + 1 == height ? "0"
                                                : "",
                              label_width - 2, true) +
                       (unicode ? " │" : " |");
    for (const double y : level) {
      const auto eighth =
          static_cast<std::size_t>(std::lround(y / top * static_cast<double>(8 * height)));
      const std::size_t here = eighth > above ? std::min<std::size_t>(8, eighth - above) : 0;
      line += unicode ? eighths.at(here) : ascii.at(here);
    }
    trim_end(line);
    lines.push_back(std::move(line));
  }
  std::array<bool, 5> used{};
  const std::string marks = marker_line(plot, n, used);
  if (!marks.empty()) lines.push_back(std::string(label_width, ' ') + marks);
  const std::string last = significant(plot.x_end) + " " + plot.x_unit;
  lines.push_back(std::string(label_width, ' ') + "0" + padded(last, n - 1, true));
  std::string legend;
  for (std::size_t k = 0; k < used.size(); ++k)
    if (used.at(k)) {
      legend += legend.empty() ? "" : ", ";
      legend += letter(static_cast<MarkerKind>(k));
      legend += std::string{" "}.append(kind_names.at(k));
    }
  if (!legend.empty()) {
    legend += "; capital: a line is present, small: expected position";
    for (std::string& l : wrapped(legend, n)) lines.push_back(std::string(label_width, ' ') + l);
  }
  return lines;
}

}  // namespace bearingdsp
