#include "bearingdsp/report/svg.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/report/text.hpp"
#include "svg_panel.hpp"
#include "utf8.hpp"

namespace bearingdsp {
namespace {

std::string_view tone_colour(Tone tone) {
  switch (tone) {
    case Tone::good:
      return "#00694d";
    case Tone::doubt:
      return "#8a6d00";
    case Tone::check:
    case Tone::bad:
    case Tone::urgent:
      return "#a83f00";
    case Tone::neutral:
      return svg::ink;
  }
  return svg::ink;
}

}  // namespace

std::string to_svg(const Report& report, const SvgOptions& options) {
  const double width = std::max(options.width, 480);
  const double height = std::max(options.panel_height, 160);
  std::string body;
  double y = 34;
  body += svg::text_at(24, y, report.title,
                       fmt::format("class=\"title\" fill=\"{}\"", tone_colour(report.tone)));
  const auto paragraph = [&](std::string_view text, std::string_view style) {
    // About 7.2 px a letter at 14 px: the text wraps before it can leave the picture.
    for (const std::string& l :
         wrapped(printable(text), static_cast<std::size_t>((width - 48) / 7.2))) {
      y += 20;
      body += svg::text_at(24, y, l, style);
    }
  };
  if (!report.headline.empty()) paragraph(report.headline, "class=\"text\"");
  for (const ReportSection& s : report.sections) {
    if (s.id != "certainty" && s.id != "record") continue;
    for (const KeyFigure& k : s.figures) paragraph(k.label + ": " + k.text, "class=\"small\"");
  }
  if (!report.source.empty()) paragraph(report.source, "class=\"small\"");
  y += 18;
  constexpr double between = 14;
  const auto across = static_cast<std::size_t>(std::max(1.0, width / svg::polar_width));
  for (std::size_t i = 0; i < report.polars.size(); ++i) {
    body +=
        svg::polar_panel(report.polars[i], static_cast<double>(i % across) * svg::polar_width, y);
    if (i % across + 1 == across || i + 1 == report.polars.size()) y += svg::polar_height + between;
  }
  if (report.changes) {
    body += svg::changes_panel(*report.changes, y, width);
    y += svg::changes_height(*report.changes) - 10;
    for (const std::string& note : report.changes->notes) paragraph(note, "class=\"small\"");
    y += between;
  }
  std::size_t map = 0;
  const auto maps_until = [&](std::size_t plots) {
    for (; map < report.maps.size() && report.maps[map].after <= plots; ++map) {
      if (!svg::drawable(report.maps[map])) continue;
      const ReportMap& m = report.maps[map];
      const double lift = svg::title_lift(m.title, m.markers, width);
      body += svg::map_panel(m, y + lift, width, lift);
      y += svg::map_height(m) + lift + between;
    }
  };
  for (std::size_t i = 0; i < report.plots.size(); ++i) {
    maps_until(i);
    const ReportPlot& plot = report.plots[i];
    if (!svg::drawable(plot)) continue;
    const double room = height + svg::name_room(plot);
    const double lift = svg::title_lift(plot.title, plot.markers, width);
    body += svg::panel(plot, y + lift, width, room, lift);
    y += room + lift + between;
  }
  maps_until(report.plots.size());
  y += 4;
  return fmt::format(
             "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg "
             "xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" "
             "version=\"1.1\" width=\"{0:.0f}\" height=\"{1:.0f}\" viewBox=\"0 0 {0:.0f} {1:.0f}\" "
             "font-family=\"DejaVu Sans, Verdana, sans-serif\">\n"
             "<style>.title{{font-size:22px;font-weight:bold}}.text{{font-size:14px}}"
             ".small{{font-size:12px;fill:#444}}.panel{{font-size:13px;font-weight:bold}}"
             ".label{{font-size:12px}}.tick,.mark{{font-size:10.5px}}</style>\n"
             "<rect width=\"100%\" height=\"100%\" fill=\"#fdfdfb\"/>\n<g fill=\"{2}\">\n",
             width, y, svg::ink) +
         body + "</g>\n</svg>\n";
}

}  // namespace bearingdsp
