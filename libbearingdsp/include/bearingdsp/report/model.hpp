#pragma once
/// What is shown to a person, before any format: words, key figures, tables and plots. The model
/// decides what is said and in which unit; a format (text.hpp, svg.hpp) only lays it out.
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/capture/contents.hpp"
#include "bearingdsp/core/percent.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

/// How urgent a statement is; a format shows it by word, sign and colour together.
enum class Tone : std::uint8_t {
  neutral,
  good,    ///< OK
  doubt,   ///< cannot tell, measure again
  check,   ///< look at the machine
  bad,     ///< plan a repair
  urgent,  ///< act now
};

/// A label with its value in words, unit included: {"Shaft speed", "1772 rpm (29.53 Hz)"}.
struct KeyFigure {
  std::string label;
  std::string text;
};

struct ReportColumn {
  std::string title;
  std::string unit;    ///< written under the title; may be empty
  bool number{false};  ///< numbers are aligned right
};

/// A table; every row has as many cells as there are columns.
struct ReportTable {
  std::vector<ReportColumn> columns;
  std::vector<std::vector<std::string>> rows;
  std::vector<std::string> targets{};  ///< id of the report that a row leads to; empty or [rows]
};

/// One titled part of the report: any of figures, table, items, notes, in that order.
struct ReportSection {
  std::string id;  ///< stable word for the part: "advice", "evidence" ...
  std::string title;
  std::vector<KeyFigure> figures;
  std::optional<ReportTable> table;
  std::vector<std::string> items;  ///< a list
  bool numbered{false};            ///< the steps are in the order of the work
  std::vector<std::string> notes;  ///< small print under the part
  bool detail{false};              ///< only for those who ask for more
};

/// What a marker in a plot stands for.
enum class MarkerKind : std::uint8_t { outer_ring, inner_ring, rolling_element, cage, shaft };

/// A position on the x axis of a plot where a line is expected or was found.
struct PlotMarker {
  double x{0};
  MarkerKind kind{MarkerKind::shaft};
  int harmonic{1};
  int sideband{0};
  bool detected{false};  ///< a line is detected there
};

/// A limit: a level line across a plot.
struct PlotLimit {
  double y{0};
  std::string name;
};

/// A range of x that stands for something, as when a forecast expects a limit to be reached.
struct PlotRange {
  double from{0}, to{0};
  std::string name;
};

/// A spacing at which sidebands may be looked for, in the unit of x: {"shaft", 1}.
struct PlotSpacing {
  std::string name;
  double spacing{0};
};

/// What a curve is drawn as.
enum class PlotKind : std::uint8_t {
  line,      ///< joined samples
  spectrum,  ///< joined samples whose harmonics and sidebands mean something
  readings,  ///< a mark a sample, joined; x in seconds since 1970, UTC
  rates,     ///< proportions in percent on both axes, a mark a sample; always a static picture
};

/// The curve behind another one, as of the recording before the work.
/// Shapes: x [n], y [n], x ascending; units are those of the plot.
struct PlotBackground {
  std::string name;  ///< "before"
  std::vector<double> x, y;
};

/// A curve with its axes.
/// Shapes: x [n], y [n], x ascending.
struct ReportPlot {
  std::string title;
  std::string x_label, x_unit, y_label, y_unit;
  std::vector<double> x, y;
  std::vector<PlotMarker> markers;  ///< ascending x
  double x_end{0};                  ///< last x worth showing at first
  PlotKind kind{PlotKind::line};
  double shaft_hz{0};  ///< turns x from Hz to orders and back; 0: not known
  std::vector<PlotLimit> limits;
  std::vector<PlotRange> ranges;
  std::vector<PlotSpacing> spacings;
  std::string name;  ///< of the curve, where there is another one behind it: "after"
  std::optional<PlotBackground> behind;
  std::vector<double> low{},
      high{};              ///< interval of each y, drawn as a bar; empty, or [n] with NaN for none
  std::string diagonal{};  ///< name of a line y = x; empty: none
};

/// A row of a map: cells of one width side by side.
struct MapRow {
  std::string name;                ///< what it stands for: "halves", "2026-03-02", "0-784"
  double start{0};                 ///< x where the first cell begins
  double step{1};                  ///< width of a cell
  std::vector<double> y;           ///< value of each cell; NaN: none
  std::vector<std::string> notes;  ///< words about each cell; empty or as many as values
};

/// One cell that is pointed out.
struct MapMark {
  std::size_t row{0}, cell{0};
  std::string name;  ///< "chosen"
};

/// Something that happened between two rows.
struct MapBreak {
  std::size_t row{0};  ///< stands above this row; the number of rows: below the last
  std::string name;
};

