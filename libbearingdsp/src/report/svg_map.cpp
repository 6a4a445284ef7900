#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "map_shades.hpp"
#include "markup.hpp"
#include "png.hpp"
#include "svg_panel.hpp"
#include "svg_parts.hpp"

namespace bearingdsp::svg {
namespace {

constexpr double scale_width = 14, scale_room = 86;  // the scale of shades right of the map
constexpr double max_row = 20, min_row = 7, max_map = 300;

double row_height(const ReportMap& m) {
  return std::clamp(max_map / static_cast<double>(std::max<std::size_t>(1, m.rows.size())), min_row,
                    max_row);
}

double map_top_room(const ReportMap& m) {
  return title_height + label_row + (m.markers.empty() ? 0 : label_row * label_rows + 4);
}

/// Columns of the picture: a pixel each, or a cell where all rows have the same, wider ones.
std::size_t columns_of(const ReportMap& m, const Frame& f) {
  const double cells = (f.x_high - f.x_low) / m.rows.front().step;
  const auto pixels = static_cast<std::size_t>(f.width);
  const auto whole = [](double v) { return std::abs(v - std::round(v)) < 1e-6; };
  const bool alike = std::all_of(m.rows.begin(), m.rows.end(), [&](const MapRow& r) {
    return r.step == m.rows.front().step && whole((r.start - f.x_low) / r.step);
  });
  return alike && whole(cells) && cells < f.width ? static_cast<std::size_t>(std::lround(cells))
                                                  : pixels;
}

/// The cells on pixels: of several cells in a pixel the highest counts.
std::string shaded(const ReportMap& m, const Frame& f) {
  const std::size_t width = columns_of(m, f);
  const double per_px = static_cast<double>(width) / (f.x_high - f.x_low);
  const MapShades shades_of{m};
  std::vector<std::uint8_t> pixels(width * m.rows.size(), 0);
  for (std::size_t r = 0; r < m.rows.size(); ++r) {
    const MapRow& row = m.rows[r];
    for (std::size_t c = 0; c < row.y.size(); ++c) {
      const double from = row.start + static_cast<double>(c) * row.step;
      const auto first = std::llround(std::max(0.0, (from - f.x_low) * per_px));
      const auto last = std::llround((from + row.step - f.x_low) * per_px);
      const std::uint8_t code = shades_of.code(row.y[c]);
      for (auto p = first; p < std::max(first + 1, last); ++p)
        if (static_cast<std::size_t>(p) < width) {
          std::uint8_t& pixel = pixels[r * width + static_cast<std::size_t>(p)];
          pixel = std::max(pixel, code);
        }
    }
  }
  return fmt::format(
      "<image x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" "
      "preserveAspectRatio=\"none\" image-rendering=\"pixelated\" "
      "xlink:href=\"data:image/png;base64,{}\"/>\n",
      f.left, f.top, f.width, f.height, base64(png_of(pixels, width, m.rows.size(), palette())));
}

/// Shades with their numbers, from the highest at the top.
std::string scale_of(const ReportMap& m, const Frame& f) {
  std::vector<std::uint8_t> ramp;
  for (std::size_t i = shade_count; i > 0; --i) ramp.push_back(static_cast<std::uint8_t>(i));
  const double x = f.left + f.width + 14;
  const double height = std::min(f.height, 200.0);
  std::string out = fmt::format(
      "<image x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" "
      "preserveAspectRatio=\"none\" xlink:href=\"data:image/png;base64,{}\"/>\n",
      x, f.top, scale_width, height, base64(png_of(ramp, 1, ramp.size(), palette())));
  out += frame_box({x, f.top, scale_width, height, 0, 1, 0, 1});
  const MapShades shades_of{m};
  for (const auto& [part, text] : shades_of.numbers(std::max(2.0, height / 34)))
    out += text_at(x + scale_width + 5, f.top + height * (1 - part) + 4, text, "class=\"tick\"");
  // Above the names of the markers, which may reach the right end.
  const double above = m.markers.empty() ? 6 : label_row * label_rows + 10;
  return out + text_at(f.left + f.width + scale_room, f.top - above,
                       axis_name(m.value_label, m.value_unit),
                       "class=\"tick\" text-anchor=\"end\"");
}

std::string row_names(const ReportMap& m, const Frame& f) {
  const double each = f.height / static_cast<double>(m.rows.size());
  const auto every = static_cast<std::size_t>(std::ceil(11 / each));
  std::string out;
  for (std::size_t r = 0; r < m.rows.size(); r += every)
    out += text_at(f.left - 6, f.top + (static_cast<double>(r) + 0.5) * each + 4, m.rows[r].name,
                   "class=\"tick\" text-anchor=\"end\"");
  return out;
}

std::string marks_and_breaks(const ReportMap& m, const Frame& f) {
  const double each = f.height / static_cast<double>(m.rows.size());
  std::string out;
  for (const MapMark& k : m.marks) {
    const MapRow& row = m.rows[k.row];
    const double from = row.start + static_cast<double>(k.cell) * row.step;
    const double y = f.top + static_cast<double>(k.row) * each;
    const double x = f.px(std::max(from, f.x_low));
    const double right = f.px(std::min(from + row.step, f.x_high));
    // Dark in light, so that it shows on every shade.
    for (const auto& [colour, width] : {std::pair{"#fdfdfb", 5.0}, std::pair{"#1a1a1a", 2.0}})
      out += fmt::format(
          "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" fill=\"none\" "
          "stroke=\"{}\" stroke-width=\"{:.0f}\"/>\n",
          x, y, std::max(2.0, right - x), each, colour, width);
  }
  for (const MapBreak& b : m.breaks) {
    const double y = f.top + static_cast<double>(b.row) * each;
    for (const auto& [colour, width] : {std::pair{"#fdfdfb", 4.0}, std::pair{"#1a1a1a", 2.0}})
      out += rule(f.left, y, f.left + f.width, y, colour,
                  fmt::format("stroke-width=\"{:.0f}\" stroke-dasharray=\"9 4\" ", width));
    out += text_at(f.left + f.width - 6, y - 4, b.name,
                   fmt::format("class=\"tick\" text-anchor=\"end\" {}", edged));
  }
  return out;
}

std::string whole(double width, double height, const std::string& title, const std::string& body) {
  return fmt::format(
             "<svg xmlns=\"http://www.w3.org/2000/svg\" "
             "xmlns:xlink=\"http://www.w3.org/1999/xlink\" viewBox=\"0 0 {:.0f} {:.0f}\" "
             "role=\"img\" aria-label=\"{}\">\n<g fill=\"{}\">\n",
             width, height, escaped(title), ink) +
         body + "</g>\n</svg>";
}

constexpr double change_row = 22, name_column = 92, number_column = 146;

}  // namespace

bool drawable(const ReportMap& m) {
  return m.x_end > 0 &&
         std::any_of(m.rows.begin(), m.rows.end(), [](const MapRow& r) { return !r.y.empty(); });
}

double map_height(const ReportMap& m) {
  return map_top_room(m) + row_height(m) * static_cast<double>(m.rows.size()) + axis_height;
}

std::string map_panel(const ReportMap& m, double top, double width, double lift) {
  std::size_t longest = 0;
  for (const MapRow& row : m.rows) longest = std::max(longest, row.name.size());
  const double room = std::max(margin_left, 32 + letter_width * static_cast<double>(longest));
  const Frame f{room,
                top + map_top_room(m),
                std::floor(width - room - scale_room),
                row_height(m) * static_cast<double>(m.rows.size()),
                0,
                m.x_end,
                0,
                1};
  std::string out = title_text(room, top + 15 - lift, m.title);
  out += legend(m.markers, width - margin_right, top + 15);
  out += shaded(m, f) + frame_box(f);
  out += x_axis(f, axis_name(m.x_label, m.x_unit), false);
  out += row_names(m, f) + y_name(f, m.y_label) + scale_of(m, f);
  out += marks(m.markers, f, true) + marks_and_breaks(m, f);
  return out;
}

std::string picture(const ReportMap& m, double width) {
  return whole(width, map_height(m), m.title, map_panel(m, 0, width));
}

double changes_height(const ReportChanges& c) {
  return title_height + change_row * static_cast<double>(c.rows.size()) + axis_height;
}

std::string changes_panel(const ReportChanges& c, double top, double width) {
  double most = 3;
  for (const ChangeRow& r : c.rows)
    most = std::max({most, std::abs(r.change), r.chance, r.harmless});
  most *= 1.08;
  const Frame f{name_column,
                top + title_height,
                width - name_column - number_column,
                change_row * static_cast<double>(c.rows.size()),
                -most,
                most,
                0,
                1};
  std::string out = title_text(name_column, top + 15, c.title);
  out += x_axis(f, axis_name(c.label, c.unit), true);
  out += rule(f.px(0), f.top, f.px(0), f.top + f.height, curve_ink);
  for (std::size_t i = 0; i < c.rows.size(); ++i) {
    const ChangeRow& r = c.rows[i];
    const double y = f.top + (static_cast<double>(i) + 0.5) * change_row;
    out += text_at(f.left - 8, y + 4, r.name, "class=\"tick\" text-anchor=\"end\"");
    out +=
        fmt::format("<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"8\" fill=\"{}\"/>\n",
                    f.px(-r.chance), y - 4, f.px(r.chance) - f.px(-r.chance), behind_ink);
    for (const double end : {-r.harmless, r.harmless})
      if (r.harmless > 0) {
        out += rule(f.px(std::copysign(r.chance, end)), y, f.px(end), y, behind_ink,
                    "stroke-width=\"2\" ");
        out += rule(f.px(end), y - 5, f.px(end), y + 5, behind_ink, "stroke-width=\"2\" ");
      }
    out += rule(f.px(0), y, f.px(r.change), y, curve_ink, "stroke-width=\"2\" ");
    out += fmt::format(
        "<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"5\" fill=\"{}\" stroke=\"{}\" "
        "stroke-width=\"1.6\"/>\n",
        f.px(r.change), y, r.beyond ? curve_ink : "#fdfdfb", curve_ink);
    out += text_at(f.left + f.width + 10, y + 4,
                   fmt::format("{} → {} {}", r.before, r.after, r.own_unit), "class=\"tick\"");
  }
  out += frame_box(f);
  return out;
}

std::string picture(const ReportChanges& c, double width) {
  return whole(width, changes_height(c), c.title, changes_panel(c, 0, width));
}

}  // namespace bearingdsp::svg
