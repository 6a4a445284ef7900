#include "plots.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <optional>
#include <string_view>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/dsp/integrate.hpp"

namespace bearingdsp {
namespace {

constexpr double min_probability_marked = 0.05;
constexpr std::string_view acceleration_lines = "m/s² rms", velocity_lines = "m/s rms";
constexpr double orders_without_bearing = 20;

bool is_envelope(const Curve& c) {
  if (c.x_unit.starts_with("order")) return true;
  return c.x_unit == "Hz" && (c.title.find("envelope") != std::string::npos ||
                              c.title.find("Envelope") != std::string::npos);
}

MarkerKind kind_of(Part part) {
  switch (part) {
    case Part::outer_ring:
      return MarkerKind::outer_ring;
    case Part::inner_ring:
      return MarkerKind::inner_ring;
    case Part::rolling_element:
      return MarkerKind::rolling_element;
    case Part::cage:
      return MarkerKind::cage;
  }
  return MarkerKind::outer_ring;
}

void add_shaft(std::vector<PlotMarker>& markers) {
  for (int h = 1; h <= 3; ++h)
    markers.push_back({static_cast<double>(h), MarkerKind::shaft, h, 0, false});
}

/// Ascending, those between 0 and the end.
std::vector<PlotMarker> in_order(std::vector<PlotMarker> markers, double end) {
  markers.erase(std::remove_if(markers.begin(), markers.end(),
                               [end](const PlotMarker& m) { return !(m.x > 0 && m.x <= end); }),
                markers.end());
  std::stable_sort(markers.begin(), markers.end(),
                   [](const PlotMarker& a, const PlotMarker& b) { return a.x < b.x; });
  return markers;
}

/// Markers in orders: the lines that stand, else the first harmonics where they are expected.
std::vector<PlotMarker> markers_in_orders(const Diagnosis& d, double end) {
  std::vector<PlotMarker> markers;
  for (const FamilyEvidence& f : d.families) {
    bool any = false;
    // Lines of a part that the verdict gives no weight would only crowd out those that count.
    const bool counts =
        d.probability_of_part.at(static_cast<std::size_t>(f.part)) >= min_probability_marked;
    for (const LineEvidence& l : f.lines) {
      if (!counts || !l.detected || l.shared || !(l.order.value() > 0)) continue;
      markers.push_back({l.order.value(), kind_of(f.part), l.harmonic, l.sideband, true});
      any = true;
    }
    if (any) continue;
    for (int h = 1; h <= 3; ++h)
      markers.push_back({h * f.expected.value(), kind_of(f.part), h, 0, false});
  }
  if (d.families.empty()) return expected_markers(d.orders, end);
  add_shaft(markers);
  return in_order(std::move(markers), end);
}

/// Of the families where the bearing's own orders are not at hand.
double orders_shown(const Diagnosis& d) {
  if (d.orders) return bearingdsp::orders_shown(d.orders);
  double highest = 0;
  for (const FamilyEvidence& f : d.families) highest = std::max(highest, f.expected.value());
  return highest > 0 ? 3.5 * highest : orders_without_bearing;
}

ReportPlot plot_of(const Diagnosis& d, const Curve& c) {
  ReportPlot p;
  p.title = c.title;
  if (!c.channel.empty()) add_part(p.title, c.channel);
  const std::size_t n = std::min(c.x.size(), c.y.size());
  p.x.assign(c.x.begin(), c.x.begin() + static_cast<std::ptrdiff_t>(n));
  p.y.assign(c.y.begin(), c.y.begin() + static_cast<std::ptrdiff_t>(n));
  p.x_end = n == 0 ? 0 : p.x.back();
  p.x_unit = c.x_unit;
  if (c.x_unit == "s") {
    p.x_label = "time";
    name_axis(p, "vibration", c.y_unit);
    return p;
  }
  p.kind = PlotKind::spectrum;
  p.shaft_hz = d.speed.rate.value();
  p.x_label = "frequency";
  p.spacings = spacings(d.orders, c.x_unit == "Hz" ? p.shaft_hz : 1.0);
  if (!is_envelope(c)) {
    name_axis(p, "amplitude", c.y_unit);
    if (p.y_unit == acceleration_lines) p.title = "acceleration " + p.title;
    return p;
  }
  name_envelope_axis(p, c.y_unit);
  const double shaft = d.speed.rate.value();
  const bool in_hz = c.x_unit == "Hz";
  if (!in_hz) {
    p.x_label = "events per shaft revolution";
    p.x_unit = "orders";
  }
  const double scale = in_hz ? shaft : 1.0;
  if (!(scale > 0)) return p;  // orders cannot be placed on a Hz axis without a speed
  p.x_end = std::min(p.x_end, orders_shown(d) * scale);
  p.markers = markers_in_orders(d, p.x_end / scale);
  for (PlotMarker& m : p.markers) m.x *= scale;
  return p;
}

}  // namespace

std::vector<PlotMarker> expected_markers(const std::optional<DefectOrders>& orders, double end) {
  std::vector<PlotMarker> markers;
  if (orders)
    for (const Part part : {Part::outer_ring, Part::inner_ring, Part::rolling_element, Part::cage})
      for (int h = 1; h <= 3; ++h)
        markers.push_back({h * orders->of(part).value(), kind_of(part), h, 0, false});
  add_shaft(markers);
  return in_order(std::move(markers), end);
}

double orders_shown(const std::optional<DefectOrders>& orders) {
  return orders && orders->bpfi.value() > 0 ? 3.5 * orders->bpfi.value() : orders_without_bearing;
}

/// What modulates the lines of a bearing: the shaft carries a defect of the inner ring through the
/// load, the cage one of an element.
std::vector<PlotSpacing> spacings(const std::optional<DefectOrders>& orders, double scale) {
  std::vector<PlotSpacing> all;
  if (!(scale > 0)) return all;
  all.push_back({"shaft", scale});
  if (orders && orders->ftf.value() > 0) all.push_back({"cage", orders->ftf.value() * scale});
  return all;
}

void name_axis(ReportPlot& p, std::string label, std::string unit) {
  p.y_label = std::move(label);
  p.y_unit = std::move(unit);
  if (p.y_unit.starts_with("m/s2")) p.y_unit.replace(0, 4, "m/s²");
  if (p.y_unit == "1" || p.y_unit.starts_with("1 ")) {
    p.y_label += p.y_unit == "1" ? ", uncalibrated" : ", " + p.y_unit.substr(2) + ", uncalibrated";
    p.y_unit.clear();
  }
}

void name_envelope_axis(ReportPlot& p, const std::string& unit) {
  if (unit == "modulation depth")
    p.y_label = unit;
  else
    name_axis(p, "envelope", unit);
}

/// A line of amplitude a at f of the acceleration is one of a / (2 pi f) of the velocity.
std::optional<ReportPlot> velocity_plot(const ReportPlot& from) {
  const bool acceleration = from.y_unit == acceleration_lines;
  if (from.x_unit != "Hz" || !(acceleration || from.y_unit == velocity_lines)) return std::nullopt;
  const VelocityBand band;
  const auto convert = [&](const std::vector<double>& x, const std::vector<double>& y,
                           std::vector<double>& to_x, std::vector<double>& to_y) {
    to_x.clear();
    to_y.clear();
    for (std::size_t i = 0; i < x.size(); ++i) {
      if (x[i] < band.low.value() || x[i] > band.high.value()) continue;
      to_x.push_back(x[i]);
      to_y.push_back(in_mm_per_s(acceleration ? y[i] / (2 * std::numbers::pi * x[i]) : y[i]));
    }
  };
  ReportPlot p = from;
  p.y_label = "velocity";
  p.y_unit = "mm/s rms";
  convert(from.x, from.y, p.x, p.y);
  if (from.behind) convert(from.behind->x, from.behind->y, p.behind->x, p.behind->y);
  if (p.x.size() < 2) return std::nullopt;
  p.x_end = p.x.back();
  p.markers.clear();
  for (int h = 1; h <= 3 && h * p.shaft_hz <= p.x_end && p.shaft_hz > 0; ++h)
    p.markers.push_back({h * p.shaft_hz, MarkerKind::shaft, h, 0, false});
  return p;
}

std::vector<ReportPlot> diagnosis_plots(const Diagnosis& d) {
  std::vector<const Curve*> curves;
  for (const Curve& c : d.curves) curves.push_back(&c);
  const auto rank = [](const Curve* c) { return is_envelope(*c) ? 0 : c->x_unit == "s" ? 2 : 1; };
  std::stable_sort(curves.begin(), curves.end(),
                   [&](const Curve* a, const Curve* b) { return rank(a) < rank(b); });
  std::vector<ReportPlot> plots;
  for (std::size_t i = 0; i < curves.size(); ++i) {
    // The strongest band may be the whole one: the same picture twice says nothing.
    bool again = false;
    for (std::size_t k = 0; k < i; ++k)
      again = again || (curves[k]->x_unit == curves[i]->x_unit && curves[k]->y == curves[i]->y);
    if (again) continue;
    ReportPlot plot = plot_of(d, *curves[i]);
    const bool is_velocity = plot.y_unit == velocity_lines;
    if (auto velocity = velocity_plot(plot)) {
      const std::size_t word = velocity->title.find("spectrum");
      velocity->title = "velocity " + velocity->title.substr(word == std::string::npos ? 0 : word);
      plots.push_back(std::move(*velocity));
      if (is_velocity) continue;
    }
    plots.push_back(std::move(plot));
  }
  return plots;
}

}  // namespace bearingdsp