/// Values as shades over rows and x. Rows from the top down; all may differ in their cells.
struct ReportMap {
  std::string title;
  std::string x_label, x_unit, y_label, value_label, value_unit;
  std::vector<MapRow> rows;
  std::vector<PlotMarker> markers;  ///< ascending x
  std::vector<MapMark> marks;
  std::vector<MapBreak> breaks;  ///< ascending row
  double x_end{0};               ///< last x worth showing at first
  double shaft_hz{0};            ///< as in ReportPlot
  bool in_db{false};  ///< shades by the logarithm, over `span_db` below the highest value
  double span_db{60};
  double min_top{0};               ///< the darkest shade stands for no less than this
  std::vector<std::string> notes;  ///< small print under the map
  std::size_t after{0};            ///< how many plots stand before it
};

/// How one level changed, against what chance does.
struct ChangeRow {
  std::string name;
  std::string before, after;  ///< in the level's own unit
  std::string own_unit;       ///< may be empty
  double change{0};           ///< in the unit of the chart
  double chance{0};           ///< a change within plus or minus this is no change
  bool beyond{false};
  /// Up to here something harmless moves it, where that is more than random scatter; else 0.
  double harmless{0};
};

/// Changes side by side.
struct ReportChanges {
  std::string title, label, unit;  ///< of the axis: "change", "dB"
  std::vector<ChangeRow> rows;
  std::vector<std::string> notes{};  ///< small print under the chart
};

/// An arrow in a polar diagram.
struct PolarArrow {
  std::string name;  ///< may be empty
  double from_length{0};
  Degrees from_angle;  ///< where it begins
  double length{0};
  Degrees angle;  ///< where it ends
  int style{0};   ///< 0 measured, 1 trial, 2 answer, 3 what remains
};
/// A place on the rim of a polar diagram.
struct PolarPlace {
  Degrees angle;
  std::string name;
  bool chosen{false};
};
/// Vectors or weights by angle: 0 at the top, angles clockwise; an arrow shows which way the shaft
/// rotates.
struct ReportPolar {
  std::string title, unit;
  double full{1};  ///< length at the rim, > 0
  bool rotation_clockwise{false};
  bool rotor{false};  ///< a drawing of the plane: the mark at 0, weights on the rim
  std::vector<PolarArrow> arrows;
  std::vector<PolarPlace> places;
  std::vector<std::string> notes;  ///< small print under it
};

/// What a drawing shows.
enum class DrawingSubject : std::uint8_t {
  motor,  ///< from the side and from the drive end, with the places for a sensor
};

/// A drawing of a thing, not of data.
struct ReportDrawing {
  std::string title;
  DrawingSubject subject{DrawingSubject::motor};
  std::vector<std::size_t> marked;  ///< of the places, those that matter: indices of MotorPlace
  std::vector<std::string> notes;   ///< small print under it
};

struct Report {
  std::string id;      ///< of a part of a larger report; else empty
  std::string title;   ///< "BEARING FAULT", "NO FAULT FOUND" ...
  std::string source;  ///< the file
  Tone tone{Tone::neutral};
  std::string headline;  ///< one sentence
  std::string brief{};   ///< what to do, in one line, for the shortest form
  std::vector<ReportSection> sections;
  std::vector<ReportPlot> plots;
  std::vector<ReportMap> maps;            ///< ascending `after`
  std::optional<ReportChanges> changes;   ///< shown before the plots
  std::vector<ReportDrawing> drawings{};  ///< before all other pictures
  std::vector<ReportPolar> polars{};      ///< behind the drawings
};

/// The report of a diagnosis: the assessment, what to do, why and a summary; as details confidence,
/// evidence, levels, other faults, findings, the recording. Plots if the diagnosis kept its curves.
[[nodiscard]] Report diagnosis_report(const Diagnosis& diagnosis);

/// The defect frequencies of one bearing, in orders and, where a speed is given, in Hz.
/// title names the bearing as the user did.
[[nodiscard]] Report frequencies_report(std::string_view title, const DefectOrders& orders,
                                        std::optional<Rpm> speed);

/// What a file holds and what was noticed about it: the listing, and where the samples could be
/// read (capture not null) their levels. `findings` is the list to show: the reader's and those of
/// the quality check.
[[nodiscard]] Report contents_report(const Contents& contents, const Capture* capture,
                                     const Findings& findings);

/// A number with the given significant digits, without exponent between 1e-4 and 1e7, trailing
/// zeros kept; "-" for what is not finite. Independent of the locale.
[[nodiscard]] std::string significant(double value, int digits = 3);
/// Odds of a chance event from log10 of its probability: "1 in 40", "< 1 in 10⁶".
[[nodiscard]] std::string odds(double log10_probability);

}  // namespace bearingdsp
