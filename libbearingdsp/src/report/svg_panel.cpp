#include "svg_panel.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "bearingdsp/history/time.hpp"
#include "markup.hpp"
#include "svg_parts.hpp"

namespace bearingdsp::svg {
namespace {

/// Points of the curve: smallest and largest value of each pixel column, in their order.
std::string path_of(const std::vector<double>& xs, const std::vector<double>& ys, const Frame& f) {
  std::string path;
  const auto add = [&](std::size_t i) {
    path += fmt::format("{}{:.1f} {:.1f}", path.empty() ? "M" : "L", f.px(xs[i]),
                        f.py(std::clamp(ys[i], f.y_low, f.y_high)));
  };
  std::size_t i = 0;
  const std::size_t n = std::min(xs.size(), ys.size());
  while (i < n) {
    if (!std::isfinite(ys[i]) || xs[i] < f.x_low || xs[i] > f.x_high) {
      ++i;
      continue;
    }
    const double column = std::floor(f.px(xs[i]));
    std::size_t low = i, high = i;
    for (; i < n && xs[i] <= f.x_high && std::floor(f.px(xs[i])) == column; ++i) {
      if (!std::isfinite(ys[i])) continue;
      if (ys[i] < ys[low]) low = i;
      if (ys[i] > ys[high]) high = i;
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

std::string axes(const ReportPlot& plot, const Frame& f) {
  std::string out;
  const std::string name = axis_name(plot.x_label, plot.x_unit);
  if (plot.kind != PlotKind::readings) {
    out += x_axis(f, name, true);
  } else {
    const double step = date_step(f.x_high - f.x_low, f.width / 95);
    for (const double t : ticks(f.x_low, f.x_high, step)) {
      out += rule(f.px(t), f.top, f.px(t), f.top + f.height, faint);
      out += text_at(f.px(t), f.top + f.height + 16, date_text(t),
                     "class=\"tick\" text-anchor=\"middle\"");
    }
    out += text_at(f.left + f.width / 2, f.top + f.height + 36, name,
                   "class=\"label\" text-anchor=\"middle\"");
  }
  const double ys = tick_step(f.y_high - f.y_low, f.height / 38);
  for (const double t : ticks(f.y_low, f.y_high, ys)) {
    out += rule(f.left, f.py(t), f.left + f.width, f.py(t), faint);
    out += text_at(f.left - 7, f.py(t) + 4, tick_text(t, ys), "class=\"tick\" text-anchor=\"end\"");
  }
  return out + frame_box(f) + y_name(f, axis_name(plot.y_label, plot.y_unit));
}

/// The names of the limits stand beside the frame, where no curve crosses them.
double limit_room(const ReportPlot& plot) {
  std::size_t longest = 0;
  for (const PlotLimit& l : plot.limits) longest = std::max(longest, l.name.size());
  return longest == 0 ? 0 : letter_width * static_cast<double>(longest) + 8 - margin_right / 2;
}

/// Limits across the frame and ranges behind the curve, each with its name.
std::string limits_and_ranges(const ReportPlot& plot, const Frame& f) {
  std::string out;
  for (const PlotRange& r : plot.ranges) {
    const double left = std::clamp(f.px(r.from), f.left, f.left + f.width);
    const double right = std::clamp(f.px(r.to), left, f.left + f.width);
    out += fmt::format(
        "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" fill=\"#efe6c4\"/>\n",
        left, f.top, std::max(2.0, right - left), f.height);
    // Below the limits that would strike it through.
    const auto overlaps = [&](double y) {
      return std::any_of(plot.limits.begin(), plot.limits.end(),
                         [&](const PlotLimit& l) { return std::abs(f.py(l.y) - (y - 4)) < 9; });
    };
    double y = f.top + 14;
    while (overlaps(y) && y + 16 < f.top + f.height) y += 8;
    out += text_at(right - 4, y, r.name, "class=\"tick\" text-anchor=\"end\"");
  }
  std::vector<PlotLimit> limits = plot.limits;
  std::sort(limits.begin(), limits.end(),
            [](const PlotLimit& a, const PlotLimit& b) { return a.y < b.y; });
  double free = f.top + f.height + 4;  // lowest place for the next name
  for (const PlotLimit& l : limits) {
    if (l.y < f.y_low || l.y > f.y_high) continue;
    out += rule(f.left, f.py(l.y), f.left + f.width, f.py(l.y), limit_ink,
                "stroke-dasharray=\"8 4\" ");
    const double at = std::min(f.py(l.y) + 4, free);
    out += text_at(f.left + f.width + 6, at, l.name,
                   fmt::format("class=\"tick\" fill=\"{}\"", limit_ink));
    free = at - label_row;
  }
  return out;
}

/// The other curve as a pale ground down to the axis: its shape, not its colour, tells it apart.
std::string behind(const PlotBackground& other, const Frame& f) {
  const std::string path = path_of(other.x, other.y, f);
  if (path.empty()) return {};
  const double base = f.py(f.y_low);
  const auto x_of = [&](double x) { return f.px(std::clamp(x, f.x_low, f.x_high)); };
  return fmt::format("<path d=\"{}L{:.1f} {:.1f}L{:.1f} {:.1f}Z\" fill=\"{}\" stroke=\"{}\"/>\n",
                     path, x_of(other.x.back()), base, x_of(other.x.front()), base, behind_ink,
                     behind_ink);
}

/// Which curve is which, inside the frame at its upper right: spectra are low there.
std::string names_of_two(const ReportPlot& plot, const Frame& f) {
  const std::size_t longest = std::max(plot.name.size(), plot.behind->name.size());
  const double x = f.left + f.width - letter_width * static_cast<double>(longest) - 12;
  std::string out;
  out += rule(x - 30, f.top + 12, x - 6, f.top + 12, curve_ink, "stroke-width=\"1.6\" ");
  out += text_at(x, f.top + 16, plot.name, fmt::format("class=\"tick\" {}", edged));
  out += fmt::format("<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"24\" height=\"9\" fill=\"{}\"/>\n",
                     x - 30, f.top + 23, behind_ink);
  return out + text_at(x, f.top + 31, plot.behind->name, fmt::format("class=\"tick\" {}", edged));
}

/// The interval of each sample as a bar with ends, and the line on which both rates are the same.
std::string bars_and_diagonal(const ReportPlot& plot, const Frame& f) {
  std::string out;
  if (!plot.diagonal.empty()) {
    const double low = std::max(f.x_low, f.y_low);
    const double high = std::min(f.x_high, f.y_high);
    out +=
        rule(f.px(low), f.py(low), f.px(high), f.py(high), "#767676", "stroke-dasharray=\"6 4\" ");
    const double at = low + 0.8 * (high - low);
    out += text_at(f.px(at) + 8, f.py(at) + 16, plot.diagonal, "class=\"tick\"");
  }
  if (plot.low.size() != plot.x.size() || plot.high.size() != plot.x.size()) return out;
  out += text_at(f.left + f.width - 8, f.top + f.height - 10, "bars: 95 % interval",
                 fmt::format("class=\"tick\" text-anchor=\"end\" {}", edged));
  for (std::size_t i = 0; i < plot.x.size(); ++i) {
    if (!std::isfinite(plot.y[i]) || !std::isfinite(plot.low[i])) continue;
    const double x = f.px(plot.x[i]);
    const double low = f.py(std::clamp(plot.low[i], f.y_low, f.y_high));
    const double high = f.py(std::clamp(plot.high[i], f.y_low, f.y_high));
    constexpr std::string_view colour = "#0072B2";
    out += rule(x, low, x, high, colour, "stroke-opacity=\"0.6\" ");
    for (const double end : {low, high})
      out += rule(x - 4, end, x + 4, end, colour, "stroke-opacity=\"0.6\" ");
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

double title_lift(const std::string& title, const std::vector<PlotMarker>& markers, double width) {
  constexpr double title_letter = 8;  // px a letter of the titles, on the safe side
  const double names = legend_width(markers);
  const double needed = margin_left + title_letter * static_cast<double>(title.size()) + names;
  return names > 0 && needed > width - margin_right ? 16 : 0;
}

std::string panel(const ReportPlot& plot, double top, double width, double height, double lift) {
  const double names = name_room(plot);
  Frame f{margin_left,
          top + title_height + names,
          width - margin_left - margin_right - limit_room(plot),
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
  if (plot.behind)
    for (std::size_t i = 0; i < std::min(plot.behind->x.size(), plot.behind->y.size()); ++i)
      if (plot.behind->x[i] <= plot.x_end && std::isfinite(plot.behind->y[i]))
        f.y_high = std::max(f.y_high, plot.behind->y[i]);
  const bool rates = plot.kind == PlotKind::rates;
  if (rates) {
    // All of both axes, with room for the marks at the ends.
    f.x_low = f.y_low = -2;
    f.x_high = f.y_high = 102;
  } else {
    if (!(f.y_high > f.y_low)) f.y_high = f.y_low + 1;
    const double head_room = 0.05 * (f.y_high - f.y_low);
    f.y_high += head_room;
    if (f.y_low != 0) f.y_low -= head_room;
  }
  std::string out = title_text(margin_left, top + 15 - lift, plot.title);
  out += legend(plot.markers, width - margin_right, top + 15);
  out += axes(plot, f);
  out += limits_and_ranges(plot, f);
  if (plot.behind) out += behind(*plot.behind, f);
  out += marks(plot.markers, f, false);
  if (rates) out += bars_and_diagonal(plot, f);
  out += fmt::format("<path d=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"1\"/>\n",
                     path_of(plot.x, plot.y, f), curve_ink);
  if (plot.behind) out += names_of_two(plot, f);
  if (readings || rates) out += dots(plot, f);
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
