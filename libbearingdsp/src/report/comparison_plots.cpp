#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "plots.hpp"
#include "sections.hpp"

namespace bearingdsp {
namespace {

bool over_orders(const Curve& c) { return c.x_unit == "orders"; }

/// The curves of one axis over the other side's: by their order, since channels may be renamed.
std::vector<std::pair<const Curve*, const Curve*>> pairs_of(const BeforeAfter& r, bool orders) {
  std::vector<const Curve*> before;
  std::vector<const Curve*> after;
  for (const Curve& c : r.before.curves)
    if (over_orders(c) == orders) before.push_back(&c);
  for (const Curve& c : r.after.curves)
    if (over_orders(c) == orders) after.push_back(&c);
  std::vector<std::pair<const Curve*, const Curve*>> pairs;
  // Of the envelope the whole band alone, which stands first: the strongest one is another band on
  // each side.
  const std::size_t most = orders ? 1 : std::min(before.size(), after.size());
  for (std::size_t i = 0; i < std::min({most, before.size(), after.size()}); ++i)
    if (before[i]->y_unit == after[i]->y_unit) pairs.emplace_back(before[i], after[i]);
  return pairs;
}

std::string file_of(const std::string& path) { return path.substr(path.find_last_of('/') + 1); }

double last_x(const Curve& c) { return c.x.empty() ? 0 : c.x.back(); }

ReportPlot plot_of(const Curve& c, double x_end, const std::optional<DefectOrders>& orders,
                   const std::optional<Rpm>& speed) {
  ReportPlot p;
  p.kind = PlotKind::spectrum;
  p.title = c.title;
  if (!c.channel.empty()) p.title += ", " + c.channel;
  p.x = c.x;
  p.y = c.y;
  p.x_unit = c.x_unit;
  p.x_label = over_orders(c) ? "events per shaft revolution" : "frequency";
  p.x_end = x_end;
  if (speed) p.shaft_hz = shaft_rate(*speed).value();
  p.spacings = spacings(orders, over_orders(c) ? 1.0 : p.shaft_hz);
  if (!over_orders(c)) {
    name_axis(p, "amplitude", c.y_unit);
    return p;
  }
  name_envelope_axis(p, c.y_unit);
  p.x_end = std::min(p.x_end, orders_shown(orders));
  p.markers = expected_markers(orders, p.x_end);
  return p;
}

ReportPlot plot_of(const BeforeAfter& r, const Curve& before, const Curve& after) {
  ReportPlot p = plot_of(after, std::max(last_x(after), last_x(before)),
                         r.after.orders ? r.after.orders : r.before.orders, r.after.speed);
  p.name = "after: " + file_of(r.after.curves_of);
  p.behind = PlotBackground{"before: " + file_of(r.before.curves_of), before.x, before.y};
  return p;
}

/// A plain spectrum: as velocity, which standards judge, and as it was measured.
void add_plain(std::vector<ReportPlot>& plots, ReportPlot p) {
  if (auto velocity = velocity_plot(p)) {
    velocity->title = "velocity " + p.title;
    const bool is_velocity = p.y_unit == "m/s rms";
    plots.push_back(std::move(*velocity));
    if (is_velocity) return;
  }
  if (p.y_unit == "m/s² rms") p.title = "acceleration " + p.title;
  plots.push_back(std::move(p));
}

}  // namespace

std::string level_text(const LevelChange& c, double value) {
  return significant(c.unit == SampleUnit::velocity ? in_mm_per_s(value) : value);
}

std::string unit_text(const LevelChange& c) {
  if (!c.unit || *c.unit == SampleUnit::uncalibrated) return {};
  return *c.unit == SampleUnit::velocity ? "mm/s" : shown_unit(*c.unit);
}

std::vector<ReportPlot> comparison_plots(const BeforeAfter& r) {
  std::vector<ReportPlot> plots;
  for (const auto& [before, after] : pairs_of(r, true))
    plots.push_back(plot_of(r, *before, *after));
  for (const auto& [before, after] : pairs_of(r, false))
    add_plain(plots, plot_of(r, *before, *after));
  return plots;
}

std::vector<ReportPlot> recording_plots(const ComparedRecording& r) {
  std::vector<ReportPlot> plots;
  const auto plot = [&](const Curve& c) {
    return plot_of(c, last_x(c), r.orders, r.reading.speed);
  };
  // The strongest band may be the whole one: the same picture twice says nothing.
  const auto drawn = [&](const Curve& c) {
    return std::any_of(plots.begin(), plots.end(),
                       [&](const ReportPlot& p) { return p.y == c.y && p.x == c.x; });
  };
  for (const Curve& c : r.curves)
    if (over_orders(c) && !drawn(c)) plots.push_back(plot(c));
  for (const Curve& c : r.curves)
    if (!over_orders(c)) add_plain(plots, plot(c));
  return plots;
}

std::optional<ReportChanges> level_changes(const BeforeAfter& r) {
  if (r.levels.empty()) return std::nullopt;
  ReportChanges changes;
  changes.title = "change of every level, with the random scatter and the effect of the work";
  changes.label = "change";
  changes.unit = "dB";
  changes.notes = {
      "Broad bar: random scatter. Filled dot: the change is larger; hollow dot: it is not.",
      "Thin line with an end: change of a level that another healthy bearing and the reassembly "
      "alone can cause; a change within it counts only with a harmonic series, a verdict or "
      "another sign."};
  for (const LevelChange& c : r.levels)
    if (std::isfinite(c.change_db))
      changes.rows.push_back({c.name, level_text(c, c.before), level_text(c, c.after), unit_text(c),
                              c.change_db, c.chance_db, c.beyond,
                              c.counts && c.alone_db > c.chance_db ? c.alone_db : 0});
  return changes;
}

}  // namespace bearingdsp
