#include "plots.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string_view>
#include <utility>

namespace bearingdsp {
namespace {

constexpr double least_probability_marked = 0.05;

bool starts_with(std::string_view text, std::string_view head) {
  return text.substr(0, head.size()) == head;
}

bool is_envelope(const Curve& c) {
  if (starts_with(c.x_unit, "order")) return true;
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

/// Markers in orders: the lines that stand, else the first harmonics where they are expected.
std::vector<PlotMarker> markers_in_orders(const Diagnosis& d, double end) {
  std::vector<PlotMarker> markers;
  for (const FamilyEvidence& f : d.families) {
    bool any = false;
    // Lines of a part that the verdict gives no weight would only crowd out those that count.
    const bool counts =
        d.probability_of_part.at(static_cast<std::size_t>(f.part)) >= least_probability_marked;
    for (const LineEvidence& l : f.lines) {
      if (!counts || !l.stands || l.shared || !(l.order.value() > 0)) continue;
      markers.push_back({l.order.value(), kind_of(f.part), l.harmonic, l.sideband, true});
      any = true;
    }
    if (any) continue;
    for (int h = 1; h <= 3; ++h)
      markers.push_back({h * f.expected.value(), kind_of(f.part), h, 0, false});
  }
  if (d.families.empty() && d.orders)
    for (const Part part : {Part::outer_ring, Part::inner_ring, Part::rolling_element, Part::cage})
      for (int h = 1; h <= 3; ++h)
        markers.push_back({h * d.orders->of(part).value(), kind_of(part), h, 0, false});
  for (int h = 1; h <= 3; ++h)
    markers.push_back({static_cast<double>(h), MarkerKind::shaft, h, 0, false});
  markers.erase(std::remove_if(markers.begin(), markers.end(),
                               [end](const PlotMarker& m) { return !(m.x > 0 && m.x <= end); }),
                markers.end());
  std::stable_sort(markers.begin(), markers.end(),
                   [](const PlotMarker& a, const PlotMarker& b) { return a.x < b.x; });
  return markers;
}

/// Orders worth showing: three to four harmonics of the highest family.
double orders_shown(const Diagnosis& d) {
  double highest = 0;
  for (const FamilyEvidence& f : d.families) highest = std::max(highest, f.expected.value());
  if (d.orders) highest = std::max(highest, d.orders->bpfi.value());
  return highest > 0 ? 3.5 * highest : 20.0;
}

/// A curve's unit as written for people: "m/s² rms", and "rms, no unit" for "1 rms".
std::string axis_unit(std::string text) {
  if (text == "1") return "no unit";
  if (starts_with(text, "1 ")) return text.substr(2) + ", no unit";
  if (starts_with(text, "m/s2")) text.replace(0, 4, "m/s²");
  return text;
}

ReportPlot plot_of(const Diagnosis& d, const Curve& c) {
  ReportPlot p;
  p.title = c.title;
  if (!c.channel.empty()) p.title += (p.title.empty() ? "" : ", ") + c.channel;
  const std::size_t n = std::min(c.x.size(), c.y.size());
  p.x.assign(c.x.begin(), c.x.begin() + static_cast<std::ptrdiff_t>(n));
  p.y.assign(c.y.begin(), c.y.begin() + static_cast<std::ptrdiff_t>(n));
  p.y_unit = axis_unit(c.y_unit);
  p.x_end = n == 0 ? 0 : p.x.back();
  p.x_unit = c.x_unit;
  if (c.x_unit == "s") {
    p.x_label = "time";
    p.y_label = "vibration";
  } else {
    p.x_label = "frequency";
    p.y_label = "amplitude";
  }
  if (!is_envelope(c)) return p;
  p.y_label = "envelope";
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
    if (!again) plots.push_back(plot_of(d, *curves[i]));
  }
  return plots;
}

}  // namespace bearingdsp
