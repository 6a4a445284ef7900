#include "svg_panel.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/history/time.hpp"
#include "markup.hpp"

namespace bearingdsp::svg {

std::string text_at(double x, double y, std::string_view text, std::string_view attributes) {
  return fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" {}>{}</text>\n", x, y, attributes,
                     escaped(text));
}

namespace {

constexpr double margin_left = 86, margin_right = 24, title_height = 24, axis_height = 46;
constexpr double label_row = 13;       // px between rows of marker names
constexpr std::size_t label_rows = 3;  // rows before a name is left out
constexpr double letter_width = 6.4;   // px a letter of the marker names, on the safe side
constexpr std::string_view faint = "#d9d9d9", curve_ink = "#3b3b3b";

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

std::string rule(double x1, double y1, double x2, double y2, std::string_view colour,
                 std::string_view more = "") {
  return fmt::format(
      "<line x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\" stroke=\"{}\" {}/>\n", x1, y1,
      x2, y2, colour, more);
}

/// Round step that gives about `wanted` ticks over the span: 1, 2 or 5 times a power of ten.
double tick_step(double span, double wanted) {
  const double raw = span / wanted;
  const double power = std::pow(10.0, std::floor(std::log10(raw)));
  const double lead = raw / power;
  return power * (lead < 1.5 ? 1 : lead < 3.5 ? 2 : lead < 7.5 ? 5 : 10);
}

/// A tick's number with the decimals that its step needs.
std::string tick_text(double value, double step) {
  if (std::abs(value) < step * 1e-6) return "0";
  if (std::abs(value) >= 1e6 || step < 1e-4) return fmt::format("{:.2g}", value);
  const int decimals = std::max(0, static_cast<int>(-std::floor(std::log10(step) + 1e-9)));
  return fmt::format("{:.{}f}", value, decimals);
}

struct Frame {
  double left, top, width, height;      // of the plotting area, px
  double x_low, x_high, y_low, y_high;  // data
  [[nodiscard]] double px(double x) const { return left + (x - x_low) / (x_high - x_low) * width; }
  [[nodiscard]] double py(double y) const {
    return top + height - (y - y_low) / (y_high - y_low) * height;
  }
};

/// Points of the curve: smallest and largest value of each pixel column, in their order.
std::string path_of(const ReportPlot& plot, const Frame& f) {
  std::string path;
  const auto add = [&](std::size_t i) {
    path += fmt::format("{}{:.1f} {:.1f}", path.empty() ? "M" : "L", f.px(plot.x[i]),
                        f.py(std::clamp(plot.y[i], f.y_low, f.y_high)));
  };
  std::size_t i = 0;
  const std::size_t n = plot.x.size();
  while (i < n) {
    if (!std::isfinite(plot.y[i]) || plot.x[i] < f.x_low || plot.x[i] > f.x_high) {
      ++i;
      continue;
    }
    const double column = std::floor(f.px(plot.x[i]));
    std::size_t low = i, high = i;
    for (; i < n && plot.x[i] <= f.x_high && std::floor(f.px(plot.x[i])) == column; ++i) {
      if (!std::isfinite(plot.y[i])) continue;
      if (plot.y[i] < plot.y[low]) low = i;
      if (plot.y[i] > plot.y[high]) high = i;
    }
    add(std::min(low, high));
    if (low != high) add(std::max(low, high));
  }
  return path;
}

/// Days between the ticks of a time axis that leave room for their dates.
double date_step(double span, double wanted) {
  constexpr double day = 86400;
  for (const double days : {1.0, 2.0, 7.0, 14.0, 30.0, 61.0, 122.0, 365.0, 730.0})
    if (span / (days * day) <= wanted) return days * day;
  return 1826 * day;
}

std::string date_text(double seconds) {
  return format_date(UtcTime{std::chrono::milliseconds{std::llround(seconds * 1000)}});
}

/// Multiples of the step from low to high.
std::vector<double> ticks(double low, double high, double step) {
  const auto first = std::llround(std::ceil(low / step));
  const auto last = std::llround(std::floor(high / step + 1e-9));
  std::vector<double> all;
  for (auto k = first; k <= last; ++k) all.push_back(static_cast<double>(k) * step);
  return all;
}

std::string axes(const ReportPlot& plot, const Frame& f) {
  std::string out;
  const bool dates = plot.kind == PlotKind::readings;
  const double span = f.x_high - f.x_low;
  const double xs = dates ? date_step(span, f.width / 95) : tick_step(span, f.width / 85);
  for (const double t : ticks(f.x_low, f.x_high, xs)) {
    out += rule(f.px(t), f.top, f.px(t), f.top + f.height, faint);
    out += text_at(f.px(t), f.top + f.height + 16, dates ? date_text(t) : tick_text(t, xs),
                   "class=\"tick\" text-anchor=\"middle\"");
  }
  const double ys = tick_step(f.y_high - f.y_low, f.height / 38);
  for (const double t : ticks(f.y_low, f.y_high, ys)) {
    out += rule(f.left, f.py(t), f.left + f.width, f.py(t), faint);
    out += text_at(f.left - 7, f.py(t) + 4, tick_text(t, ys), "class=\"tick\" text-anchor=\"end\"");
  }
  out += fmt::format(
      "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" fill=\"none\" "
      "stroke=\"#8a8a8a\"/>\n",
      f.left, f.top, f.width, f.height);
  const auto named = [](const std::string& label, const std::string& unit) {
    return unit.empty() || unit == "1" ? label : fmt::format("{} / {}", label, unit);
  };
  out += text_at(f.left + f.width / 2, f.top + f.height + 36, named(plot.x_label, plot.x_unit),
                 "class=\"label\" text-anchor=\"middle\"");
  const double y_mid = f.top + f.height / 2;
  out += text_at(
      20, y_mid, named(plot.y_label, plot.y_unit),
      fmt::format("class=\"label\" text-anchor=\"middle\" transform=\"rotate(-90 20 {:.1f})\"",
                  y_mid));
  return out;
}

std::string marker_name(const PlotMarker& m) {
  std::string text = m.harmonic == 1 ? "" : fmt::format("{}", m.harmonic);
  text += style_of(m.kind).letter;
  if (m.sideband != 0) text += fmt::format("{:+d}", m.sideband);
  return text;
}

/// Vertical marks with names above the frame, in rows so that no two names overlap. Lines that
/// stand get their room first; a name that finds none is left out, its mark is drawn all the same.
std::string marks(const ReportPlot& plot, const Frame& f) {
  std::string out;
  std::vector<const PlotMarker*> order;
  for (const PlotMarker& m : plot.markers)
    if (m.x >= f.x_low && m.x <= f.x_high) order.push_back(&m);
  std::stable_sort(order.begin(), order.end(), [](const PlotMarker* a, const PlotMarker* b) {
    const auto rank = [](const PlotMarker& m) {
      return (m.kind == MarkerKind::shaft ? 4 : 0) + (m.stands ? 0 : 2) + (m.sideband == 0 ? 0 : 1);
    };
    return rank(*a) < rank(*b);
  });
  struct Taken {
    double from, to;
  };
  std::array<std::vector<Taken>, label_rows> rows;
  for (const PlotMarker* m : order) {
    const MarkerStyle& s = style_of(m->kind);
    const double x = f.px(m->x);
    out += rule(x, f.top, x, f.top + f.height, s.colour,
                fmt::format("stroke-width=\"{}\" stroke-dasharray=\"{}\" stroke-opacity=\"{}\" ",
                            m->stands && m->sideband == 0 ? "1.6" : "1", s.dash,
                            m->stands ? "0.85" : "0.45"));
    const std::string label = marker_name(*m);
    const double half = letter_width * static_cast<double>(label.size()) / 2 + 2;
    for (std::size_t r = 0; r < label_rows; ++r) {
      const bool free = std::none_of(rows.at(r).begin(), rows.at(r).end(), [&](const Taken& t) {
        return x - half < t.to && x + half > t.from;
      });
      if (!free) continue;
      rows.at(r).push_back({x - half, x + half});
      out += text_at(x, f.top - 4 - label_row * static_cast<double>(r), label,
                     fmt::format("class=\"mark\" text-anchor=\"middle\" fill=\"{}\"{}", s.colour,
                                 m->stands ? " font-weight=\"bold\"" : ""));
      break;
    }
  }
  return out;
}

std::string legend(const ReportPlot& plot, double x_end, double y) {
  std::string out;
  double x = x_end;
  for (std::size_t k = styles.size(); k-- > 0;) {
    const MarkerStyle& s = styles.at(k);
    if (std::none_of(plot.markers.begin(), plot.markers.end(),
                     [&](const PlotMarker& m) { return static_cast<std::size_t>(m.kind) == k; }))
      continue;
    const std::string text = fmt::format("{} {}", s.letter, s.name);
    x -= 6.6 * static_cast<double>(text.size());
    out += text_at(x, y, text, "class=\"tick\"");
    out += rule(x - 30, y - 4, x - 6, y - 4, s.colour,
                fmt::format("stroke-width=\"2\" stroke-dasharray=\"{}\" ", s.dash));
    x -= 46;
  }
  return out;
}

}  // namespace

