#include "bearingdsp/report/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <vector>

#include "bearingdsp/core/sentence.hpp"
#include "text_table.hpp"
#include "utf8.hpp"

namespace bearingdsp {
namespace {

class Page {
 public:
  explicit Page(const TextOptions& options)
      : options_{options}, width_{static_cast<std::size_t>(std::max(options.width, 40))} {}

  void line(const std::string& text) { out_ += text + "\n"; }
  void blank() { out_ += "\n"; }

  /// Text after a label or bullet; the following lines hang under the first.
  void hanging(std::string_view head, std::string_view text, std::size_t indent,
               std::size_t head_width) {
    const std::size_t left = indent + head_width;
    const auto lines = wrapped(printable(text), width_ > left + 10 ? width_ - left : 10);
    for (std::size_t i = 0; i < lines.size(); ++i) {
      std::string whole(indent, ' ');
      whole += padded(i == 0 ? head : std::string_view{}, head_width, false) + lines[i];
      whole.resize(whole.find_last_not_of(' ') + 1);
      line(whole);
    }
  }

  void styled(std::string_view code, const std::string& text) {
    for (const std::string& l : wrapped(printable(text), width_))
      line(options_.colour ? fmt::format("\x1b[{}m{}\x1b[0m", code, l) : l);
  }

  [[nodiscard]] std::size_t width() const { return width_; }
  std::string take() { return std::move(out_); }

 private:
  const TextOptions& options_;
  std::size_t width_;
  std::string out_;
};

std::string_view code_of(Tone tone) {
  switch (tone) {
    case Tone::good:
      return "1;32";
    case Tone::doubt:
      return "1;36";
    case Tone::check:
      return "1;33";
    case Tone::bad:
    case Tone::urgent:
      return "1;31";
    case Tone::neutral:
      return "1";
  }
  return "1";
}

void put_section(Page& page, const ReportSection& s, const TextOptions&) {
  constexpr std::size_t indent = 2;
  page.blank();
  if (!s.title.empty()) page.styled("1", s.title);
  std::size_t label_width = 0;
  for (const KeyFigure& f : s.figures)
    label_width = std::max(label_width, display_width(printable(f.label)) + 2);
  label_width = std::min(label_width, page.width() / 2);
  for (const KeyFigure& f : s.figures) {
    const std::string label = printable(f.label);
    // A label that leaves no room stands in a line of its own.
    const bool fits = display_width(label) < label_width;
    if (!fits) page.hanging("", label, indent, 0);
    page.hanging(fits ? label : "", f.text, indent, label_width);
  }
  if (s.table)
    for (const std::string& l : table_lines(*s.table, page.width() - indent))
      page.line(l.empty() ? l : std::string(indent, ' ') + l);
  for (std::size_t i = 0; i < s.items.size(); ++i)
    page.hanging(s.numbered ? fmt::format("{}.", i + 1) : "-", s.items[i], indent,
                 s.numbered ? 3 : 2);
  for (const std::string& note : s.notes) page.hanging("", note, indent, 0);
}

/// In one line. A headline that begins with the words of the title goes on from it.
std::string title_and_headline(const std::string& title, const std::string& headline) {
  if (headline.empty()) return title;
  const bool same =
      headline.size() > title.size() && upper(headline.substr(0, title.size())) == title;
  if (same) return title + headline.substr(title.size());
  return title + (title.ends_with('?') ? " " : ". ") + headline;
}

}  // namespace

std::string to_text(const Report& report, const TextOptions& options) {
  Page page{options};
  if (options.brief) {
    std::string line = printable(report.source);
    if (!line.empty()) line += ": ";
    line += title_and_headline(printable(report.title), printable(report.headline));
    if (!report.brief.empty()) line += " " + printable(report.brief);
    page.line(line);
    return page.take();
  }
  if (!report.source.empty()) page.styled("2", report.source);
  page.styled(code_of(report.tone), report.title);
  if (!report.headline.empty()) page.hanging("", report.headline, 0, 0);
  for (const ReportSection& s : report.sections)
    if (!s.detail || options.details) put_section(page, s, options);
  // Charts are details. A waveform of bars says nothing, and other plots need more resolution than
  // a terminal has.
  std::vector<const ReportPlot*> charts;
  for (const ReportPlot& plot : report.plots)
    if (options.details && !plot.markers.empty() && plot.x_unit == "orders" && !plot.behind)
      charts.push_back(&plot);
  for (const ReportPlot* chart : charts) {
    const ReportPlot& plot = *chart;
    const auto lines = chart_lines(plot, page.width(), options.unicode);
    if (lines.empty()) continue;
    page.blank();
    const std::string& of = plot.y_unit.empty() ? plot.y_label : plot.y_unit;
    page.styled("1", plot.title + (of.empty() ? "" : fmt::format(" ({})", of)));
    for (const std::string& l : lines) page.line(l);
  }
  return page.take();
}

}  // namespace bearingdsp
