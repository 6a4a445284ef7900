#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "plots.hpp"

namespace bearingdsp {
namespace {

// The darkest shade stands for at least these values, so that a healthy machine looks quiet.
// Simulated bearings (6205, 1772 rpm, 10 s): strength 0.01 healthy and 0.69 damaged, coherence 0.03
// and 0.62, highest depth over the readings 0.05 and 0.83.
constexpr double min_strength = 0.5, min_coherence = 0.3, min_depth = 0.5;
// Limit C/D of the smallest machines: one line as high as that is too high for any machine
// [src:iso10816-1 table B.1].
constexpr double min_velocity = 4.5;  // mm/s rms

/// So that the shades of two machines can be compared.
std::string scale_note(const ReportMap& m) {
  std::string top = fmt::format("{:g}", m.min_top);
  if (!m.value_unit.empty()) top += " " + m.value_unit;
  return fmt::format("The darkest shade is {} or the highest value, whichever is larger.", top);
}

/// How many parts of the whole range the band is.
long part_of(const Band& whole, const Band& band) {
  return std::lround(whole.width() / band.width());
}

/// Bands of one width that follow each other are a row; those half a width aside are the next one.
std::vector<MapRow> tree_rows(const std::vector<BandTried>& bands, std::vector<MapMark>& marks) {
  std::vector<MapRow> rows;
  long parts = 0;
  double last = 0;
  for (const BandTried& b : bands) {
    const long here = part_of(bands.front().band, b.band);
    const double low = b.band.low.value();
    if (here != parts || low <= last) {
      MapRow row;
      row.start = low;
      row.step = b.band.width().value();
      if (here != parts) row.name = here == 1 ? "whole" : fmt::format("1/{}", here);
      rows.push_back(std::move(row));
    }
    parts = here;
    last = low;
    MapRow& row = rows.back();
    if (b.chosen) marks.push_back({rows.size() - 1, row.y.size(), "strongest"});
    row.y.push_back(b.strength);
    row.notes.push_back(b.strength > 0
                            ? fmt::format("{}, kurtosis {}", words(b.part), significant(b.kurtosis))
                            : "nothing detected");
  }
  return rows;
}

ReportMap band_map(const Diagnosis& d) {
  ReportMap m;
  m.title = "choice of the band: strength of the bearing lines in every band that was examined";
  m.x_label = "frequency";
  m.x_unit = "Hz";
  m.y_label = "fraction of the range";
  m.value_label = "strength";
  m.rows = tree_rows(d.bands_tried, m.marks);
  m.x_end = d.bands_tried.front().band.high.value();
  m.min_top = min_strength;
  m.notes.emplace_back(
      "Strength: modulation depth at the defect frequency of the strongest component there, "
      "weighted by the share of the range. Healthy bearings stay below about 0.2. Rows without a "
      "name are the bands between those above them.");
  m.notes.emplace_back(m.marks.empty()
                           ? "No harmonic series is detected in any band."
                           : "Outlined: the strongest band; its envelope spectrum is shown above.");
  m.notes.push_back(scale_note(m));
  return m;
}

ReportMap coherence_map(const Diagnosis& d, const CoherenceMap& c,
                        const std::vector<PlotMarker>& markers, double end) {
  ReportMap m;
  m.title = "which frequencies are modulated at which rate: cyclic coherence";
  m.x_label = "events per shaft revolution";
  m.x_unit = "orders";
  m.y_label = "carrier band / Hz";
  m.value_label = "cyclic coherence";
  const double step = c.step / d.speed.rate;
  for (std::size_t b = c.bands.size(); b-- > 0;)
    m.rows.push_back({fmt::format("{:.0f}-{:.0f}", c.bands[b].low.value(), c.bands[b].high.value()),
                      0,
                      step,
                      c.magnitude[b],
                      {}});
  m.markers = markers;
  m.x_end = end;
  m.shaft_hz = d.speed.rate.value();
  m.min_top = min_coherence;
  m.notes.push_back(
      fmt::format("0: no modulation at that rate, 1: the band is fully modulated at that rate. "
                  "Mean over each band of the recording after its spectrum is made flat; "
                  "stationary noise reaches {} in one cell of 1000. Damage appears as vertical "
                  "lines at the orders of a component through many bands.",
                  significant(c.by_chance, 2)));
  m.notes.push_back(scale_note(m));
  return m;
}

MapRow visit_row(const Reading& r, const KeptSpectrum& s, double scale) {
  MapRow row{format_date(r.taken), s.start, s.step, s.level, {}};
  for (double& v : row.y) v *= scale;
  return row;
}

/// Rows from the latest down, and the work that was done between them.
ReportMap over_visits(const PointHistory& history, const std::vector<const Reading*>& visits,
                      KeptSpectrum VisitSpectra::*which, double scale) {
  ReportMap m;
  m.y_label = "reading, latest at the top";
  m.in_db = true;
  for (auto r = visits.rbegin(); r != visits.rend(); ++r) {
    const KeptSpectrum& s = *(*r)->spectra.*which;
    if (s.level.empty()) continue;
    m.rows.push_back(visit_row(**r, s, scale));
    m.x_end = std::max(m.x_end, s.start + s.step * static_cast<double>(s.level.size()));
    const bool oldest = std::next(r) == visits.rend();
    const Reading* before = oldest ? nullptr : *std::next(r);
    for (const Event& e : history.events)
      if (begins_baseline(e.kind) && e.when <= (*r)->taken && before != nullptr &&
          e.when > before->taken)
        m.breaks.push_back(
            {m.rows.size(), fmt::format("{} {}", format_date(e.when), words(e.kind))});
  }
  return m;
}

}  // namespace

std::vector<ReportMap> diagnosis_maps(const Diagnosis& d, const std::vector<ReportPlot>& plots) {
  std::size_t envelopes = 0;
  while (envelopes < plots.size() && plots[envelopes].x_unit == "orders") ++envelopes;
  std::vector<ReportMap> maps;
  if (!d.bands_tried.empty()) maps.push_back(band_map(d));
  if (d.coherence && d.speed.found() && !d.coherence->bands.empty()) {
    const bool shown = envelopes > 0;
    const double end = shown ? plots.front().x_end : orders_shown(d.orders);
    maps.push_back(coherence_map(
        d, *d.coherence, shown ? plots.front().markers : expected_markers(d.orders, end), end));
  }
  for (ReportMap& m : maps) m.after = envelopes;
  return maps;
}

std::vector<ReportMap> visit_maps(const PointHistory& history, std::size_t max_visits) {
  std::vector<const Reading*> visits;
  for (const Reading& r : history.readings)
    if (r.spectra) visits.push_back(&r);
  if (visits.size() < 2) return {};
  const std::size_t with = visits.size();
  if (with > max_visits)
    visits.erase(visits.begin(), visits.end() - static_cast<std::ptrdiff_t>(max_visits));
  const Reading& latest = *visits.back();
  const double shaft = latest.speed ? shaft_rate(*latest.speed).value() : 0;

  ReportMap envelope = over_visits(history, visits, &VisitSpectra::envelope, 1);
  envelope.title = "envelope spectrum of all readings";
  envelope.x_label = "events per shaft revolution";
  envelope.x_unit = "orders";
  envelope.value_label = "modulation depth";
  envelope.markers = expected_markers(latest.spectra->orders, envelope.x_end);
  envelope.shaft_hz = shaft;
  envelope.span_db = 30;
  envelope.min_top = min_depth;
  ReportMap velocity = over_visits(history, visits, &VisitSpectra::velocity, 1e3);
  velocity.title = "velocity spectrum of all readings";
  velocity.x_label = "frequency";
  velocity.x_unit = "Hz";
  velocity.value_label = "velocity";
  velocity.value_unit = "mm/s rms";
  velocity.shaft_hz = shaft;
  velocity.span_db = 40;
  velocity.min_top = min_velocity;
  for (int h = 1; h <= 3 && shaft > 0 && h * shaft <= velocity.x_end; ++h)
    velocity.markers.push_back({h * shaft, MarkerKind::shaft, h, 0, false});

  std::vector<ReportMap> maps;
  for (ReportMap* m : {&envelope, &velocity}) {
    if (m->rows.size() < 2) continue;
    std::string note =
        "Each cell shows the highest line in it, stored with the reading to within ±2 %. ";
    note += "Markers: expected lines at the latest reading.";
    m->notes.push_back(std::move(note));
    m->notes.push_back(scale_note(*m));
    if (with > max_visits)
      m->notes.push_back(fmt::format("The latest {} of {} readings.", max_visits, with));
    if (with < history.readings.size())
      m->notes.push_back(
          fmt::format("{} of {} readings are missing: they were analysed before spectra were kept.",
                      history.readings.size() - with, history.readings.size()));
    maps.push_back(std::move(*m));
  }
  return maps;
}

}  // namespace bearingdsp
