#include <fmt/format.h>

#include <array>
#include <cmath>
#include <numbers>
#include <string>
#include <string_view>

#include "markup.hpp"
#include "svg_panel.hpp"
#include "svg_parts.hpp"

namespace bearingdsp::svg {
namespace {

constexpr double polar_radius = 140;
/// Of the rotor the weights are drawn on a rim a little outside.
constexpr double label_gap = 16;
// As the other pictures: [okabe2008], each with a dash of its own.
struct ArrowStyle {
  std::string_view colour, dash;
};
constexpr std::array<ArrowStyle, 4> arrow_styles{
    {{"#3b3b3b", ""}, {"#0072b2", "6 3"}, {"#d55e00", ""}, {"#009e73", "2 3"}}};

struct Point {
  double x{0}, y{0};
};

Point at_angle(Point centre, double length, Degrees angle) {
  const double a = angle.value() * std::numbers::pi / 180;
  return {centre.x + length * std::sin(a), centre.y - length * std::cos(a)};
}

/// The head of an arrow that ends at `tip` and comes from `from`.
std::string arrow_head(Point from, Point tip, std::string_view colour) {
  const double direction = std::atan2(tip.y - from.y, tip.x - from.x);
  std::string corners = fmt::format("{:.1f},{:.1f}", tip.x, tip.y);
  for (const double side : {-0.4, 0.4})
    corners += fmt::format(" {:.1f},{:.1f}", tip.x - 10 * std::cos(direction + side),
                           tip.y - 10 * std::sin(direction + side));
  return fmt::format("<polygon points=\"{}\" fill=\"{}\"/>\n", corners, colour);
}

std::string grid(const ReportPolar& p, Point centre) {
  std::string out;
  for (const double part : {0.5, 1.0})
    out += fmt::format(
        "<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"{:.1f}\" fill=\"none\" stroke=\"{}\"/>\n",
        centre.x, centre.y, part * polar_radius, part < 1 ? faint : frame_ink);
  for (int degrees = 0; degrees < 360; degrees += 30) {
    const Degrees angle{static_cast<double>(degrees)};
    const Point rim = at_angle(centre, polar_radius, angle);
    const Point name = at_angle(centre, polar_radius + label_gap, angle);
    out += rule(centre.x, centre.y, rim.x, rim.y, faint);
    if (p.places.empty())
      out += text_at(name.x, name.y + 4, fmt::format("{}°", degrees),
                     "class=\"tick\" text-anchor=\"middle\"");
  }
  if (!p.rotor)
    out += text_at(centre.x + 4, centre.y - polar_radius / 2 - 3,
                   significant(p.full / 2, 2) + " " + p.unit, "class=\"tick\"");
  return out;
}

/// Small print under the circle.
std::string notes(const ReportPolar& p, Point centre) {
  std::string out;
  double y = centre.y + polar_radius + 40;
  for (const std::string& note : p.notes) {
    out += text_at(centre.x, y, note, "class=\"tick\" text-anchor=\"middle\"");
    y += 14;
  }
  return out;
}

/// A curved arrow outside the rim, and what it means.
std::string rotation(const ReportPolar& p, Point centre) {
  const double radius = polar_radius + 36;
  constexpr double middle = 24;  // degrees: between the places of usual rotors
  const double sign = p.rotation_clockwise ? 1 : -1;
  const Point begin = at_angle(centre, radius, Degrees{middle - sign * 14});
  const Point end = at_angle(centre, radius, Degrees{middle + sign * 14});
  const Point before = at_angle(centre, radius, Degrees{middle + sign * 9});
  std::string out = fmt::format(
      "<path d=\"M{:.1f} {:.1f}A{:.1f} {:.1f} 0 0 {} {:.1f} {:.1f}\" fill=\"none\" "
      "stroke=\"{}\" stroke-width=\"2\"/>\n",
      begin.x, begin.y, radius, radius, p.rotation_clockwise ? 1 : 0, end.x, end.y, ink);
  out += arrow_head(before, end, ink);
  out += text_at(centre.x + polar_width / 2 - 8, centre.y - polar_radius - 18, "rotation",
                 "class=\"tick\" text-anchor=\"end\"");
  return out;
}

std::string places(const ReportPolar& p, Point centre) {
  std::string out;
  for (const PolarPlace& place : p.places) {
    const Point at = at_angle(centre, polar_radius, place.angle);
    const Point name = at_angle(centre, polar_radius + label_gap, place.angle);
    out += fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"{}\" fill=\"{}\" stroke=\"{}\"/>\n",
                       at.x, at.y, place.chosen ? 7 : 4,
                       place.chosen ? arrow_styles[2].colour : "#fdfdfb", ink);
    out += text_at(name.x, name.y + 4, place.name,
                   place.chosen ? "class=\"tick\" text-anchor=\"middle\" font-weight=\"bold\""
                                : "class=\"tick\" text-anchor=\"middle\"");
  }
  if (p.rotor) {
    // The mark from which angles count.
    const Point in = at_angle(centre, polar_radius - 14, Degrees{0});
    const Point on = at_angle(centre, polar_radius, Degrees{0});
    out += rule(in.x, in.y, on.x, on.y, ink, "stroke-width=\"5\"");
    out += text_at(in.x, in.y + 12, "mark", "class=\"tick\" text-anchor=\"middle\"");
  }
  return out;
}

std::string arrows(const ReportPolar& p, Point centre) {
  std::string out;
  for (const PolarArrow& a : p.arrows) {
    const ArrowStyle& style = arrow_styles.at(static_cast<std::size_t>(a.style));
    const double scale = polar_radius / p.full;
    const Point from = at_angle(centre, scale * a.from_length, a.from_angle);
    const Point tip = at_angle(centre, scale * a.length, a.angle);
    if (std::hypot(tip.x - from.x, tip.y - from.y) < 1) continue;
    const std::string dash =
        style.dash.empty() ? "" : fmt::format(" stroke-dasharray=\"{}\"", style.dash);
    out += rule(from.x, from.y, tip.x, tip.y, style.colour, "stroke-width=\"2\"" + dash);
    out += arrow_head(from, tip, style.colour);
    if (a.name.empty()) continue;
    // Outside the tip, on the side that it points to.
    const Point name = at_angle(centre, scale * a.length + 7, a.angle);
    const bool left = tip.x < centre.x - 1;
    out += text_at(name.x, name.y + (tip.y > centre.y ? 9 : -1), a.name,
                   fmt::format("class=\"mark\" fill=\"{}\" text-anchor=\"{}\" {}", style.colour,
                               left ? "end" : "start", edged));
  }
  return out;
}

}  // namespace

std::string polar_panel(const ReportPolar& polar, double left, double top) {
  const Point centre{left + polar_width / 2, top + polar_height / 2};
  return title_text(left + 12, top + 14, polar.title) + grid(polar, centre) +
         rotation(polar, centre) + arrows(polar, centre) + places(polar, centre) +
         notes(polar, centre);
}

std::string picture(const ReportPolar& polar) {
  const Point centre{polar_width / 2, polar_height / 2};
  return fmt::format(
             "<svg viewBox=\"0 0 {0:.0f} {1:.0f}\" width=\"{0:.0f}\" height=\"{1:.0f}\" "
             "role=\"img\" aria-label=\"{2}\">\n",
             polar_width, polar_height, escaped(polar.title)) +
         grid(polar, centre) + rotation(polar, centre) + arrows(polar, centre) +
         places(polar, centre) + "</svg>\n";
}

}  // namespace bearingdsp::svg
