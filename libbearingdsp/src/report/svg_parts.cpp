#include "svg_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/sentence.hpp"
#include "markup.hpp"
#include "svg_panel.hpp"

namespace bearingdsp::svg {

std::string text_at(double x, double y, std::string_view text, std::string_view attributes) {
  return fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" {}>{}</text>\n", x, y, attributes,
                     escaped(text));
}

namespace {

struct MarkerStyle {
  std::string_view colour, dash, letter, name;
};
/// Okabe-Ito colours; dashes differ so that colour is never the only sign.
constexpr std::array<MarkerStyle, 5> styles{{{"#D55E00", "none", "O", "outer ring"},
                                             {"#0072B2", "7 3", "I", "inner ring"},
                                             {"#009E73", "2 2", "E", "rolling element"},
                                             {"#CC79A7", "9 3 2 3", "C", "cage"},
                                             {"#767676", "1 4", "S", "shaft"}}};
const MarkerStyle& style_of(MarkerKind kind) { return styles.at(static_cast<std::size_t>(kind)); }

std::string marker_name(const PlotMarker& m) {
  std::string text = m.harmonic == 1 ? "" : fmt::format("{}", m.harmonic);
  text += style_of(m.kind).letter;
  if (m.sideband != 0) text += fmt::format("{:+d}", m.sideband);
  return text;
}

}  // namespace

std::string rule(double x1, double y1, double x2, double y2, std::string_view colour,
                 std::string_view more) {
  return fmt::format(
      "<line x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\" stroke=\"{}\" {}/>\n", x1, y1,
      x2, y2, colour, more);
}

double tick_step(double span, double wanted) {
  const double raw = span / wanted;
  const double power = std::pow(10.0, std::floor(std::log10(raw)));
  const double lead = raw / power;
  return power * (lead < 1.5 ? 1 : lead < 3.5 ? 2 : lead < 7.5 ? 5 : 10);
}

std::string tick_text(double value, double step) {
  if (std::abs(value) < step * 1e-6) return "0";
  if (std::abs(value) >= 1e6 || step < 1e-4) return fmt::format("{:.2g}", value);
  const int decimals = std::max(0, static_cast<int>(-std::floor(std::log10(step) + 1e-9)));
  return fmt::format("{:.{}f}", value, decimals);
}

std::vector<double> ticks(double low, double high, double step) {
  const auto first = std::llround(std::ceil(low / step));
  const auto last = std::llround(std::floor(high / step + 1e-9));
  std::vector<double> all;
  for (auto k = first; k <= last; ++k) all.push_back(static_cast<double>(k) * step);
  return all;
}

std::string frame_box(const Frame& f) {
  return fmt::format(
      "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" fill=\"none\" "
      "stroke=\"{}\"/>\n",
      f.left, f.top, f.width, f.height, frame_ink);
}

std::string axis_name(const std::string& label, const std::string& unit) {
  return unit.empty() || unit == "1" ? label : fmt::format("{} / {}", label, unit);
}

std::string y_name(const Frame& f, const std::string& name) {
  const double middle = f.top + f.height / 2;
  return text_at(
      14, middle, name,
      fmt::format("class=\"label\" text-anchor=\"middle\" transform=\"rotate(-90 14 {:.1f})\"",
                  middle));
}

std::string x_axis(const Frame& f, const std::string& name, bool lines) {
  std::string out;
  const double step = tick_step(f.x_high - f.x_low, f.width / 85);
  for (const double t : ticks(f.x_low, f.x_high, step)) {
    out += lines ? rule(f.px(t), f.top, f.px(t), f.top + f.height, faint)
                 : rule(f.px(t), f.top + f.height, f.px(t), f.top + f.height + 4, frame_ink);
    out += text_at(f.px(t), f.top + f.height + 16, tick_text(t, step),
                   "class=\"tick\" text-anchor=\"middle\"");
  }
  return out + text_at(f.left + f.width / 2, f.top + f.height + 36, name,
                       "class=\"label\" text-anchor=\"middle\"");
}

