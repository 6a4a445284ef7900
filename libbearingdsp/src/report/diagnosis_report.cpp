#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "bearingdsp/core/percent.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/report/model.hpp"
#include "bearingdsp/report/text.hpp"
#include "bearingdsp/verdict/assessment.hpp"
#include "plots.hpp"
#include "sections.hpp"

namespace bearingdsp {
namespace {

constexpr double likely = 0.7;  // as likelihood_words()

/// What counts besides the bearing, for the title.
std::string title_of_others(const Assessment& a) {
  if (a.zone.value_or(Zone::a) >= Zone::c)
    return fmt::format("; VIBRATION IN ZONE {}", words(*a.zone));
  for (const OtherFault& f : a.others)
    if (f.probability >= likely && f.level == LevelJudged::independent)
      return "; " + upper(words(f.cause));
  return {};
}

}  // namespace

std::string title_of(const Assessment& a) {
  if (a.verdict == Verdict::no_fault) {
    const std::string others = title_of_others(a);
    return others.empty() ? "NO BEARING FAULT FOUND" : "NO BEARING FAULT" + others;
  }
  if (a.verdict == Verdict::indeterminate) return "CANNOT TELL" + title_of_others(a);
  return (a.component.empty() ? "BEARING FAULT, component not identified"
                              : "BEARING FAULT: " + a.component) +
         title_of_others(a);
}

namespace {

/// What the recording excludes. From how much modulation on damage is early or developed: ours, as
/// the simulated stages of growth show it.
std::string excluded_words(const Assessment& a) {
  if (!a.excluded_depth)
    return "not damage of every component: the machine's own lines mask one of them";
  constexpr double early = 0.35;
  constexpr double developed = 0.7;
  const double depth = *a.excluded_depth;
  return fmt::format("damage with a modulation depth of {:.0f} % or more: {}", 100 * depth,
                     depth < early       ? "early damage in the load zone, near the sensor"
                     : depth < developed ? "developed damage; early damage could hide"
                                         : "advanced damage only");
}

ReportSection confidence(const Diagnosis& d, const Assessment& a) {
  ReportSection s;
  s.id = "certainty";
  s.title = "Confidence";
  s.detail = true;
  if (a.remaining_damage)
    s.figures.push_back({"Bearing healthy", healthy_words(a)});
  else if (d.verdict != Verdict::indeterminate)
    s.figures.push_back({"Bearing damaged", percent(d.probability_of_damage)});
  if (d.verdict == Verdict::no_fault && d.orders)
    s.figures.push_back({"Would have been found", excluded_words(a)});
  const std::string component = component_words(d.place, d.place_set);
  if (d.verdict == Verdict::fault && !component.empty() && d.probability_of_place > 0)
    s.figures.push_back({"Damaged: " + component, percent(d.probability_of_place)});
  if (d.verdict == Verdict::no_fault)
    s.notes.emplace_back(
        "No fault found means that this recording shows none. Damage that is very small, or that "
        "carried no load while recording, can stay hidden.");
  return s;
}

/// "bearing damaged 99 %, inner ring 98 %"; of a bearing without a finding what remains possible.
std::string confidence_text(const Diagnosis& d, const Assessment& a) {
  if (a.remaining_damage) return "healthy: " + healthy_words(a);
  const std::string component = component_words(d.place, d.place_set);
  std::string text = fmt::format("bearing damaged {}", percent(d.probability_of_damage));
  if (!component.empty())
    text += fmt::format(", {} {}", component, percent(d.probability_of_place));
  return text;
}

/// "6.3 mm/s rms, zone D (class I)", or why there is no zone.
std::string short_vibration(const VelocityJudgement& v) {
  if (!v.zone) return vibration_words(v);
  return fmt::format("{}, zone {} ({})", level_words(v), words(*v.zone), v.limits->machine_class);
}

/// The answer's background in a few lines.
ReportSection summary(const Diagnosis& d, const Assessment& a) {
  ReportSection s;
  s.id = "summary";
  if (d.verdict != Verdict::indeterminate)
    s.figures.push_back({"Confidence", confidence_text(d, a)});
  if (d.machine)
    s.figures.push_back({"Machine", fmt::format("{}, {}", d.machine->machine, d.machine->point)});
  s.figures.push_back({"Vibration", short_vibration(point_evidence(d).vibration)});
  const std::string channels = fmt::format("{}", fmt::join(d.channels, ", "));
  s.figures.push_back(
      {"Recording", fmt::format("{} s at {} Hz, {}", significant(d.duration.value()),
                                significant(d.rate.value(), 5), channels)});
  s.figures.push_back({"Speed", speed_text(d.speed)});
  s.figures.push_back({"Bearing", d.orders ? short_orders_text(*d.orders) : "not given"});
  constexpr std::size_t max_doubts = 2;
  for (std::size_t shown = 0; const std::string& doubt : a.doubts)
    if (a.headline.find(doubt.substr(0, doubt.find(": "))) == std::string::npos &&
        shown++ < max_doubts)
      s.figures.push_back({"Doubt", doubt});
  if (!a.safety.empty()) {
    const std::string caution = fmt::format("{}", fmt::join(a.safety, " "));
    s.figures.push_back({"Caution", caution});
  }
  return s;
}

/// The reasons that fit a short answer: the strongest of the bearing, then of the other faults.
ReportSection why(const Diagnosis& d, const Assessment& a) {
  ReportSection s;
  s.id = "why";
  s.title = "Why";
  if (!d.reasons.empty()) s.items.push_back(d.reasons.front());
  if (!a.others.empty())
    s.items.push_back(
        capital(fmt::format("{}: {}.", words(a.others.front().cause), a.others.front().why)));
  return s;
}

ReportSection all_reasons(const Diagnosis& d, const Assessment& a) {
  ReportSection s;
  s.id = "reasons";
  s.title = "All reasons";
  s.detail = true;
  s.items = d.reasons;
  for (const OtherFault& f : a.others)
    s.items.push_back(capital(fmt::format("{} ({}, level {}): {}.", words(f.cause),
                                          percent(f.probability), words(f.level), f.why)));
  return s;
}

ReportSection to_learn_more(const Diagnosis& d) {
  ReportSection s;
  s.id = "next";
  s.title = "For a surer answer";
  s.detail = true;
  s.items = d.advice;
  return s;
}

ReportSection evidence(const Diagnosis& d) {
  ReportSection s;
  s.id = "evidence";
  s.title = "Evidence: repeating impacts at the rate of each component";
  s.detail = true;
  if (d.families.empty()) {
    s.notes.emplace_back(
        d.orders ? "No harmonic series was searched: the speed or the recording did not allow it."
                 : "Not possible without the bearing: name it (--bearing), give its geometry "
                   "(--geometry) or its number of rolling elements (--elements).");
    return s;
  }
  ReportTable t;
  t.columns = {{"Component", "", false},  {"Damaged", "", true}, {"Expected", "orders", true},
               {"Found", "orders", true}, {"Found", "Hz", true}, {"Lines", "", true},
               {"Depth", "%", true},      {"In noise", "", true}};
  bool slipped = false;
  for (const FamilyEvidence& f : d.families) {
    const bool found = f.harmonics_detected > 0;
    const double shaft = d.speed.rate.value();
    std::string lines = found ? fmt::format("{}", f.harmonics_detected) : "none";
    if (f.sidebands_detected > 0) lines += fmt::format(" + {}", f.sidebands_detected);
    const double p = d.probability_of_part.at(static_cast<std::size_t>(f.part));
    t.rows.push_back({std::string{words(f.part)}, percent(p), significant(f.expected.value(), 4),
                      found ? significant(f.fitted.value(), 4) : "-",
                      found && d.speed.found() ? significant(f.fitted.value() * shaft, 4) : "-",
                      lines, found ? significant(100 * f.depth, 2) : "-",
                      odds(f.log10_false_alarm)});
    // A part that nothing is evidence for may fit any lines nearby: no word of slip there.
    slipped = slipped || (found && p >= 0.05 && std::abs(f.slip) > 0.002);
    if (!f.remark.empty()) s.notes.push_back(fmt::format("{}: {}", words(f.part), f.remark));
  }
  s.table = std::move(t);
  s.notes.emplace_back(
      "Order: events per shaft revolution. Lines: harmonics + sidebands above the noise. Depth: "
      "modulation depth; a smooth modulation reaches 140 %, sharp impacts more. In noise: how "
      "often "
      "stationary random noise alone would show as much; it says nothing about the bearing, since "
      "machines are not random noise.");
  if (slipped)
    s.notes.emplace_back(
        "Found and expected differ a little because the elements slip; that is normal.");
  return s;
}

ReportSection other_causes(const Diagnosis& d) {
  ReportSection s;
  s.id = "other_causes";
  s.title = "Other faults";
  s.detail = true;
  for (const CauseEvidence& c : d.other_causes) {
    std::string text = percent(c.probability);
    if (!c.why.empty()) text += ": " + c.why;
    s.figures.push_back({std::string{words(c.cause)}, std::move(text)});
  }
  return s;
}

ReportSection record(const Diagnosis& d) {
  ReportSection s;
  s.id = "record";
  s.title = "Recording";
  s.detail = true;
  s.figures.push_back(
      {"Length", fmt::format("{} s at {} Hz sample rate", significant(d.duration.value()),
                             significant(d.rate.value(), 5))});
  const std::string channels = fmt::format("{}", fmt::join(d.channels, ", "));
  if (!channels.empty()) s.figures.push_back({"Channels", channels});
  s.figures.push_back({"Shaft speed", speed_text(d.speed)});
  if (d.orders) {
    s.figures.push_back({"Bearing", orders_text(*d.orders)});
  } else {
    s.figures.push_back({"Bearing", "not given"});
  }
  return s;
}

ReportSection bands(const Diagnosis& d) {
  ReportSection s;
  s.id = "bands";
  s.title = "Demodulated frequency bands";
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
  s.title = "Lines that were detected";
  s.detail = true;
  ReportTable t;
  t.columns = {{"Component", "", false}, {"Harmonic", "", true},    {"Sideband", "", true},
               {"Order", "", true},      {"Frequency", "Hz", true}, {"Above floor", "dB", true},
               {"Depth", "%", true},     {"Counts", "", false}};
  for (const FamilyEvidence& f : d.families)
    for (const LineEvidence& l : f.lines) {
      if (!l.detected) continue;
      t.rows.push_back(
          {std::string{words(f.part)}, fmt::format("{}", l.harmonic),
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
  s.title = "Processing steps";
  s.detail = true;
  for (const Step& step : d.trail) s.figures.push_back({step.op, step.args});
  return s;
}

/// What each of several recordings says by itself.
ReportSection recordings(const Diagnosis& d) {
  ReportSection s;
  s.id = "recordings";
  s.title = "Each recording by itself";
  ReportTable t;
  t.columns = {
      {"Recording", "", false}, {"Verdict", "", false}, {"Damaged", "", true}, {"", "", false}};
  for (const RecordingShare& r : d.recordings) {
    const std::string component = component_words(r.place, r.place_set);
    t.rows.push_back({r.source.substr(r.source.rfind('/') + 1),
                      component.empty() ? std::string{words(r.verdict)} : component,
                      r.verdict == Verdict::indeterminate ? "-" : percent(r.probability_of_damage),
                      !r.counted      ? "not counted: " + r.why_not_counted
                      : r.contradicts ? "contradicts the others"
                                      : ""});
  }
  s.table = std::move(t);
  return s;
}

/// Shown only to those who ask for more.
ReportSection detail(ReportSection section) {
  section.detail = true;
  return section;
}

}  // namespace

std::string speed_text(const ShaftSpeed& speed) {
  if (!speed.found()) return speed.why.empty() ? "not found" : "not found: " + speed.why;
  std::string text = fmt::format("{} rpm ±{} %, ", significant(shaft_speed(speed.rate).value(), 5),
                                 significant(100 * speed.relative_uncertainty, 2));
  switch (speed.method) {
    case SpeedMethod::given:
      text += "given";
      break;
    case SpeedMethod::given_refined:
      text += "given, refined from the data";
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
      text += "mean, tracked on shaft harmonics";
      break;
    case SpeedMethod::not_found:
      break;
  }
  if (speed.relative_variation > 0.001)
    text += fmt::format(", varying by {} %", significant(100 * speed.relative_variation, 2));
  return text;
}

Tone tone_of(Urgency urgency) noexcept {
  switch (urgency) {
    case Urgency::none:
      return Tone::good;
    case Urgency::measure_again:
      return Tone::doubt;
    case Urgency::check:
      return Tone::check;
    case Urgency::plan:
      return Tone::bad;
    case Urgency::act:
      return Tone::urgent;
  }
  return Tone::neutral;
}

ReportSection action_section(const Assessment& a) {
  ReportSection s;
  s.id = "advice";
  s.title = a.deadline.empty()
                ? "What to do"
                : fmt::format("What to do: {}",
                              a.urgency == Urgency::act
                                  ? std::string{words(a.urgency)}
                                  : fmt::format("{}, {}", words(a.urgency), a.deadline));
  s.items = a.actions;
  s.numbered = a.actions.size() > 1;
  if (s.items.empty()) s.items.emplace_back("Nothing before the next survey.");
  return s;
}

ReportSection present_section(const Assessment& present, std::string recording) {
  ReportSection s = action_section(present);
  s.id = "now";
  s.title = "Present state: " + std::string{words(present.urgency)};
  s.figures.push_back({std::move(recording), present.headline});
  if (present.actions.empty()) s.items.clear();
  return s;
}

namespace {

std::ptrdiff_t lines_of(const Report& r) {
  const std::string text = to_text(r);
  return std::count(text.begin(), text.end(), '\n');
}

ReportSection* section_of(Report& r, std::string_view id) {
  const auto at = std::find_if(r.sections.begin(), r.sections.end(),
                               [&](const ReportSection& s) { return s.id == id; });
  return at == r.sections.end() ? nullptr : &*at;
}

/// Takes the last figure of that label out of the summary.
void drop_figure(Report& r, std::string_view label) {
  auto& figures = section_of(r, "summary")->figures;
  const auto at = std::find_if(figures.rbegin(), figures.rend(),
                               [&](const KeyFigure& f) { return f.label == label; });
  if (at != figures.rend()) figures.erase(std::next(at).base());
}

/// The answer fits a screen of 80 columns: where much is the matter, what is among the details too
/// gives way.
void fit(Report& r) {
  constexpr std::ptrdiff_t max_lines = 25;
  if (ReportSection* why = section_of(r, "why"))
    while (why->items.size() > 1 && lines_of(r) > max_lines) why->items.pop_back();
  for (const std::string_view label : {"Doubt", "Doubt", "Bearing", "Machine", "Recording"})
    if (lines_of(r) > max_lines) drop_figure(r, label);
}

}  // namespace

Report diagnosis_report(const Diagnosis& d) {
  const Assessment a = assess(d);
  Report r;
  r.title = title_of(a);
  r.source = d.source;
  r.tone = tone_of(a.urgency);
  // The title says it already.
  r.headline = a.headline == full_stop(std::string{nothing_found}) ? std::string{} : a.headline;
  r.brief = a.actions.empty() ? std::string{}
                              : capital(fmt::format("{}: {}", words(a.urgency), a.actions.front()));
  r.sections.push_back(action_section(a));
  if (ReportSection reasons = why(d, a); !reasons.items.empty())
    r.sections.push_back(std::move(reasons));
  r.sections.push_back(summary(d, a));
  if (!d.recordings.empty()) r.sections.push_back(recordings(d));
  r.sections.push_back(confidence(d, a));
  if (!d.reasons.empty() || !a.others.empty()) r.sections.push_back(all_reasons(d, a));
  if (!d.advice.empty()) r.sections.push_back(to_learn_more(d));
  if (d.machine) r.sections.push_back(detail(machine_section(*d.machine)));
  r.sections.push_back(evidence(d));
  if (!d.other_causes.empty()) r.sections.push_back(other_causes(d));
  if (!d.figures.empty()) r.sections.push_back(detail(level_section(d.figures)));
  if (!d.findings.empty()) r.sections.push_back(detail(finding_section(d.findings)));
  r.sections.push_back(record(d));
  if (!d.bands.empty()) r.sections.push_back(bands(d));
  if (std::any_of(d.families.begin(), d.families.end(),
                  [](const FamilyEvidence& f) { return !f.lines.empty(); }))
    r.sections.push_back(lines(d));
  if (!d.trail.empty()) r.sections.push_back(trail(d));
  if (d.recordings.empty()) fit(r);  // else they are listed too
  r.plots = diagnosis_plots(d);
  r.maps = diagnosis_maps(d, r.plots);
  return r;
}

}  // namespace bearingdsp