namespace {

/// Limits across the frame and ranges behind the curve, each with its name.
std::string limits_and_ranges(const ReportPlot& plot, const Frame& f) {
  std::string out;
  for (const PlotRange& r : plot.ranges) {
    const double left = std::clamp(f.px(r.from), f.left, f.left + f.width);
    const double right = std::clamp(f.px(r.to), left, f.left + f.width);
    out += fmt::format(
        "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" fill=\"#efe6c4\"/>\n",
        left, f.top, std::max(2.0, right - left), f.height);
    out += text_at(right - 4, f.top + 14, r.name, "class=\"tick\" text-anchor=\"end\"");
  }
  for (const PlotLimit& l : plot.limits) {
    if (l.y < f.y_low || l.y > f.y_high) continue;
    out += rule(f.left, f.py(l.y), f.left + f.width, f.py(l.y), "#a33b00",
                "stroke-dasharray=\"8 4\" ");
    out += text_at(f.left + 6, f.py(l.y) - 4, l.name, "class=\"tick\" fill=\"#a33b00\"");
  }
  return out;
}

std::string dots(const ReportPlot& plot, const Frame& f) {
  std::string out;
  for (std::size_t i = 0; i < plot.x.size(); ++i)
    if (std::isfinite(plot.y[i]))
      out += fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"3\" fill=\"{}\"/>\n",
                         f.px(plot.x[i]), f.py(plot.y[i]), curve_ink);
  return out;
}