/// Vertical marks with names above the frame, in rows so that no two names overlap. Lines that
/// stand get their room first; a name that finds none is left out, its mark is drawn all the same.
std::string marks(const std::vector<PlotMarker>& markers, const Frame& f, bool short_ones) {
  std::string out;
  std::vector<const PlotMarker*> order;
  for (const PlotMarker& m : markers)
    if (m.x >= f.x_low && m.x <= f.x_high) order.push_back(&m);
  std::stable_sort(order.begin(), order.end(), [](const PlotMarker* a, const PlotMarker* b) {
    const auto rank = [](const PlotMarker& m) {
      return (m.kind == MarkerKind::shaft ? 4 : 0) + (m.detected ? 0 : 2) +
             (m.sideband == 0 ? 0 : 1);
    };
    return rank(*a) < rank(*b);
  });
  struct Taken {
    double from, to;
  };
  std::array<std::vector<Taken>, label_rows> rows;
  // In a map the line itself is visible: a tick at each end points to it.
  std::array<std::string, styles.size()> ticks_of;
  for (const PlotMarker* m : order) {
    const MarkerStyle& s = style_of(m->kind);
    const double x = f.px(m->x);
    if (short_ones)
      ticks_of.at(static_cast<std::size_t>(m->kind)) +=
          fmt::format("M{:.1f} {:.1f}v-5M{:.1f} {:.1f}v5", x, f.top, x, f.top + f.height);
    else
      out += rule(x, f.top, x, f.top + f.height, s.colour,
                  fmt::format("stroke-width=\"{}\" stroke-dasharray=\"{}\" stroke-opacity=\"{}\" ",
                              m->detected && m->sideband == 0 ? "1.6" : "1", s.dash,
                              m->detected ? "0.85" : "0.45"));
    const std::string label = marker_name(*m);
    const double half = letter_width * static_cast<double>(label.size()) / 2 + 2;
    for (std::size_t r = 0; r < label_rows; ++r) {
      const bool free = std::none_of(rows.at(r).begin(), rows.at(r).end(), [&](const Taken& t) {
        return x - half < t.to && x + half > t.from;
      });
      if (!free) continue;
      rows.at(r).push_back({x - half, x + half});
      out += text_at(x, f.top - (short_ones ? 7 : 4) - label_row * static_cast<double>(r), label,
                     fmt::format("class=\"mark\" text-anchor=\"middle\" fill=\"{}\"{}", s.colour,
                                 m->detected ? " font-weight=\"bold\"" : ""));
      break;
    }
  }
  for (std::size_t k = 0; k < styles.size(); ++k)
    if (!ticks_of.at(k).empty())
      out += fmt::format("<path d=\"{}\" stroke=\"{}\" stroke-width=\"1.6\"/>\n", ticks_of.at(k),
                         styles.at(k).colour);
  return out;
}

std::string title_text(double x, double y, const std::string& title) {
  return text_at(x, y, capital(title), "class=\"panel\"");
}

namespace {

constexpr double legend_letter = 6.2, legend_sample = 44;  // px a letter; of the dash with its gaps

bool in_use(const std::vector<PlotMarker>& markers, std::size_t kind) {
  return std::any_of(markers.begin(), markers.end(),
                     [&](const PlotMarker& m) { return static_cast<std::size_t>(m.kind) == kind; });
}

std::string legend_text(std::size_t kind) {
  return fmt::format("{} {}", styles.at(kind).letter, styles.at(kind).name);
}

}  // namespace

double legend_width(const std::vector<PlotMarker>& markers) {
  double width = 0;
  for (std::size_t k = 0; k < styles.size(); ++k)
    if (in_use(markers, k))
      width += legend_letter * static_cast<double>(legend_text(k).size()) + legend_sample;
  return width;
}

std::string legend(const std::vector<PlotMarker>& markers, double x_end, double y) {
  std::string out;
  double x = x_end;
  for (std::size_t k = styles.size(); k-- > 0;) {
    if (!in_use(markers, k)) continue;
    const MarkerStyle& s = styles.at(k);
    const std::string text = legend_text(k);
    x -= legend_letter * static_cast<double>(text.size());
    out += text_at(x, y, text, "class=\"tick\"");
    out += rule(x - 30, y - 4, x - 6, y - 4, s.colour,
                fmt::format("stroke-width=\"2\" stroke-dasharray=\"{}\" ", s.dash));
    x -= legend_sample;
  }
  return out;
}

}  // namespace bearingdsp::svg
