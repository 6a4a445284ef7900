#include "bearingdsp/dataset/features.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "bearingdsp/dataset/outcome.hpp"
#include "dataset/cells.hpp"

namespace bearingdsp {
namespace {

constexpr double not_measured = std::numeric_limits<double>::quiet_NaN();

double larger(double so_far, double value) {
  return std::isnan(so_far) || value > so_far ? value : so_far;
}

/// Largest of the channels; those in another unit than the first are not comparable.
void add_levels(RecordFeatures& f, const Diagnosis& d) {
  if (d.figures.empty()) return;
  const SampleUnit unit = d.figures.front().unit;
  f.unit = unit == SampleUnit::uncalibrated ? "" : symbol(unit);
  for (const SignalFigures& channel : d.figures) {
    f.crest_factor = larger(f.crest_factor, channel.crest_factor);
    f.kurtosis = larger(f.kurtosis, channel.kurtosis);
    if (channel.velocity_rms) f.velocity_rms = larger(f.velocity_rms, *channel.velocity_rms);
    if (channel.unit != unit) continue;
    f.rms = larger(f.rms, channel.rms);
    f.peak = larger(f.peak, channel.peak);
    if (channel.envelope_rms) f.envelope_rms = larger(f.envelope_rms, *channel.envelope_rms);
  }
}

std::string names_of(const Findings& findings) {
  std::vector<std::string_view> seen;
  for (const Finding& finding : findings)
    if (std::find(seen.begin(), seen.end(), token(finding.kind)) == seen.end())
      seen.push_back(token(finding.kind));
  return fmt::format("{}", fmt::join(seen, "; "));
}

/// A row of the table: the recording, one of its components, and its series where there is one.
struct FeatureRow {
  const RecordFeatures& record;
  Part part;
  const FamilyEvidence* series;
};

struct FeatureReader {
  FeatureColumn column;
  FeatureCell (*read)(const FeatureRow&);
};

FeatureCell known(double value) {
  return std::isfinite(value) ? std::optional{value} : std::nullopt;
}

template <std::string RecordFeatures::*Member>
FeatureCell text_of(const FeatureRow& row) {
  return row.record.*Member;
}

template <double RecordFeatures::*Member>
FeatureCell level(const FeatureRow& row) {
  return known(row.record.*Member);
}

/// Of the series; not known without one.
template <class Read>
FeatureCell of_series(const FeatureRow& row, Read read) {
  return row.series == nullptr ? FeatureCell{std::optional<double>{}}
                               : known(static_cast<double>(read(*row.series)));
}

const std::vector<FeatureReader>& feature_readers() {
  using Row = const FeatureRow&;
  using Series = const FamilyEvidence&;
  constexpr bool number = true;
  constexpr std::string_view of_row = "in column unit";
  static const std::vector<FeatureReader> all{
      {{"dataset", ""}, text_of<&RecordFeatures::dataset>},
      {{"file", ""}, text_of<&RecordFeatures::file>},
      {{"split", ""}, text_of<&RecordFeatures::split>},
      {{"label", ""}, text_of<&RecordFeatures::label>},
      {{"named", ""}, text_of<&RecordFeatures::named>},
      {{"probability_damage", "1", number}, level<&RecordFeatures::probability_damage>},
      {{"speed_rpm", "rpm", number}, level<&RecordFeatures::speed_rpm>},
      {{"duration_s", "s", number}, level<&RecordFeatures::duration_s>},
      {{"unit", ""}, text_of<&RecordFeatures::unit>},
      {{"overall_rms", of_row, number}, level<&RecordFeatures::rms>},
      {{"peak", of_row, number}, level<&RecordFeatures::peak>},
      {{"crest_factor", "1", number}, level<&RecordFeatures::crest_factor>},
      {{"kurtosis", "1", number}, level<&RecordFeatures::kurtosis>},
      {{"velocity_rms_mm_s", "mm/s rms", number},
       [](Row r) { return known(1e3 * r.record.velocity_rms); }},
      {{"envelope_rms", of_row, number}, level<&RecordFeatures::envelope_rms>},
      {{"findings", ""}, text_of<&RecordFeatures::findings>},
      {{"component", ""}, [](Row r) { return FeatureCell{std::string{token(r.part)}}; }},
      {{"probability_component", "1", number},
       [](Row r) {
         return known(r.record.probability_of_part.at(static_cast<std::size_t>(r.part)));
       }},
      {{"strength", "1", number},
       [](Row r) { return of_series(r, [](Series s) { return s.strength; }); }},
      {{"depth", "1", number},
       [](Row r) { return of_series(r, [](Series s) { return s.depth; }); }},
      {{"expected_order", "x shaft speed", number},
       [](Row r) { return of_series(r, [](Series s) { return s.expected.value(); }); }},
      {{"fitted_order", "x shaft speed", number},
       [](Row r) { return of_series(r, [](Series s) { return s.fitted.value(); }); }},
      {{"slip", "1", number}, [](Row r) { return of_series(r, [](Series s) { return s.slip; }); }},
      {{"harmonics", "1", number},
       [](Row r) { return of_series(r, [](Series s) { return s.harmonics_detected; }); }},
      {{"sidebands", "1", number},
       [](Row r) { return of_series(r, [](Series s) { return s.sidebands_detected; }); }},
      {{"log10_false_alarm", "1", number},
       [](Row r) { return of_series(r, [](Series s) { return s.log10_false_alarm; }); }},
      {{"band_low_hz", "Hz", number},
       [](Row r) { return of_series(r, [](Series s) { return s.band.low.value(); }); }},
      {{"band_high_hz", "Hz", number},
       [](Row r) { return of_series(r, [](Series s) { return s.band.high.value(); }); }}};
  return all;
}

}  // namespace

RecordFeatures features_of_failed(const LabelledRecord& record) {
  RecordFeatures f{};
  f.dataset = record.dataset;
  f.file = record.file;
  f.split = record.split;
  f.label = record.label;
  f.named = "failed";
  for (double* value : {&f.probability_damage, &f.speed_rpm, &f.duration_s, &f.rms, &f.peak,
                        &f.crest_factor, &f.kurtosis, &f.velocity_rms, &f.envelope_rms})
    *value = not_measured;
  f.probability_of_part.fill(not_measured);
  return f;
}

RecordFeatures features_of(const LabelledRecord& record, const Diagnosis& d) {
  RecordFeatures f = features_of_failed(record);
  f.named = named_by(d);
  f.probability_damage = d.probability_of_damage;
  if (d.speed.found()) f.speed_rpm = shaft_speed(d.speed.rate).value();
  f.duration_s = d.duration.value();
  add_levels(f, d);
  f.findings = names_of(d.findings);
  for (const FamilyEvidence& family : d.families)
    f.families.at(static_cast<std::size_t>(family.part)) = family;
  f.probability_of_part = d.probability_of_part;
  return f;
}

std::vector<FeatureColumn> feature_columns() {
  std::vector<FeatureColumn> columns;
  for (const FeatureReader& reader : feature_readers()) columns.push_back(reader.column);
  return columns;
}

std::vector<FeatureCell> feature_cells(const RecordFeatures& f, Part part) {
  const auto& series = f.families.at(static_cast<std::size_t>(part));
  const FeatureRow row{f, part, series ? &*series : nullptr};
  std::vector<FeatureCell> cells;
  for (const FeatureReader& reader : feature_readers()) cells.push_back(reader.read(row));
  return cells;
}

std::string features_csv(const std::vector<RecordFeatures>& records) {
  std::string out;
  for (const FeatureReader& reader : feature_readers())
    out.append(out.empty() ? "" : ",").append(reader.column.name);
  out += '\n';
  for (const RecordFeatures& f : records)
    for (std::size_t part = 0; part < part_count; ++part) {
      bool first = true;
      for (const FeatureCell& cell : feature_cells(f, static_cast<Part>(part))) {
        if (!first) out += ',';
        first = false;
        if (const auto* text = std::get_if<std::string>(&cell))
          out += csv_cell(*text);
        else if (const auto& value = std::get<std::optional<double>>(cell))
          out += number_cell(*value);
      }
      out += '\n';
    }
  return out;
}

}  // namespace bearingdsp
