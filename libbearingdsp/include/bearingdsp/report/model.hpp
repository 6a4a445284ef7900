#pragma once
/// What is shown to a person, before any format: words, key figures, tables and plots. The model
/// decides what is said and in which unit; a format (text.hpp, svg.hpp) only lays it out.
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/capture/contents.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

/// How a statement should strike the reader; a format turns it into a colour or leaves it.
enum class Tone : std::uint8_t { neutral, good, doubt, bad };

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
  bool numbered{false};            ///< the list is in order of doing
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
  bool stands{false};  ///< a line stands there beyond chance
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
};

/// A curve with its axes. Shapes: x [n], y [n], x ascending.
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
};

struct Report {
  std::string id;      ///< of a part of a larger report; else empty
  std::string title;   ///< "BEARING FAULT", "NO FAULT FOUND" ...
  std::string source;  ///< the file
  Tone tone{Tone::neutral};
  std::string headline;  ///< one sentence
  std::vector<ReportSection> sections;
  std::vector<ReportPlot> plots;
};

/// The report of a diagnosis: verdict, how sure, what to do, why, evidence, levels, other causes,
/// findings, the record. Plots are there if the diagnosis kept its curves.
[[nodiscard]] Report diagnosis_report(const Diagnosis& diagnosis);

/// The defect frequencies of one bearing, in orders and, where a speed is given, in Hz.
/// title names the bearing as the user did.
[[nodiscard]] Report frequencies_report(std::string_view title, const DefectOrders& orders,
                                        std::optional<Rpm> speed);

/// Levels of one channel as recorded. Shapes and units: as Channel.
struct ChannelLevels {
  double mean{0};  ///< unit of the samples
  double rms{0};   ///< mean removed
  double peak{0};  ///< largest magnitude, mean removed
  double crest_factor{0};
};
/// Mean, rms, peak and crest factor (0 for an empty or constant channel). Closed forms.
[[nodiscard]] ChannelLevels channel_levels(const Channel& channel);

/// What a file holds and what was noticed about it: the listing, and where the samples could be
/// read (capture not null) their levels. `findings` is the list to show: the reader's and those of
/// the quality check.
[[nodiscard]] Report contents_report(const Contents& contents, const Capture* capture,
                                     const Findings& findings);

/// A number with the given significant digits, without exponent between 1e-4 and 1e7, trailing
/// zeros kept; "-" for what is not finite. Independent of the locale.
[[nodiscard]] std::string significant(double value, int digits = 3);
/// A probability for a person: "97 %", "more than 99 %", "less than 1 %".
[[nodiscard]] std::string percent(double probability);
/// Odds of a chance event from log10 of its probability: "1 in 40", "< 1 in 10⁶".
[[nodiscard]] std::string odds(double log10_probability);

}  // namespace bearingdsp