/// Readings do not begin in 1970, and a forecast lies behind the last of them.
void fit_readings(const ReportPlot& plot, Frame& f) {
  f.x_low = plot.x.front();
  for (const PlotRange& r : plot.ranges) f.x_high = std::max(f.x_high, r.to);
  const double margin = 0.03 * (f.x_high - f.x_low);
  f.x_low -= margin;
  f.x_high += margin;
  f.y_low = f.y_high = plot.y.front();
  for (const PlotLimit& l : plot.limits) {
    f.y_low = std::min(f.y_low, l.y);
    f.y_high = std::max(f.y_high, l.y);
  }
}

}  // namespace

bool drawable(const ReportPlot& plot) {
  return plot.x.size() == plot.y.size() && plot.x.size() >= 2 && plot.x_end > plot.x.front();
}

double name_room(const ReportPlot& plot) {
  return plot.markers.empty() ? 0 : label_row * label_rows + 4;
}

std::string panel(const ReportPlot& plot, double top, double width, double height) {
  const double names = name_room(plot);
  Frame f{margin_left,
          top + title_height + names,
          width - margin_left - margin_right,
          height - title_height - axis_height - names,
          std::min(0.0, plot.x.front()),
          plot.x_end,
          0,
          0};
  // Amplitudes start at 0; a waveform may ride on an offset far larger than itself.
  const auto first =
      std::find_if(plot.y.begin(), plot.y.end(), [](double y) { return std::isfinite(y); });
  if (plot.x_unit == "s" && first != plot.y.end()) f.y_low = f.y_high = *first;
  const bool readings = plot.kind == PlotKind::readings;
  if (readings) fit_readings(plot, f);
  for (std::size_t i = 0; i < plot.x.size() && plot.x[i] <= plot.x_end; ++i) {
    if (!std::isfinite(plot.y[i])) continue;
    f.y_low = std::min(f.y_low, plot.y[i]);
    f.y_high = std::max(f.y_high, plot.y[i]);
  }
  if (!(f.y_high > f.y_low)) f.y_high = f.y_low + 1;
  const double head_room = 0.05 * (f.y_high - f.y_low);
  f.y_high += head_room;
  if (f.y_low != 0) f.y_low -= head_room;
  std::string out = text_at(margin_left, top + 15, plot.title, "class=\"panel\"");
  out += legend(plot, width - margin_right, top + 15);
  out += axes(plot, f);
  out += limits_and_ranges(plot, f);
  out += marks(plot, f);
  out += fmt::format("<path d=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"1\"/>\n",
                     path_of(plot, f), curve_ink);
  if (readings) out += dots(plot, f);
  return out;
}

std::string picture(const ReportPlot& plot, double width, double height) {
  const double all = height + name_room(plot);
  return fmt::format(
             "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {:.0f} {:.0f}\" role=\"img\" "
             "aria-label=\"{}\">\n<g fill=\"{}\">\n",
             width, all, escaped(plot.title), ink) +
         panel(plot, 0, width, all) + "</g>\n</svg>";
}

}  // namespace bearingdsp::svg
