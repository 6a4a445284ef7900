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

constexpr double between = 14;  ///< px between two panels

/// The picture as it grows downwards.
struct Sheet {
  double width;
  double y{34};
  std::string body{};

  void paragraph(std::string_view text, std::string_view style) {
    // About 7.2 px a letter at 14 px: the text wraps before it can leave the picture.
    for (const std::string& l :
         wrapped(printable(text), static_cast<std::size_t>((width - 48) / 7.2))) {
      y += 20;
      body += svg::text_at(24, y, l, style);
    }
  }
};

void add_head(Sheet& s, const Report& report) {
  s.body += svg::text_at(24, s.y, report.title,
                         fmt::format("class=\"title\" fill=\"{}\"", tone_colour(report.tone)));
  if (!report.headline.empty()) s.paragraph(report.headline, "class=\"text\"");
  for (const ReportSection& section : report.sections) {
    if (section.id != "certainty" && section.id != "record") continue;
    for (const KeyFigure& k : section.figures)
      s.paragraph(k.label + ": " + k.text, "class=\"small\"");
  }
  if (!report.source.empty()) s.paragraph(report.source, "class=\"small\"");
  s.y += 18;
}

void add_polars(Sheet& s, const std::vector<ReportPolar>& polars) {
  const auto across = static_cast<std::size_t>(std::max(1.0, s.width / svg::polar_width));
  for (std::size_t i = 0; i < polars.size(); ++i) {
    s.body += svg::polar_panel(polars[i], static_cast<double>(i % across) * svg::polar_width, s.y);
    if (i % across + 1 == across || i + 1 == polars.size()) s.y += svg::polar_height + between;
  }
}

void add_changes(Sheet& s, const ReportChanges& changes) {
  s.body += svg::changes_panel(changes, s.y, s.width);
  s.y += svg::changes_height(changes) - 10;
  for (const std::string& note : changes.notes) s.paragraph(note, "class=\"small\"");
  s.y += between;
}

void add_map(Sheet& s, const ReportMap& m) {
  if (!svg::drawable(m)) return;
  const double lift = svg::title_lift(m.title, m.markers, s.width);
  s.body += svg::map_panel(m, s.y + lift, s.width, lift);
  s.y += svg::map_height(m) + lift + between;
}

void add_plot(Sheet& s, const ReportPlot& plot, double height) {
  if (!svg::drawable(plot)) return;
  const double room = height + svg::name_room(plot);
  const double lift = svg::title_lift(plot.title, plot.markers, s.width);
  s.body += svg::panel(plot, s.y + lift, s.width, room, lift);
  s.y += room + lift + between;
}

}  // namespace

std::string to_svg(const Report& report, const SvgOptions& options) {
  Sheet s{static_cast<double>(std::max(options.width, 480))};
  const double height = std::max(options.panel_height, 160);
  add_head(s, report);
  add_polars(s, report.polars);
  if (report.changes) add_changes(s, *report.changes);
  std::size_t map = 0;
  const auto maps_until = [&](std::size_t plots) {
    for (; map < report.maps.size() && report.maps[map].after <= plots; ++map)
      add_map(s, report.maps[map]);
  };
  for (std::size_t i = 0; i < report.plots.size(); ++i) {
    maps_until(i);
    add_plot(s, report.plots[i], height);
  }
  maps_until(report.plots.size());
  return fmt::format(
             "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg "
             "xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" "
             "version=\"1.1\" width=\"{0:.0f}\" height=\"{1:.0f}\" viewBox=\"0 0 {0:.0f} {1:.0f}\" "
             "font-family=\"DejaVu Sans, Verdana, sans-serif\">\n"
             "<style>.title{{font-size:22px;font-weight:bold}}.text{{font-size:14px}}"
             ".small{{font-size:12px;fill:#444}}.panel{{font-size:13px;font-weight:bold}}"
             ".label{{font-size:12px}}.tick,.mark{{font-size:10.5px}}</style>\n"
             "<rect width=\"100%\" height=\"100%\" fill=\"#fdfdfb\"/>\n<g fill=\"{2}\">\n",
             s.width, s.y + 4, svg::ink) +
         s.body + "</g>\n</svg>\n";
}

}  // namespace bearingdsp
