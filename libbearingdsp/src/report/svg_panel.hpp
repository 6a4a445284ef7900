#pragma once
/// One plot, map or chart of changes as SVG elements: frame, axes, marks, curve.
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/report/model.hpp"

namespace bearingdsp::svg {

inline constexpr std::string_view ink = "#1a1a1a";

[[nodiscard]] std::string text_at(double x, double y, std::string_view text,
                                  std::string_view attributes = "");
/// Whether there is anything to show.
[[nodiscard]] bool drawable(const ReportPlot& plot);
[[nodiscard]] bool drawable(const ReportMap& map);
/// Height that the names of the markers need above the frame, px.
[[nodiscard]] double name_room(const ReportPlot& plot);
/// How far a title has to stand above its usual line, so that it is not written over the names of
/// the markers: 0 where both fit side by side, px.
[[nodiscard]] double title_lift(const std::string& title, const std::vector<PlotMarker>& markers,
                                double width);
/// The plot with its title, from `top` down; the title `lift` above it. Classes: panel, label,
/// tick, mark.
[[nodiscard]] std::string panel(const ReportPlot& plot, double top, double width, double height,
                                double lift = 0);

/// Height of a map that gives each row its room, px.
[[nodiscard]] double map_height(const ReportMap& map);
[[nodiscard]] std::string map_panel(const ReportMap& map, double top, double width,
                                    double lift = 0);
[[nodiscard]] double changes_height(const ReportChanges& changes);
[[nodiscard]] std::string changes_panel(const ReportChanges& changes, double top, double width);
/// Side of the square that a polar diagram takes, with its title, px.
inline constexpr double polar_width = 380, polar_height = 420;
[[nodiscard]] std::string polar_panel(const ReportPolar& polar, double left, double top);
[[nodiscard]] std::string picture(const ReportPolar& polar);
[[nodiscard]] std::string picture(const ReportMap& map, double width);
[[nodiscard]] std::string picture(const ReportChanges& changes, double width);

/// The plot as an element of a page, with its title as its name for those who cannot see it. The
/// page styles the classes.
[[nodiscard]] std::string picture(const ReportPlot& plot, double width, double height);

}  // namespace bearingdsp::svg
