#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/report/model.hpp"
#include "plots.hpp"
#include "sections.hpp"

namespace bearingdsp {
namespace {

std::string title_of(const Diagnosis& d) {
  if (d.verdict == Verdict::no_fault) return "NO FAULT FOUND";
  if (d.verdict == Verdict::indeterminate) return "CANNOT TELL";
  if (d.place_set.size() == 2)
    return fmt::format("BEARING FAULT: {} or {}", name(d.place_set[0]), name(d.place_set[1]));
  if (d.place == Place::unclear) return "BEARING FAULT, component not identified";
  if (d.place == Place::several) return "BEARING FAULT, several parts";
  return fmt::format("BEARING FAULT: {}", name(d.place));
}

Tone tone_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::no_fault:
      return Tone::good;
    case Verdict::fault:
      return Tone::bad;
    case Verdict::indeterminate:
      return Tone::doubt;
  }
  return Tone::neutral;
}

constexpr double likely = 0.7;

/// The scale of words for a probability; the number stands beside them.
std::string_view in_words(double p) {
  if (p >= 0.99) return "practically certain";
  if (p >= 0.9) return "very likely";
  if (p >= likely) return "likely";
  if (p >= 0.55) return "rather likely";
  if (p > 0.45) return "as likely as not";
  if (p > 0.3) return "rather unlikely";
  if (p > 0.1) return "unlikely";
  if (p > 0.01) return "very unlikely";
  return "practically ruled out";
}

/// "97 %" for a narrow column; never 0 or 100.
std::string short_percent(double p) {
  if (p > 0.99) return "> 99 %";
  if (p < 0.01) return "< 1 %";
  return fmt::format("{:.0f} %", 100 * p);
}

ReportSection certainty(const Diagnosis& d) {
  ReportSection s;
  s.id = "certainty";
  s.title = "How sure";
  s.figures.push_back({"Bearing damaged", fmt::format("{} ({})", in_words(d.probability_of_damage),
                                                      percent(d.probability_of_damage))});
  const bool placed = d.verdict == Verdict::fault && d.place != Place::unclear &&
                      d.place != Place::none && d.place != Place::cannot_tell;
  if (placed && d.probability_of_place > 0)
    s.figures.push_back(
        {d.place == Place::several ? "Several parts" : fmt::format("On the {}", name(d.place)),
         fmt::format("{} ({})", in_words(d.probability_of_place),
                     percent(d.probability_of_place))});
  // What else the record speaks for belongs beside the verdict: it is what to act on instead.
  for (const CauseEvidence& c : d.other_causes)
    if (c.probability >= likely)
      s.figures.push_back(
          {fmt::format("Other cause: {}", name(c.cause)),
           fmt::format("{} ({})", in_words(c.probability), percent(c.probability))});
  if (d.verdict == Verdict::no_fault)
    s.notes.emplace_back(
        "No fault found means that this record shows none. Damage that is very small, or that did "
        "not carry load while recording, can stay hidden.");
  return s;
}

ReportSection evidence(const Diagnosis& d) {
  ReportSection s;
  s.id = "evidence";
  s.title = "Evidence: repeating impacts at the rate each part would make them";
  if (d.families.empty()) {
    s.notes.emplace_back(
        d.orders ? "No family of lines was looked at: the speed or the record did not allow it."
                 : "Not possible without the bearing: name it (--bearing), give its geometry "
                   "(--geometry) or its number of rolling elements (--elements).");
    return s;
  }
  ReportTable t;
  t.columns = {{"Part", "", false},       {"Damaged", "", true},  {"Expected", "orders", true},
               {"Found", "orders", true}, {"Found", "Hz", true},  {"Lines", "", true},
               {"Depth", "%", true},      {"By chance", "", true}};
  bool slipped = false;
  for (const FamilyEvidence& f : d.families) {
    const bool found = f.harmonics_standing > 0;
    const double shaft = d.speed.rate.value();
    std::string lines = found ? fmt::format("{}", f.harmonics_standing) : "none";
    if (f.sidebands_standing > 0) lines += fmt::format(" + {}", f.sidebands_standing);
    const double p = d.probability_of_part.at(static_cast<std::size_t>(f.part));
    t.rows.push_back(
        {std::string{name(f.part)}, short_percent(p), significant(f.expected.value(), 4),
         found ? significant(f.fitted.value(), 4) : "-",
         found && d.speed.found() ? significant(f.fitted.value() * shaft, 4) : "-", lines,
         found ? significant(100 * f.depth, 2) : "-", odds(f.log10_false_alarm)});
    // A part that nothing speaks for may fit any lines nearby: no word of slip there.
    slipped = slipped || (found && p >= 0.05 && std::abs(f.slip) > 0.002);
    if (!f.remark.empty()) s.notes.push_back(fmt::format("{}: {}", name(f.part), f.remark));
  }
  s.table = std::move(t);
  s.notes.emplace_back(
      "Order: events per shaft revolution. Lines: harmonics + sidebands that stand above the "
      "noise. "
      "Depth: how strongly the vibration pulses at that rate, over its mean level; a smooth swell "
      "reaches 140 %, sharp impacts more. By chance: how often noise alone would look like this.");
  if (slipped)
    s.notes.emplace_back(
        "Found and expected differ by a little because elements slip as they roll; that is "
        "normal.");
  return s;
}

ReportSection other_causes(const Diagnosis& d) {
  ReportSection s;
  s.id = "other_causes";
  s.title = "Other causes that the record speaks for";
  for (const CauseEvidence& c : d.other_causes) {
    std::string text = fmt::format("{} ({})", in_words(c.probability), percent(c.probability));
    if (!c.why.empty()) text += ": " + c.why;
    s.figures.push_back({std::string{name(c.cause)}, std::move(text)});
  }
  return s;
}

