#include "report/damage_sketch.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <utility>
#include <vector>

namespace bearingdsp::svg {
namespace sketch {
namespace {

constexpr std::string_view steel = "#e9ebee", groove = "#d3d8dd", track_shade = "#b9c0c7",
                           line = "#3b3b3b", dark = "#4a4f55", rust = "#a0522d", pit = "#6b7076",
                           bright = "#ffffff", blue = "#7d8fbf", brown = "#b98a50";

/// Repeatable scatter: the same drawing each time. Source: a linear congruential generator
class Scatter {
 public:
  explicit Scatter(std::uint32_t seed) : state_{seed} {}
  double between(double low, double high) {
    state_ = state_ * 1664525U + 1013904223U;
    return low + (high - low) * static_cast<double>(state_ >> 8U) / 16777216.0;
  }

 private:
  std::uint32_t state_;
};

struct P {
  double x, y;
};

/// A piece of a ring seen from above: u runs from -1 to 1 along it, v from 0 to 1 across it.
struct Ring {
  bool convex{true};  ///< inner ring, or the outside of an outer ring; else the raceway of an outer
  [[nodiscard]] P at(double u, double v, double radius = 1) const {
    constexpr double rx = 90, ry = 22, height = 64, reach = 1.35;
    const double theta = u * reach;
    const double bow = ry * std::cos(theta) * radius;
    const double top = convex ? 14 : 38;
    return {100 + rx * radius * std::sin(theta) / std::sin(reach),
            top + (convex ? bow : -bow) + v * height};
  }
};

std::string path(const std::vector<P>& points, std::string_view fill, std::string_view stroke,
                 double width = 1, bool closed = true) {
  std::string d;
  for (const P& p : points) d += fmt::format("{}{:.1f} {:.1f}", d.empty() ? "M" : "L", p.x, p.y);
  return fmt::format(
      "<path d=\"{}{}\" fill=\"{}\" stroke=\"{}\" stroke-width=\"{}\" "
      "stroke-linejoin=\"round\"/>",
      d, closed ? "Z" : "", fill, stroke, width);
}

/// A band along the ring between two v.
std::vector<P> band(const Ring& ring, double u1, double u2, double v1, double v2) {
  constexpr int steps = 24;
  std::vector<P> points;
  for (int i = 0; i <= steps; ++i) points.push_back(ring.at(u1 + (u2 - u1) * i / steps, v1));
  for (int i = steps; i >= 0; --i) points.push_back(ring.at(u1 + (u2 - u1) * i / steps, v2));
  return points;
}

/// A round spot on the ring; ragged where the scatter is given.
std::vector<P> spot(const Ring& ring, double u, double v, double ru, double rv,
                    Scatter* ragged = nullptr) {
  constexpr int steps = 16;
  std::vector<P> points;
  for (int i = 0; i < steps; ++i) {
    const double a = 2 * std::numbers::pi * i / steps;
    const double r = ragged != nullptr ? ragged->between(0.65, 1.2) : 1;
    points.push_back(ring.at(u + ru * r * std::cos(a), v + rv * r * std::sin(a)));
  }
  return points;
}

std::string curve(const Ring& ring, double u1, double v1, double u2, double v2,
                  std::string_view colour, double width) {
  constexpr int steps = 12;
  std::vector<P> points;
  for (int i = 0; i <= steps; ++i)
    points.push_back(ring.at(u1 + (u2 - u1) * i / steps, v1 + (v2 - v1) * i / steps));
  return path(points, "none", colour, width, false);
}

std::string crack(const Ring& ring, double u, double v1, double v2, Scatter& s, double width) {
  constexpr int steps = 8;
  std::vector<P> points;
  for (int i = 0; i <= steps; ++i)
    points.push_back(ring.at(u + s.between(-0.02, 0.02), v1 + (v2 - v1) * i / steps));
  return path(points, "none", line, width, false);
}

/// The ring without damage; with a groove, or smooth as a seat.
std::string body(const Ring& ring, bool raceway = true) {
  std::vector<P> face;
  constexpr int steps = 24;
  for (int i = 0; i <= steps; ++i) face.push_back(ring.at(-1 + 2.0 * i / steps, 0));
  for (int i = steps; i >= 0; --i)
    face.push_back(ring.at(-1 + 2.0 * i / steps, 0, ring.convex ? 0.8 : 1.13));
  std::string out = path(face, "#f6f7f8", line) + path(band(ring, -1, 1, 0, 1), steel, line, 1.4);
  if (raceway) out += path(band(ring, -1, 1, 0.18, 0.82), groove, "#8a8f95", 0.8);
  return out;
}

std::string track(const Ring& ring, double u1, double u2, double v1 = 0.36, double v2 = 0.64,
                  std::string_view shade = track_shade) {
  return path(band(ring, u1, u2, v1, v2), shade, "none");
}

const Ring inner{true}, outer{false}, seat{true};

std::string scattered(const Ring& ring, int n, double u1, double u2, double v1, double v2,
                      double size, std::string_view fill, std::string_view edge, Scatter& s) {
  std::string out;
  for (int i = 0; i < n; ++i) {
    const double r = size * s.between(0.6, 1.3);
    out += path(spot(ring, s.between(u1, u2), s.between(v1, v2), r, 1.4 * r), fill, edge, 0.6);
  }
  return out;
}

/// Elements stood at these places.
constexpr std::array<double, 5> pitch{-0.8, -0.4, 0.0, 0.4, 0.8};

std::string subsurface_fatigue() {
  Scatter s{3};
  std::string out = body(outer) + track(outer, -1, 1);
  out += path(spot(outer, 0.05, 0.5, 0.24, 0.17, &s), dark, line, 1.2);
  out += path(spot(outer, -0.32, 0.52, 0.08, 0.08, &s), dark, line);
  return out + scattered(outer, 26, -0.12, 0.2, 0.4, 0.6, 0.018, "#8d9399", "none", s);
}

std::string surface_fatigue() {
  Scatter s{5};
  std::string out = body(inner) + track(inner, -1, 1, 0.34, 0.66, "#a4a9ae");
  out += scattered(inner, 90, -0.95, 0.95, 0.36, 0.64, 0.007, dark, "none", s);
  // The arrow head behind a dent opens in the rolling direction.
  out +=
      path({inner.at(-0.05, 0.5), inner.at(0.14, 0.38), inner.at(0.11, 0.5), inner.at(0.14, 0.62)},
           "#7b8086", line);
  return out + path(spot(inner, -0.07, 0.5, 0.02, 0.03), bright, line);
}

std::string abrasive_wear() {
  std::string out = body(inner) + path(band(inner, -1, 1, 0.24, 0.76), "#adb2b7", line, 1);
  for (int i = 0; i < 11; ++i) {
    const double v = 0.28 + 0.044 * i;
    out += curve(inner, -0.95 + 0.05 * (i % 3), v, 0.95 - 0.07 * (i % 4), v, "#7c8187", 0.7);
  }
  return out;
}

std::string adhesive_wear() {
  Scatter s{9};
  std::string out = body(inner) + track(inner, -1, 1);
  for (const double u : {-0.5, -0.05, 0.45}) {
    out += path(spot(inner, u, 0.5, 0.16, 0.13, &s), "#f4f0e6", "#8a6d3b", 1);
    for (int i = 0; i < 5; ++i)
      out += curve(inner, u - 0.13, 0.42 + 0.04 * i, u + s.between(0.05, 0.16), 0.42 + 0.04 * i,
                   "#7a6a4a", 0.9);
  }
  return out;
}

std::string moisture_corrosion() {
  Scatter s{11};
  std::string out = body(outer) + track(outer, -1, 1);
  for (const double u : pitch)
    out += path(band(outer, u - 0.025, u + 0.025, 0.22, 0.78), "#54382a", "none");
  return out + scattered(outer, 34, -0.95, 0.95, 0.1, 0.9, 0.022, rust, "none", s);
}

std::string fretting_corrosion() {
  Scatter s{13};
  std::string out = body(seat, false);
  for (int i = 0; i < 9; ++i)
    out += path(spot(seat, s.between(-0.85, 0.85), s.between(0.15, 0.85), 0.1, 0.1, &s),
                i % 3 == 0 ? "#3d3a38" : rust, "none");
  return out + scattered(seat, 40, -0.9, 0.9, 0.1, 0.9, 0.01, "#c0754a", "none", s);
}

std::string false_brinelling() {
  Scatter s{17};
  std::string out = body(outer) + track(outer, -1, 1);
  for (const double u : pitch) {
    out += path(spot(outer, u, 0.5, 0.09, 0.2), "#b7a497", "#8d7c70", 0.8);
    out += scattered(outer, 14, u - 0.1, u + 0.1, 0.32, 0.68, 0.012, rust, "none", s);
  }
  return out;
}

std::string excessive_current() {
  Scatter s{19};
  std::string out = body(inner) + track(inner, -1, 1);
  for (int i = 0; i < 6; ++i) {
    const double u = -0.35 + 0.13 * i;
    const double v = 0.45 + 0.03 * (i % 3);
    out += path(spot(inner, u, v, 0.05, 0.07, &s), "#5a4a3c", "none");
    out += path(spot(inner, u, v, 0.03, 0.045), "#2d2a27", bright, 1.4);
  }
  return out;
}

std::string leakage_current() {
  std::string out = body(outer) + track(outer, -1, 1, 0.32, 0.68, "#c9cdd1");
  for (int i = 0; i < 31; ++i) {
    const double u = -0.96 + 0.064 * i;
    out += path(band(outer, u, u + 0.03, 0.32, 0.68), dark, "none");
  }
  return out;
}

std::string overload() {
  std::string out = body(outer) + track(outer, -1, 1);
  for (const double u : pitch) {
    out += path(spot(outer, u, 0.5, 0.085, 0.2), "#f4f6f8", line, 1.6);
    for (int i = -2; i <= 2; ++i)
      out += curve(outer, u - 0.05, 0.5 + 0.05 * i, u + 0.05, 0.5 + 0.05 * i, "#9aa0a6", 0.6);
  }
  return out;
}

std::string shock() {
  std::string out = body(outer) + track(outer, -1, 1);
  for (const double u : {-0.05, 0.35, 0.75})
    out += path(spot(outer, u, 0.68, 0.08 + 0.02 * u, 0.13), dark, bright, 1.8);
  return out;
}

std::string particles() {
  Scatter s{23};
  return body(inner) + track(inner, -1, 1) +
         scattered(inner, 42, -0.9, 0.9, 0.28, 0.72, 0.024, pit, bright, s);
}

std::string forced_fracture() {
  Scatter s{29};
  std::string out = body(inner) + track(inner, -1, 1);
  std::vector<P> chip;
  for (int i = 0; i <= 10; ++i) chip.push_back(inner.at(-0.2 + 0.05 * i, -0.04));
  for (int i = 10; i >= 0; --i)
    chip.push_back(inner.at(-0.2 + 0.05 * i, 0.18 * std::sin(0.31 * i) + s.between(0.0, 0.07)));
  out += path(chip, "#fdfdfd", line, 1.4);
  for (int i = 0; i < 7; ++i)
    out += curve(inner, -0.15 + 0.06 * i, 0.2, -0.13 + 0.06 * i, 0.27, "#8a8f95", 1);
  return out;
}

std::string fatigue_fracture() {
  Scatter s{31};
  std::string out = body(inner) + track(inner, -1, 1) + crack(inner, -0.45, 0, 1, s, 2);
  // The opened crack: beach marks around where it began.
  out +=
      "<rect x=\"112\" y=\"44\" width=\"56\" height=\"44\" fill=\"#e3e6e9\" stroke=\"#3b3b3b\"/>";
  for (int r = 8; r <= 40; r += 8)
    out +=
        fmt::format("<path d=\"M112 {0}A{1} {1} 0 0 1 {2} 88\" fill=\"none\" stroke=\"#6b7076\"/>",
                    88 - r, r, 112 + r);
  return out + "<circle cx=\"113\" cy=\"87\" r=\"3\" fill=\"#3b3b3b\"/>";
}

std::string thermal_cracks() {
  Scatter s{37};
  std::string out = body(inner);
  out += path(band(inner, -1, 1, 0, 0.18), blue, "#3b3b3b", 0.6);
  out += path(band(inner, -1, 1, 0.82, 1), brown, "#3b3b3b", 0.6) + track(inner, -1, 1);
  for (int i = 0; i < 17; ++i) out += crack(inner, -0.9 + 0.11 * i, 0.01, 0.16, s, 1.2);
  return out;
}

std::string frosting() {
  Scatter s{41};
  return body(outer) + track(outer, -1, 1, 0.3, 0.7, "#9fa5ab") +
         scattered(outer, 150, -0.97, 0.97, 0.31, 0.69, 0.006, "#dfe3e6", "none", s);
}

std::string creep() {
  std::string out = body(seat, false);
  for (int i = 0; i < 14; ++i) {
    const double v = 0.12 + 0.058 * i;
    out +=
        curve(seat, -0.97, v, 0.97, v, i % 3 == 0 ? "#5d6268" : "#a5abb1", i % 3 == 0 ? 1.6 : 0.8);
  }
  return out;
}

std::string rib_wear() {
  std::string out = body(inner);
  out += path(band(inner, -1, 1, 0.1, 0.2), "#fafbfc", line, 1);
  out += path(band(inner, -1, 1, 0.8, 0.9), "#fafbfc", line, 1);
  for (int i = 0; i < 24; ++i) {
    const double u = -0.95 + 0.08 * i;
    out += curve(inner, u, 0.11, u + 0.06, 0.19, "#7c8187", 0.8);
    out += curve(inner, u, 0.81, u + 0.06, 0.89, "#7c8187", 0.8);
  }
  // A roller with scored ends.
  return out + path(band(inner, -0.14, 0.14, 0.22, 0.78), "#f2f4f6", line, 1.2) +
         curve(inner, -0.12, 0.27, 0.12, 0.27, dark, 1) +
         curve(inner, -0.12, 0.73, 0.12, 0.73, dark, 1);
}

std::string scoring() {
  Scatter s{43};
  std::string out = body(inner) + track(inner, -1, 1);
  for (const double u : pitch) out += curve(inner, u, 0.2, u + 0.03, 0.78, "#2f3338", 1.6);
  for (int i = 0; i < 4; ++i) {
    const double v = s.between(0.4, 0.6);
    out += curve(inner, -0.9, v, -0.3, v, "#5d6268", 1);
  }
  return out;
}

/// A cage rolled out: pockets between bars.
std::string cage(bool broken) {
  std::string out =
      "<rect x=\"8\" y=\"22\" width=\"184\" height=\"70\" fill=\"#e6d9b8\" stroke=\"#3b3b3b\" "
      "stroke-width=\"1.4\"/>";
  for (int i = 0; i < 5; ++i) {
    const int x = 16 + 36 * i;
    out += fmt::format(
        "<rect x=\"{}\" y=\"36\" width=\"{}\" height=\"42\" rx=\"8\" fill=\"#fdfdfd\" "
        "stroke=\"#3b3b3b\"/>",
        x, 25);
    if (!broken)  // worn on the side that drives the element
      out += fmt::format(
          "<path d=\"M{0} 42Q{1} 57 {0} 72\" fill=\"#c9b27a\" stroke=\"#7a5c1e\" "
          "stroke-width=\"1.6\"/>",
          x + 25, x + 35);
  }
  if (broken)
    out +=
        "<path d=\"M76 22L80 40L75 56L81 74L77 92\" fill=\"none\" stroke=\"#fdfdfd\" "
        "stroke-width=\"9\"/><path d=\"M72 22L76 40L71 56L77 74L73 92M81 22L85 40L80 56L86 74L82 "
        "92\" fill=\"none\" stroke=\"#3b3b3b\" stroke-width=\"1.6\"/>"
        "<path d=\"M126 98l10-6l6 7l-9 6z\" fill=\"#e6d9b8\" stroke=\"#3b3b3b\"/>";
  return out;
}

/// A bearing cut open: rings above and below, an element, and what is around it.
std::string cut_bearing(std::string_view between, std::string_view inside) {
  return fmt::format(
      "<rect x=\"30\" y=\"26\" width=\"140\" height=\"58\" fill=\"{}\"/>{}"
      "<path d=\"M30 12H170V34H122Q100 18 78 34H30Z\" fill=\"#e9ebee\" stroke=\"#3b3b3b\" "
      "stroke-width=\"1.4\"/><path d=\"M30 100H170V78H122Q100 94 78 78H30Z\" fill=\"#e9ebee\" "
      "stroke=\"#3b3b3b\" stroke-width=\"1.4\"/><circle cx=\"100\" cy=\"56\" r=\"29\" "
      "fill=\"#f6f7f8\" stroke=\"#3b3b3b\" stroke-width=\"1.4\"/>",
      between, inside);
}

std::string seal() {
  return cut_bearing(
      "#f3efe2",
      "<path d=\"M44 34L44 64L40 71\" fill=\"none\" stroke=\"#222\" stroke-width=\"6\"/>"
      "<path d=\"M38 78L48 72L43 82Z\" fill=\"#222\"/><path d=\"M156 34V78\" fill=\"none\" "
      "stroke=\"#222\" stroke-width=\"6\"/><path d=\"M152 50l8 4l-8 5l8 5l-8 5\" fill=\"none\" "
      "stroke=\"#fdfdfd\" stroke-width=\"1.6\"/>");
}

std::string dry_grease() {
  Scatter s{47};
  std::string cracks;
  for (int i = 0; i < 12; ++i) {
    const double x = i < 6 ? s.between(34, 64) : s.between(136, 166);
    const double y = s.between(38, 74);
    cracks +=
        fmt::format("<path d=\"M{:.0f} {:.0f}l5 4l-3 6\" fill=\"none\" stroke=\"#6b4a1f\"/>", x, y);
  }
  return cut_bearing("#d2b48c", cracks);
}

std::string milky_grease() {
  Scatter s{53};
  std::string drops;
  for (int i = 0; i < 22; ++i)
    drops += fmt::format(
        "<circle cx=\"{:.0f}\" cy=\"{:.0f}\" r=\"2.4\" fill=\"#cfe3f2\" stroke=\"#6f93ad\" "
        "stroke-width=\".7\"/>",
        i < 11 ? s.between(34, 66) : s.between(134, 166), s.between(38, 74));
  return cut_bearing("#f5f3ea", drops);
}

std::string churned_grease() {
  std::string out =
      "<path d=\"M30 36Q4 44 14 62Q22 78 30 76Z\" fill=\"#e8c65a\" stroke=\"#8a6d1a\"/>"
      "<path d=\"M170 36Q198 46 188 64Q178 80 170 76Z\" fill=\"#e8c65a\" stroke=\"#8a6d1a\"/>";
  Scatter s{59};
  for (int i = 0; i < 20; ++i)
    out += fmt::format(
        "<circle cx=\"{:.0f}\" cy=\"{:.0f}\" r=\"2.6\" fill=\"#f6e6ad\" stroke=\"#a98a2f\" "
        "stroke-width=\".6\"/>",
        i < 10 ? s.between(20, 64) : s.between(136, 182), s.between(42, 70));
  return cut_bearing("#e8c65a", out);
}

/// A running track on a ring rolled out: half width and middle over the angle.
struct Trace {
  double (*half)(double);    ///< of the width of the strip, 0 .. 0.5; 0: no track there
  double (*middle)(double);  ///< from 0 to 1 across the strip
};

double none_at(double) { return 0.5; }
double even(double) { return 0.11; }
/// An arc of 130 degrees around 180, widest in the middle.
double arc(double degrees) {
  const double off = std::abs(degrees - 180) / 65;
  return off < 1 ? 0.15 * std::sqrt(1 - off * off) : 0;
}
double long_arc(double degrees) {
  const double off = std::abs(degrees - 180) / 110;
  return off < 1 ? 0.15 * std::sqrt(1 - off * off) : 0;
}
double wide(double) { return 0.2; }
double all_widest(double degrees) {
  return 0.11 + 0.07 * std::cos((degrees - 180) * std::numbers::pi / 180);
}
double two_arcs(double degrees) {
  const double off = std::abs(std::remainder(degrees - 90, 180)) / 48;
  return off < 1 ? 0.14 * std::sqrt(1 - off * off) : 0;
}
double slanted(double degrees) { return 0.5 - 0.2 * std::cos(degrees * std::numbers::pi / 180); }
double above(double) { return 0.3; }
double below(double) { return 0.7; }
double slightly_above(double) { return 0.36; }
double slightly_below(double) { return 0.64; }

std::string strip(double top, std::string_view name, const Trace& trace) {
  constexpr double left = 36, width = 158, height = 36;
  std::string out = fmt::format(
      "<text x=\"2\" y=\"{}\" font-size=\"11\" fill=\"#1a1a1a\">{}</text><rect x=\"{}\" y=\"{}\" "
      "width=\"{}\" height=\"{}\" fill=\"{}\" stroke=\"{}\" stroke-width=\"1.3\"/>",
      top + 22, name, left, top, width, height, groove, line);
  std::vector<P> upper, lower;
  const auto close = [&] {
    if (upper.size() > 1) {
      upper.insert(upper.end(), lower.rbegin(), lower.rend());
      out += path(upper, "#7c848c", "none");
    }
    upper.clear();
    lower.clear();
  };
  for (int degrees = 0; degrees <= 360; degrees += 3) {
    const double half = trace.half(degrees);
    if (half <= 0) {
      close();
      continue;
    }
    const double x = left + width * degrees / 360.0;
    const double middle = trace.middle(degrees);
    upper.push_back({x, top + height * (middle - half)});
    lower.push_back({x, top + height * (middle + half)});
  }
  close();
  return out;
}

/// `load`: the meaning of the arrow; `moves`: which ring rotates.
std::string traces(const Trace& on_outer, const Trace& on_inner, std::string_view load = "load",
                   std::string_view moves = "inner") {
  std::string out = strip(18, "outer", on_outer) + strip(62, "inner", on_inner);
  out += fmt::format(
      "<path d=\"{}\" fill=\"none\" stroke=\"#a33b00\" stroke-width=\"2\"/><text x=\"124\" "
      "y=\"12\" font-size=\"11\" fill=\"#a33b00\">{}</text>",
      load == "axial load" ? "M197 28V96M193 90L197 96L200 90" : "M115 2V12M110 8L115 14L120 8",
      load);
  return out + fmt::format(
                   "<text x=\"36\" y=\"110\" font-size=\"10\" fill=\"#444\">rolled out; {} ring "
                   "rotates</text>",
                   moves);
}

struct Named {
  std::string_view mode;
  std::string (*draw)();
};

constexpr std::array<Named, 34> all{{
    {"subsurface initiated fatigue", subsurface_fatigue},
    {"surface initiated fatigue", surface_fatigue},
    {"abrasive wear", abrasive_wear},
    {"adhesive wear", adhesive_wear},
    {"moisture corrosion", moisture_corrosion},
    {"fretting corrosion", fretting_corrosion},
    {"false brinelling", false_brinelling},
    {"excessive current erosion", excessive_current},
    {"current leakage erosion", leakage_current},
    {"overload deformation", overload},
    {"indentations from particles", particles},
    {"forced fracture", forced_fracture},
    {"fatigue fracture", fatigue_fracture},
    {"thermal cracking", thermal_cracks},
    {"grey frosting", frosting},
    {"shock dents", shock},
    {"creep of a ring", creep},
    {"rib wear", rib_wear},
    {"scoring", scoring},
    {"broken cage", [] { return cage(true); }},
    {"worn cage pockets", [] { return cage(false); }},
    {"hard or torn seal", seal},
    {"dry or hard grease", dry_grease},
    {"black grease", [] { return cut_bearing("#33302d", ""); }},
    {"milky grease", milky_grease},
    {"churned grease", churned_grease},
    {"normal track of a rotating inner ring",
     [] {
       return traces({arc, none_at}, {even, none_at});
     }},
    {"normal track of a rotating outer ring",
     [] {
       return traces({even, none_at}, {arc, none_at}, "load", "outer");
     }},
    {"slanted track",
     [] {
       return traces({even, slanted}, {wide, none_at});
     }},
    {"offset track",
     [] {
       return traces({long_arc, slightly_above}, {even, slightly_below}, "load + axial");
     }},
    {"thrust track",
     [] {
       return traces({even, above}, {even, below}, "axial load");
     }},
    {"preloaded track",
     [] {
       return traces({all_widest, none_at}, {even, none_at});
     }},
    {"oval track",
     [] {
       return traces({two_arcs, none_at}, {even, none_at});
     }},
    {"unbalance track",
     [] {
       return traces({even, none_at}, {arc, none_at}, "load turns");
     }},
}};

}  // namespace
}  // namespace sketch

std::string damage_sketch(std::string_view mode) {
  for (const sketch::Named& named : sketch::all)
    if (named.mode == mode)
      return fmt::format(
          "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 200 112\" role=\"img\" "
          "aria-label=\"{}\">{}</svg>\n",
          mode, named.draw());
  return {};
}

}  // namespace bearingdsp::svg
