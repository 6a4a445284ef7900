#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/dsp/statistics.hpp"
#include "bearingdsp/report/validation.hpp"
#include "bearingdsp/verdict/judgement.hpp"
#include "json_parts.hpp"

namespace bearingdsp {
namespace {

constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();
constexpr std::array<Grade, grade_count> grades{
    Grade::right,  Grade::wrong_place, Grade::unclear_place, Grade::cannot_tell,
    Grade::missed, Grade::false_alarm, Grade::failed};

ReportSection rates(const Summary& s) {
  ReportSection section;
  section.id = s.dataset;
  section.title = fmt::format("{}: {} recordings, {} damaged, {} healthy", s.dataset, s.records,
                              s.damaged, s.sound);
  ReportTable t;
  t.columns = {{"", "", false},
               {"Count", "", true},
               {"Of", "", true},
               {"Rate", "%", true},
               {"95 % interval", "%", true}};
  for (const Grade g : grades) {
    const std::size_t n = s.out_of(g);
    const std::size_t k = s.count(g);
    if (n == 0 || (g == Grade::failed && k == 0)) continue;
    const Interval i = wilson_interval(k, n);
    t.rows.push_back(
        {std::string{words(g)}, fmt::format("{}", k), fmt::format("{}", n),
         fmt::format("{:.1f}", 100.0 * static_cast<double>(k) / static_cast<double>(n)),
         fmt::format("{:.1f} - {:.1f}", 100 * i.low, 100 * i.high)});
  }
  section.table = std::move(t);
  section.notes.push_back(
      fmt::format("Brier score of the probability of damage: {}", significant(s.brier)));
  return section;
}

ReportSection reliability_section(const Summary& s) {
  ReportSection section;
  section.id = "reliability";
  section.title = "Are the probabilities of damage correct? (all recordings)";
  ReportTable t;
  t.columns = {{"Said", "%", true},    {"Records", "", true},        {"Mean stated", "%", true},
               {"Damaged", "%", true}, {"95 % interval", "%", true}, {"", "", false}};
  for (const ReliabilityBin& b : s.reliability) {
    if (b.count == 0) continue;
    const bool fits = b.mean_probability >= b.interval.low && b.mean_probability <= b.interval.high;
    t.rows.push_back({fmt::format("{:.0f} - {:.0f}", 100 * b.low, 100 * b.high),
                      fmt::format("{}", b.count), fmt::format("{:.1f}", 100 * b.mean_probability),
                      fmt::format("{:.1f}", 100 * b.frequency),
                      fmt::format("{:.1f} - {:.1f}", 100 * b.interval.low, 100 * b.interval.high),
                      fits ? "" : "off"});
  }
  section.table = std::move(t);
  section.notes.emplace_back(
      "off: the mean stated probability is outside the interval of the observed share.");
  return section;
}

ReportSection confusion_section(const std::vector<Outcome>& outcomes) {
  const Confusion c = confusion(outcomes);
  ReportSection section;
  section.id = "confusion";
  section.title = "Identified component by actual component (all recordings)";
  ReportTable t;
  t.columns.push_back({"Label", "", false});
  // The second word goes under the first, or the table would be too wide for a terminal.
  for (const std::string& named : c.named) {
    const std::size_t blank = named.find(' ');
    t.columns.push_back(
        {named.substr(0, blank), blank == std::string::npos ? "" : named.substr(blank + 1), true});
  }
  t.columns.push_back({"records", "", true});
  for (std::size_t r = 0; r < c.labels.size(); ++r) {
    std::vector<std::string> row{c.labels[r]};
    std::size_t all = 0;
    for (const std::size_t n : c.count[r]) {
      row.push_back(fmt::format("{}", n));
      all += n;
    }
    row.push_back(fmt::format("{}", all));
    t.rows.push_back(std::move(row));
  }
  section.table = std::move(t);
  section.notes.emplace_back("Rows: label. Columns: diagnosis.");
  return section;
}

/// Thresholds that the table shows; the picture shows them all.
std::vector<double> shown_thresholds() {
  std::vector<double> all{0.1, 0.2, 0.3, 0.4,  0.5, JudgementModel{}.fault_from,
                          0.7, 0.8, 0.9, 0.95, 0.99};
  return all;
}

std::string rate_of(std::size_t k, std::size_t n, const Interval& i) {
  if (n == 0) return "-";
  return fmt::format("{}/{}  {:.1f} ({:.1f} - {:.1f})", k, n,
                     100.0 * static_cast<double>(k) / static_cast<double>(n), 100 * i.low,
                     100 * i.high);
}

ReportSection detection_section(const std::vector<StatedProbability>& forecasts) {
  ReportSection section;
  section.id = "detection";
  section.title = "Detection and false alarms for different thresholds of the probability";
  ReportTable t;
  t.columns = {{"Threshold", "%", true},
               {"Damaged, reported", "% (95 % interval)", true},
               {"Healthy, reported", "% (95 % interval)", true}};
  for (const double threshold : shown_thresholds()) {
    const DetectionPoint p = detection_at(forecasts, threshold);
    t.rows.push_back({fmt::format("{:.0f}", 100 * threshold),
                      rate_of(p.called_damaged, p.damaged, p.detection),
                      rate_of(p.called_sound, p.sound, p.false_alarm)});
  }
  section.table = std::move(t);
  const double area = area_under_curve(detection_curve(forecasts));
  if (std::isfinite(area))
    section.notes.push_back(
        fmt::format("Area under the curve of all thresholds: {:.3f}, the probability that a "
                    "damaged recording gets a higher value than a healthy one.",
                    area));
  section.notes.push_back(
      fmt::format("Verdicts report damage from {:.0f} %; they can also be 'cannot tell'.",
                  100 * JudgementModel{}.fault_from));
  return section;
}

/// Nothing where no recording has a time.
std::optional<ReportSection> time_section(const std::vector<Outcome>& outcomes) {
  std::vector<double> seconds;
  double sum = 0;
  for (const Outcome& o : outcomes) {
    if (!std::isfinite(o.seconds)) continue;
    seconds.push_back(o.seconds);
    sum += o.seconds;
  }
  if (seconds.empty()) return std::nullopt;
  ReportSection section;
  section.id = "time";
  section.title = "Time to read and diagnose a recording, one thread";
  section.figures = {
      {"Median", fmt::format("{:.3f} s", median(seconds))},
      {"90 % within", fmt::format("{:.3f} s", quantile(seconds, 0.9))},
      {"Longest", fmt::format("{:.3f} s", *std::max_element(seconds.begin(), seconds.end()))},
      {"Total", fmt::format("{:.1f} s", sum)}};
  return section;
}

std::optional<ReportPlot> detection_plot(const std::vector<DetectionPoint>& curve) {
  if (curve.front().damaged == 0 || curve.front().sound == 0) return std::nullopt;
  ReportPlot plot;
  plot.title = "Detection and false alarms";
  plot.x_label = "healthy recordings reported as damaged";
  plot.y_label = "damaged recordings reported as damaged";
  plot.x_unit = plot.y_unit = "%";
  plot.kind = PlotKind::rates;
  plot.x_end = 100;
  plot.diagonal = "random guess";
  // A bar at every point would hide the curve: only at the thresholds of the table.
  const auto shown = shown_thresholds();
  for (std::size_t i = 0; i < curve.size(); ++i) {
    const DetectionPoint& p = curve[i];
    const double next = i + 1 < curve.size() ? curve[i + 1].threshold : -1;
    const bool bar = std::any_of(shown.begin(), shown.end(),
                                 [&](double t) { return p.threshold >= t && next < t; });
    plot.x.push_back(100 * p.false_alarm_rate());
    plot.y.push_back(100 * p.detection_rate());
    plot.low.push_back(bar ? 100 * p.detection.low : not_a_number);
    plot.high.push_back(bar ? 100 * p.detection.high : not_a_number);
  }
  return plot;
}

std::optional<ReportPlot> reliability_plot(const Summary& s) {
  ReportPlot plot;
  plot.title = "Are the probabilities correct?";
  plot.x_label = "stated probability of damage";
  plot.y_label = "damaged recordings";
  plot.x_unit = plot.y_unit = "%";
  plot.kind = PlotKind::rates;
  plot.x_end = 100;
  plot.diagonal = "ideal";
  for (const ReliabilityBin& b : s.reliability) {
    if (b.count == 0) continue;
    plot.x.push_back(100 * b.mean_probability);
    plot.y.push_back(100 * b.frequency);
    plot.low.push_back(100 * b.interval.low);
    plot.high.push_back(100 * b.interval.high);
  }
  if (plot.x.size() < 2) return std::nullopt;
  return plot;
}

Json interval_json(const Interval& i) { return {{"low", i.low}, {"high", i.high}}; }
Json or_null(double value) { return std::isfinite(value) ? Json(value) : Json{}; }

std::string key_of(Grade g) {
  switch (g) {
    case Grade::right:
      return "right";
    case Grade::wrong_place:
      return "wrong_place";
    case Grade::unclear_place:
      return "unclear_place";
    case Grade::cannot_tell:
      return "cannot_tell";
    case Grade::missed:
      return "missed";
    case Grade::false_alarm:
      return "false_alarms";
    case Grade::failed:
      return "failed";
  }
  return "failed";
}

Json summary_json(const Summary& s) {
  Json json = {{"dataset", s.dataset},
               {"records", s.records},
               {"damaged", s.damaged},
               {"sound", s.sound},
               {"brier", or_null(s.brier)}};
  for (const Grade g : grades)
    json[key_of(g)] = {{"count", s.count(g)},
                       {"of", s.out_of(g)},
                       {"interval", interval_json(wilson_interval(s.count(g), s.out_of(g)))}};
  for (const ReliabilityBin& b : s.reliability)
    json["reliability"].push_back({{"low", b.low},
                                   {"high", b.high},
                                   {"count", b.count},
                                   {"damaged", b.happened},
                                   {"mean_probability", or_null(b.mean_probability)},
                                   {"frequency", or_null(b.frequency)},
                                   {"interval", interval_json(b.interval)}});
  return json;
}

Json point_json(const DetectionPoint& p) {
  return {{"threshold", or_null(p.threshold)},
          {"called_damaged", p.called_damaged},
          {"damaged", p.damaged},
          {"detection", interval_json(p.detection)},
          {"called_sound", p.called_sound},
          {"sound", p.sound},
          {"false_alarm", interval_json(p.false_alarm)}};
}

Json record_json(const Outcome& o) {
  return {{"dataset", o.dataset},
          {"file", o.file},
          {"label", o.label},
          {"named", o.named},
          {"grade", key_of(grade(o))},
          {"probability_of_damage", or_null(o.probability_damage)},
          {"probability_of_place", or_null(o.probability_place)},
          {"place_set", o.place_set},
          {"other_causes", o.other_causes},
          {"speed_rpm", or_null(o.speed_rpm)},
          {"speed_method", o.speed_method},
          {"time_s", or_null(o.seconds)},
          {"reason", o.reason}};
}

}  // namespace

Report validation_report(const std::vector<Outcome>& outcomes) {
  Report r;
  r.title = "VALIDATION";
  const auto summaries = summarise(outcomes);
  for (const Summary& s : summaries) r.sections.push_back(rates(s));
  r.sections.push_back(reliability_section(summaries.back()));
  r.sections.push_back(confusion_section(outcomes));
  const auto forecasts = damage_forecasts(outcomes);
  r.sections.push_back(detection_section(forecasts));
  if (auto time = time_section(outcomes)) r.sections.push_back(std::move(*time));
  const Summary& total = summaries.back();
  const std::size_t right = total.count(Grade::right);
  r.headline = fmt::format(
      "{} of {} recordings identified correctly; {} false alarms on {} healthy recordings.", right,
      total.records, total.count(Grade::false_alarm), total.sound);
  if (auto plot = detection_plot(detection_curve(forecasts))) r.plots.push_back(std::move(*plot));
  if (auto plot = reliability_plot(total)) r.plots.push_back(std::move(*plot));
  return r;
}

std::string validation_json(const std::vector<Outcome>& outcomes, const JsonOptions& options) {
  Json json = headed("bearingdsp.validation/1");
  for (const Summary& s : summarise(outcomes)) json["datasets"].push_back(summary_json(s));
  const Confusion c = confusion(outcomes);
  json["confusion"] = {{"labels", c.labels}, {"named", c.named}, {"count", c.count}};
  const auto curve = detection_curve(damage_forecasts(outcomes));
  json["area_under_curve"] = or_null(area_under_curve(curve));
  for (const DetectionPoint& p : curve) json["detection"].push_back(point_json(p));
  json["records"] = Json::array();
  for (const Outcome& o : outcomes) json["records"].push_back(record_json(o));
  return dumped(json, options.pretty);
}

Report comparison_report(const std::vector<OutcomeChange>& changes) {
  Report r;
  std::size_t better = 0;
  std::size_t worse = 0;
  ReportSection section;
  section.id = "changes";
  ReportTable t;
  t.columns = {{"Record", "", false}, {"Label", "", false},  {"Before", "", false},
               {"After", "", false},  {"Damage", "%", true}, {"", "", false}};
  const auto in_percent = [](double p) {
    return p >= 0 ? fmt::format("{:.0f}", 100 * p) : std::string{"-"};
  };
  for (const OutcomeChange& c : changes) {
    better += c.better ? 1 : 0;
    worse += c.worse ? 1 : 0;
    t.rows.push_back({c.file, c.label, c.before.empty() ? "(new)" : c.before,
                      c.after.empty() ? "(gone)" : c.after,
                      in_percent(c.probability_before) + " > " + in_percent(c.probability_after),
                      c.better  ? "better"
                      : c.worse ? "worse"
                                : ""});
  }
  section.table = std::move(t);
  r.title =
      fmt::format("CHANGED: {} recordings, {} better, {} worse", changes.size(), better, worse);
  r.tone = worse > 0 ? Tone::doubt : Tone::neutral;
  if (!changes.empty()) r.sections.push_back(std::move(section));
  return r;
}

}  // namespace bearingdsp
