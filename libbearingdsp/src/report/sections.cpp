#include "sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string>
#include <utility>

namespace bearingdsp {

std::string shown_unit(SampleUnit unit) {
  switch (unit) {
    case SampleUnit::acceleration:
      return "m/s²";
    case SampleUnit::uncalibrated:
      return "no unit";
    case SampleUnit::revolution:
      return "marker";
    case SampleUnit::velocity:
    case SampleUnit::displacement:
    case SampleUnit::volt:
      return std::string{symbol(unit)};
  }
  return {};
}

ReadingUnit reading_unit(SampleUnit unit) {
  if (unit == SampleUnit::velocity) return {"mm/s", 1e3};
  if (unit == SampleUnit::displacement) return {"µm", 1e6};
  return {shown_unit(unit), 1};
}

std::string origin_text(const DefectOrders& o) {
  std::string text;
  switch (o.origin) {
    case OrdersOrigin::geometry:
      text = "computed from the geometry";
      break;
    case OrdersOrigin::given:
      text = "given";
      break;
    case OrdersOrigin::catalogue:
      text = "from the catalogue";
      break;
    case OrdersOrigin::element_count:
      text = "estimated from the number of rolling elements alone";
      break;
    case OrdersOrigin::boundary:
      text = "estimated from the outer dimensions alone";
      break;
  }
  if (o.relative_uncertainty > 0)
    text += fmt::format(", ±{} % (element ±{} %)",
                        significant(100 * o.uncertainty(Part::outer_ring), 2),
                        significant(100 * o.uncertainty(Part::rolling_element), 2));
  if (!o.source.empty()) text += fmt::format(" [{}]", o.source);
  return text;
}

std::string orders_text(const DefectOrders& o) {
  std::string text = fmt::format("BPFO {}, BPFI {}, BSF {}, FTF {} x shaft speed",
                                 significant(o.bpfo.value(), 4), significant(o.bpfi.value(), 4),
                                 significant(o.bsf.value(), 4), significant(o.ftf.value(), 4));
  if (o.rolling_elements > 0) text += fmt::format(" ({} rolling elements)", o.rolling_elements);
  return text + "; " + origin_text(o);
}

std::string short_orders_text(const DefectOrders& o) {
  std::string text = fmt::format("BPFO {}, BPFI {}, BSF {}, FTF {} x speed",
                                 significant(o.bpfo.value(), 4), significant(o.bpfi.value(), 4),
                                 significant(o.bsf.value(), 4), significant(o.ftf.value(), 3));
  if (o.relative_uncertainty > 0)
    text += fmt::format(", ±{} %", significant(100 * o.uncertainty(Part::outer_ring), 2));
  return text;
}

namespace {

template <auto Member>
std::optional<double> figure(const SignalFigures& f) {
  return f.*Member;
}

}  // namespace

std::span<const FigureColumn> figure_columns() {
  constexpr static std::array all{
      FigureColumn{"Level", "rms", "rms_in_unit", "acceleration_rms_m_s2",
                   figure<&SignalFigures::rms>},
      FigureColumn{"Peak", "", "peak_in_unit", "acceleration_peak_m_s2",
                   figure<&SignalFigures::peak>},
      FigureColumn{"Crest", "", "crest_factor", "", figure<&SignalFigures::crest_factor>},
      FigureColumn{"Kurtosis", "", "kurtosis", "", figure<&SignalFigures::kurtosis>},
      FigureColumn{"Envelope", "rms", "envelope_rms_in_unit", "envelope_rms_m_s2",
                   figure<&SignalFigures::envelope_rms>}};
  return all;
}

ReportSection level_section(const std::vector<SignalFigures>& figures) {
  ReportSection s;
  s.id = "levels";
  s.title = "Vibration levels";
  ReportTable t;
  t.columns = {{"Channel", "", false}, {"Unit", "", false}, {"Velocity", "mm/s rms", true}};
  for (const FigureColumn& c : figure_columns())
    t.columns.push_back({std::string{c.title}, std::string{c.unit}, true});
  bool unit_unknown = false;
  bool too_narrow = false;
  bool with_velocity = false;
  bool acceleration = false;
  Hz from{10};
  for (const SignalFigures& f : figures) {
    from = f.velocity_from;
    const ReadingUnit unit = reading_unit(f.unit);
    t.rows.push_back(
        {f.channel, unit.name, f.velocity_rms ? significant(in_mm_per_s(*f.velocity_rms)) : "-"});
    for (const FigureColumn& c : figure_columns()) {
      const auto value = c.of(f);
      const double per_si = c.acceleration_key.empty() ? 1 : unit.per_si;
      t.rows.back().push_back(value ? significant(*value * per_si) : "-");
    }
    const bool known = f.unit == SampleUnit::acceleration || f.unit == SampleUnit::velocity;
    with_velocity = with_velocity || f.velocity_rms;
    unit_unknown = unit_unknown || !known;
    too_narrow = too_narrow || (known && !f.velocity_rms);
    acceleration = acceleration || f.unit == SampleUnit::acceleration;
  }
  s.table = std::move(t);
  if (with_velocity)
    s.notes.push_back(
        fmt::format("Velocity is the overall level in {:g}-1000 Hz, which machine standards judge. "
                    "Level, peak and envelope are in the unit of the channel.",
                    from.value()));
  if (acceleration)
    s.notes.push_back(
        fmt::format("1 g is {} m/s². Kurtosis is 3 for random noise, and well above "
                    "it for single hard impacts.",
                    significant(standard_gravity, 4)));
  if (unit_unknown)
    s.notes.emplace_back(
        "No velocity where the unit of the signal is not known: levels then only compare with "
        "other recordings of the same sensor chain. Give --unit or --sensitivity to get them.");
  if (too_narrow)
    s.notes.push_back(fmt::format(
        "No velocity where the recording is too short, or its band too narrow, for {:g}-1000 Hz.",
        from.value()));
  return s;
}

ReportSection finding_section(const Findings& findings) {
  ReportSection s;
  s.id = "findings";
  s.title = "About the recording";
  Findings sorted = findings;
  std::stable_sort(sorted.begin(), sorted.end(), [](const Finding& a, const Finding& b) {
    return static_cast<int>(a.weight) > static_cast<int>(b.weight);
  });
  // What is the same for several channels is said once.
  std::vector<bool> said(sorted.size(), false);
  for (std::size_t i = 0; i < sorted.size(); ++i) {
    if (said[i]) continue;
    const Finding& f = sorted[i];
    std::string where = f.where;
    std::string what = f.what;
    for (std::size_t k = i + 1; k < sorted.size(); ++k) {
      const Finding& g = sorted[k];
      if (g.kind != f.kind || g.weight != f.weight || g.consequence != f.consequence ||
          g.advice != f.advice || g.where.empty() || f.where.empty())
        continue;
      said[k] = true;
      if (g.what == f.what) {
        where += ", " + g.where;
      } else {
        what += "; " + g.where + ": " + g.what;
      }
    }
    std::string text =
        fmt::format("{}{}{}: {}", words(f.weight), where.empty() ? "" : ", ", where, what);
    if (!f.consequence.empty()) text += ". Consequence: " + f.consequence;
    if (!f.advice.empty()) text += ". Remedy: " + f.advice;
    s.items.push_back(std::move(text));
  }
  return s;
}

}  // namespace bearingdsp
