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

std::string component_cells(const RecordFeatures& f, std::size_t part) {
  const std::string probability = number_cell(f.probability_of_part.at(part));
  const std::optional<FamilyEvidence>& s = f.families.at(part);
  if (!s) return fmt::format("{},{},,,,,,,,,,", token(static_cast<Part>(part)), probability);
  const auto hz = [](double value) { return number_cell(value); };
  return fmt::format(
      "{},{},{},{},{},{},{},{},{},{},{},{}", token(s->part), probability, number_cell(s->strength),
      number_cell(s->depth), number_cell(s->expected.value()), number_cell(s->fitted.value()),
      number_cell(s->slip), s->harmonics_detected, s->sidebands_detected,
      number_cell(s->log10_false_alarm), hz(s->band.low.value()), hz(s->band.high.value()));
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

std::string features_csv(const std::vector<RecordFeatures>& records) {
  std::string out =
      "dataset,file,split,label,named,probability_damage,speed_rpm,duration_s,unit,overall_rms,"
      "peak,"
      "crest_factor,kurtosis,velocity_rms_mm_s,envelope_rms,findings,component,"
      "probability_component,strength,depth,expected_order,fitted_order,slip,harmonics,sidebands,"
      "log10_false_alarm,band_low_hz,band_high_hz\n";
  for (const RecordFeatures& f : records) {
    const std::string common = fmt::format(
        "{},{},{},{},{},{},{},{},{},{},{},{},{},{},{},{}", csv_cell(f.dataset), csv_cell(f.file),
        csv_cell(f.split), csv_cell(f.label), csv_cell(f.named), number_cell(f.probability_damage),
        number_cell(f.speed_rpm), number_cell(f.duration_s), csv_cell(f.unit), number_cell(f.rms),
        number_cell(f.peak), number_cell(f.crest_factor), number_cell(f.kurtosis),
        number_cell(1e3 * f.velocity_rms), number_cell(f.envelope_rms), csv_cell(f.findings));
    for (std::size_t part = 0; part < part_count; ++part)
      out += fmt::format("{},{}\n", common, component_cells(f, part));
  }
  return out;
}

}  // namespace bearingdsp
