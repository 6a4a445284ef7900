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

ReportPlot plot_of(const BeforeAfter& r, const Curve& before, const Curve& after) {
  ReportPlot p;
  p.kind = PlotKind::spectrum;
  p.title = after.title;
  if (!after.channel.empty()) p.title += ", " + after.channel;
  p.x = after.x;
  p.y = after.y;
  p.name = "after: " + file_of(r.after.curves_of);
  p.behind = PlotBackground{"before: " + file_of(r.before.curves_of), before.x, before.y};
  p.x_unit = after.x_unit;
  p.x_label = over_orders(after) ? "events per shaft revolution" : "frequency";
  p.x_end = std::max(after.x.empty() ? 0 : after.x.back(), before.x.empty() ? 0 : before.x.back());
  if (r.after.speed) p.shaft_hz = shaft_rate(*r.after.speed).value();
  const auto& orders = r.after.orders ? r.after.orders : r.before.orders;
  p.spacings = spacings(orders, over_orders(after) ? 1.0 : p.shaft_hz);
  if (!over_orders(after)) {
    name_axis(p, "amplitude", after.y_unit);
    return p;
  }
  p.y_label = after.y_unit;
  p.x_end = std::min(p.x_end, orders_shown(orders));
  p.markers = expected_markers(orders, p.x_end);
  return p;
}

std::string shown(const LevelChange& c, double value) {
  return significant(c.unit == SampleUnit::velocity ? in_mm_per_s(value) : value);
}

std::string unit_text(const LevelChange& c) {
  if (!c.unit || *c.unit == SampleUnit::uncalibrated) return {};
  return *c.unit == SampleUnit::velocity ? "mm/s" : shown_unit(*c.unit);
}

}  // namespace

std::vector<ReportPlot> comparison_plots(const BeforeAfter& r) {
  std::vector<ReportPlot> plots;
  for (const auto& [before, after] : pairs_of(r, true))
    plots.push_back(plot_of(r, *before, *after));
  for (const auto& [before, after] : pairs_of(r, false)) {
    ReportPlot p = plot_of(r, *before, *after);
    if (auto velocity = velocity_plot(p)) {
      velocity->title = "velocity " + p.title;
      const bool is_velocity = p.y_unit == "m/s rms";
      plots.push_back(std::move(*velocity));
      if (is_velocity) continue;
    }
    if (p.y_unit == "m/s² rms") p.title = "acceleration " + p.title;
    plots.push_back(std::move(p));
  }
  return plots;
}

std::optional<ReportChanges> level_changes(const BeforeAfter& r) {
  if (r.levels.empty()) return std::nullopt;
  ReportChanges changes;
  changes.title = "change of every level, and what chance does";
  changes.label = "change";
  changes.unit = "dB";
  for (const LevelChange& c : r.levels)
    if (std::isfinite(c.change_db))
      changes.rows.push_back({c.name, shown(c, c.before), shown(c, c.after), unit_text(c),
                              c.change_db, std::max(1.0, 3 * c.scatter_db), c.beyond});
  return changes;
}

}  // namespace bearingdsp
