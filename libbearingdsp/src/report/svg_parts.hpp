#pragma once
/// What the pictures share: frame, ticks, names of markers.
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/report/model.hpp"

namespace bearingdsp::svg {

inline constexpr double margin_left = 86, margin_right = 24, title_height = 24, axis_height = 46;
inline constexpr double label_row = 13;       // px between rows of marker names
inline constexpr std::size_t label_rows = 3;  // rows before a name is left out
inline constexpr double letter_width = 6.4;   // px a letter of the small names, on the safe side
inline constexpr std::string_view faint = "#d9d9d9", curve_ink = "#3b3b3b", frame_ink = "#8a8a8a",
                                  behind_ink = "#b9c6d3", limit_ink = "#a33b00";

struct Frame {
  double left, top, width, height;      // of the plotting area, px
  double x_low, x_high, y_low, y_high;  // data
  [[nodiscard]] double px(double x) const { return left + (x - x_low) / (x_high - x_low) * width; }
  [[nodiscard]] double py(double y) const {
    return top + height - (y - y_low) / (y_high - y_low) * height;
  }
};

[[nodiscard]] std::string rule(double x1, double y1, double x2, double y2, std::string_view colour,
                               std::string_view more = "");
[[nodiscard]] std::string frame_box(const Frame& frame);
/// Round step that gives about `wanted` ticks over the span: 1, 2 or 5 times a power of ten.
[[nodiscard]] double tick_step(double span, double wanted);
/// A tick's number with the decimals that its step needs.
[[nodiscard]] std::string tick_text(double value, double step);
/// Multiples of the step from low to high.
[[nodiscard]] std::vector<double> ticks(double low, double high, double step);
/// A light edge keeps small letters legible on curves and shades.
inline constexpr std::string_view edged =
    "stroke=\"#fdfdfb\" stroke-width=\"4\" stroke-linejoin=\"round\" paint-order=\"stroke\"";
/// "velocity / mm/s rms"; the label alone without a unit.
[[nodiscard]] std::string axis_name(const std::string& label, const std::string& unit);
/// The label of the upright axis, turned.
[[nodiscard]] std::string y_name(const Frame& frame, const std::string& name);
/// Numbers and label of the level axis; its lines over the frame where asked for.
[[nodiscard]] std::string x_axis(const Frame& frame, const std::string& name, bool lines);
/// Upright marks with their names above the frame; of a map short ones, so that it shows.
[[nodiscard]] std::string marks(const std::vector<PlotMarker>& markers, const Frame& frame,
                                bool short_ones);
/// A title, which begins with a capital.
[[nodiscard]] std::string title_text(double x, double y, const std::string& title);
/// Which letter and dash stands for what, from its right end.
[[nodiscard]] std::string legend(const std::vector<PlotMarker>& markers, double x_end, double y);
/// Width of that, px; 0 without markers.
[[nodiscard]] double legend_width(const std::vector<PlotMarker>& markers);

}  // namespace bearingdsp::svg