std::string speed_text(const ShaftSpeed& speed) {
  if (!speed.found()) return speed.why.empty() ? "not found" : "not found: " + speed.why;
  std::string text =
      fmt::format("{} rpm ({} Hz), ", significant(shaft_speed(speed.rate).value(), 5),
                  significant(speed.rate.value(), 4));
  switch (speed.method) {
    case SpeedMethod::given:
      text += "as given";
      break;
    case SpeedMethod::given_refined:
      text += "as given, sharpened on the record";
      break;
    case SpeedMethod::tacho:
      text += "from the tacho";
      break;
    case SpeedMethod::harmonic_comb:
      text += "found from shaft harmonics";
      break;
    case SpeedMethod::defect_comb:
      text += "found from the defect's own lines";
      break;
    case SpeedMethod::followed:
      text += "on average, followed through the record on shaft harmonics";
      break;
    case SpeedMethod::not_found:
      break;
  }
  text += fmt::format(", good to {} %", significant(100 * speed.relative_uncertainty, 2));
  if (speed.relative_variation > 0.001)
    text += fmt::format(", varying by {} %", significant(100 * speed.relative_variation, 2));
  return text;
}

ReportSection record(const Diagnosis& d) {
  ReportSection s;
  s.id = "record";
  s.title = "Record";
  s.figures.push_back(
      {"Length", fmt::format("{} s at {} samples/s", significant(d.duration.value()),
                             significant(d.rate.value(), 5))});
  std::string channels;
  for (const std::string& c : d.channels) channels += (channels.empty() ? "" : ", ") + c;
  if (!channels.empty()) s.figures.push_back({"Channels", channels});
  s.figures.push_back({"Shaft speed", speed_text(d.speed)});
  if (d.orders) {
    s.figures.push_back({"Bearing", orders_text(*d.orders)});
  } else {
    s.figures.push_back({"Bearing", "not named"});
  }
  return s;
}

ReportSection bands(const Diagnosis& d) {
  ReportSection s;
  s.id = "bands";
  s.title = "Frequency bands that were demodulated";
  s.detail = true;
  ReportTable t;
  t.columns = {{"Channel", "", false},        {"From", "Hz", true},   {"To", "Hz", true},
               {"Share of range", "%", true}, {"Kurtosis", "", true}, {"Evidence", "nats", true}};
  for (const BandEvidence& b : d.bands)
    t.rows.push_back({b.channel, significant(b.band.low.value(), 4),
                      significant(b.band.high.value(), 4), significant(100 * b.share, 2),
                      significant(b.kurtosis), significant(b.evidence)});
  s.table = std::move(t);
  return s;
}

ReportSection lines(const Diagnosis& d) {
  ReportSection s;
  s.id = "lines";
  s.title = "Lines of the families that stand";
  s.detail = true;
  ReportTable t;
  t.columns = {{"Part", "", false},  {"Harmonic", "", true},    {"Sideband", "", true},
               {"Order", "", true},  {"Frequency", "Hz", true}, {"Above floor", "dB", true},
               {"Depth", "%", true}, {"Counts", "", false}};
  for (const FamilyEvidence& f : d.families)
    for (const LineEvidence& l : f.lines) {
      if (!l.stands) continue;
      t.rows.push_back(
          {std::string{name(f.part)}, fmt::format("{}", l.harmonic),
           l.sideband == 0 ? "" : fmt::format("{:+d}", l.sideband), significant(l.order.value(), 5),
           d.speed.found() ? significant(l.order.value() * d.speed.rate.value(), 5) : "-",
           significant(l.prominence_db), significant(100 * l.depth, 2),
           l.shared ? "no: shared" : "yes"});
    }
  s.table = std::move(t);
  return s;
}

ReportSection trail(const Diagnosis& d) {
  ReportSection s;
  s.id = "trail";
  s.title = "What was done";
  s.detail = true;
  for (const Step& step : d.trail) s.figures.push_back({step.op, step.args});
  return s;
}

}  // namespace

Report diagnosis_report(const Diagnosis& d) {
  Report r;
  r.title = title_of(d);
  r.source = d.source;
  r.tone = tone_of(d.verdict);
  r.headline = d.headline;
  r.sections.push_back(certainty(d));
  if (!d.advice.empty()) {
    ReportSection s;
    s.id = "advice";
    s.title = "What to do";
    s.items = d.advice;
    s.numbered = d.advice.size() > 1;
    r.sections.push_back(std::move(s));
  }
  if (!d.reasons.empty()) {
    ReportSection s;
    s.id = "reasons";
    s.title = "Why";
    s.items = d.reasons;
    r.sections.push_back(std::move(s));
  }
  if (d.machine) r.sections.push_back(machine_section(*d.machine));
  r.sections.push_back(evidence(d));
  if (!d.other_causes.empty()) r.sections.push_back(other_causes(d));
  if (!d.figures.empty()) r.sections.push_back(level_section(d.figures));
  if (!d.findings.empty()) r.sections.push_back(finding_section(d.findings));
  r.sections.push_back(severity_section(d));
  r.sections.push_back(record(d));
  if (!d.bands.empty()) r.sections.push_back(bands(d));
  if (std::any_of(d.families.begin(), d.families.end(),
                  [](const FamilyEvidence& f) { return !f.lines.empty(); }))
    r.sections.push_back(lines(d));
  if (!d.trail.empty()) r.sections.push_back(trail(d));
  r.plots = diagnosis_plots(d);
  r.maps = diagnosis_maps(d, r.plots);
  return r;
}

}  // namespace bearingdsp
