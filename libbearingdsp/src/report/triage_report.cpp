#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/report/triage.hpp"
#include "report/json_parts.hpp"
#include "report/sections.hpp"

namespace bearingdsp {
namespace triage_parts {
namespace {

constexpr std::size_t shown_faults = 4, shown_reasons = 6;
constexpr double min_shown = 0.02;

std::string points_words(double points) {
  const double rounded = std::round(10 * points) / 10;
  return rounded == std::round(rounded) ? fmt::format("{:+.0f}", rounded)
                                        : fmt::format("{:+.1f}", rounded);
}

ReportSection fault_section(const TriageFault& f, std::size_t rank) {
  ReportSection s;
  s.id = fmt::format("fault-{}", rank);
  s.title = fmt::format("{}. {}: {}", rank, f.name, percent(f.probability));
  for (std::size_t i = 0; i < std::min(shown_reasons, f.reasons.size()); ++i) {
    const TriageReason& r = f.reasons[i];
    s.figures.push_back(
        {r.points > 0 ? "For" : "Against",
         fmt::format("{}: {} ({}) [{}]", r.answer, r.why, points_words(r.points), r.source)});
  }
  if (f.reasons.empty()) s.figures.push_back({"For", "nothing yet: its usual share only"});
  for (const Caution& c : f.cautions) s.figures.push_back({"CAUTION", c.text});
  s.figures.push_back({"First", f.confirm});
  s.figures.push_back({"Then", f.remedy});
  return s;
}

std::string places_words(const std::vector<MotorPlace>& places) {
  std::string text;
  for (const MotorPlace p : places)
    add_part(text, fmt::format("{} ({})", static_cast<int>(p) + 1, words(p)));
  return text;
}

/// Of the step that the page asks for next.
std::string sensor_caution() { return cautions_for(StepKind::mount_sensor, {}).front().text; }

/// Faults that still compete: what is recorded next should decide between them.
std::vector<const TriageFault*> open_faults(const Triage& t) {
  std::vector<const TriageFault*> open;
  for (const TriageFault& f : t.faults)
    if (open.size() < 2 && (open.empty() || f.probability >= 0.1)) open.push_back(&f);
  return open;
}

bool danger(const Triage& t) { return t.assessment.urgency == Urgency::act; }

ReportSection record_section(const Triage& t) {
  ReportSection s;
  s.id = "record-next";
  s.title = "Record next";
  if (danger(t)) s.notes.emplace_back("Only after the motor is safe to run again:");
  s.figures.push_back({"CAUTION", sensor_caution()});
  for (const TriageFault* f : open_faults(t))
    s.figures.push_back({f->name, fmt::format("{}; at {}", f->record, places_words(f->places))});
  const MotorPlace first = t.faults.front().places.front();
  s.figures.push_back(
      {"Then", first <= MotorPlace::nde_axial
                   ? fmt::format("bearingdsp record --machine NAME --point \"{}\"", token(first))
                   : std::string{"bearingdsp record"}});
  s.figures.push_back({"And", "the same triage with --recording FILE: one list from both"});
  return s;
}

ReportSection places_section(const Triage& t) {
  ReportSection s;
  s.id = "places";
  s.title = "Where to put the sensor";
  for (const TriageFault* f : open_faults(t))
    for (const MotorPlace p : f->places) {
      const std::string label = fmt::format("{} {}", static_cast<int>(p) + 1, words(p));
      if (std::none_of(s.figures.begin(), s.figures.end(),
                       [&](const KeyFigure& k) { return k.label == label; }))
        s.figures.push_back({label, std::string{place_words(p)}});
    }
  return s;
}

ReportDrawing drawing_of(const Triage& t) {
  ReportDrawing d;
  d.title = "Where to put the sensor (numbers as in the list below)";
  for (const TriageFault* f : open_faults(t))
    for (const MotorPlace p : f->places) d.marked.push_back(static_cast<std::size_t>(p));
  d.notes.emplace_back(
      "Thick arc: where the weight of the rotor loads the bearing. A belt loads the side towards "
      "it: put the sensor there. On bare metal, flat and stiff, near the bearing.");
  d.notes.push_back("CAUTION: " + sensor_caution());
  return d;
}

ReportSection summary_section(const Triage& t) {
  ReportSection s;
  s.id = "summary";
  s.title = "Ranked faults";
  for (std::size_t i = 0; i < t.faults.size() && i < 2 * shown_faults; ++i)
    if (i < 2 || t.faults[i].probability >= min_shown)
      s.figures.push_back({percent(t.faults[i].probability), t.faults[i].name});
  return s;
}

ReportSection answers_section(const Triage& t) {
  ReportSection s;
  s.id = "noticed";
  s.title = "What was noticed";
  for (const TriageAnswer& a : t.inquiry.answers)
    s.figures.push_back(
        {a.question, a.meaning.empty() ? a.name : fmt::format("{} ({})", a.name, a.meaning)});
  if (t.recorded) s.figures.push_back({"recording", t.recording});
  return s;
}

ReportSection conflicts_section(const Triage& t) {
  ReportSection s;
  s.id = "conflicts";
  s.title = "Contradictions: check these answers";
  for (const TriageConflict& c : t.conflicts)
    s.items.push_back(full_stop(fmt::format("{} and {}: {}", c.one, c.other, c.why)));
  return s;
}

std::string title_words(const Triage& t) {
  const TriageFault& first = t.faults.front();
  if (first.probability >= 0.5) return upper("likely: " + first.name);
  return "NOT CLEAR YET";
}

std::string headline_words(const Triage& t) {
  std::vector<std::string> list;
  for (std::size_t i = 0; i < 3; ++i)
    list.push_back(fmt::format("{} ({})", t.faults[i].name, percent(t.faults[i].probability)));
  const std::string names = fmt::format("{}", fmt::join(list, ", "));
  return fmt::format(
      "{}, by {}.",
      t.faults.front().probability >= 0.5 ? capital(names) : "First in the list: " + names,
      t.recorded ? "hearing, touch and the recording" : "hearing and touch; not measured yet");
}

}  // namespace
}  // namespace triage_parts

Report triage_report(const Triage& t) {
  namespace tp = triage_parts;
  Report r;
  r.title = tp::title_words(t);
  r.tone = tone_of(t.assessment.urgency);
  r.headline = tp::headline_words(t);
  ReportSection actions = action_section(t.assessment);
  for (const Caution& c : t.faults.front().cautions) actions.figures.push_back({"CAUTION", c.text});
  r.brief = t.assessment.actions.empty() ? "" : t.assessment.actions.front();
  r.sections.push_back(std::move(actions));
  if (!t.conflicts.empty()) r.sections.push_back(tp::conflicts_section(t));
  r.sections.push_back(tp::summary_section(t));
  for (std::size_t i = 0; i < tp::shown_faults; ++i)
    if (i < 2 || t.faults[i].probability >= tp::min_shown)
      r.sections.push_back(tp::fault_section(t.faults[i], i + 1));
  r.sections.push_back(tp::record_section(t));
  r.sections.push_back(tp::places_section(t));
  r.sections.push_back(tp::answers_section(t));
  ReportSection note;
  note.id = "about";
  note.title = "About the numbers";
  note.notes.emplace_back(
      "Workshop practice T0 to T14 is described in docs/sources.md. Probabilities hold if one "
      "fault "
      "explains everything; several often act together. Each point "
      "doubles the odds. How many points is our judgement, not measured. The nameplate, the manual "
      "of the motor and your local rules have priority.");
  r.sections.push_back(std::move(note));
  r.drawings.push_back(tp::drawing_of(t));
  return r;
}

Report triage_questions_report() {
  Report r;
  r.title = "What is wrong with the motor?";
  r.headline =
      "Give what you know, leave out the rest: bearingdsp triage --heard growl --power-off fades "
      "...";
  for (const TriageQuestion& q : triage_questions()) {
    ReportSection s;
    s.id = q.name;
    s.title = q.option.empty() ? q.ask : fmt::format("{} (--{})", q.ask, q.option);
    for (const Caution& c : q.cautions) s.figures.push_back({"CAUTION", c.text});
    if (q.name == "temperature")
      s.figures.push_back({"options",
                           "--temperature-de, --temperature-nde, --temperature-frame, "
                           "--temperature-ambient"});
    if (q.name == "current") s.figures.push_back({"option", "--current A,B,C"});
    if (!q.option.empty())
      for (const TriageAnswer& a : q.answers)
        s.figures.push_back(
            {a.name, a.meaning.empty()
                         ? (a.also.empty() ? "-" : fmt::format("{}", fmt::join(a.also, ", ")))
                         : a.meaning});
    r.sections.push_back(std::move(s));
  }
  return r;
}

namespace triage_parts {
namespace {

Json cautions_json(const std::vector<Caution>& cautions) {
  Json out = Json::array();
  for (const Caution& c : cautions) out.push_back(c.text);
  return out;
}

Json fault_json(const TriageFault& f) {
  Json reasons = Json::array();
  for (const TriageReason& r : f.reasons)
    reasons.push_back(
        {{"answer", r.answer}, {"points", r.points}, {"why", r.why}, {"source", r.source}});
  Json places = Json::array();
  for (const MotorPlace p : f.places) places.push_back(token(p));
  return {{"fault", f.name},
          {"probability", f.probability},
          {"share", f.share},
          {"points", f.points},
          {"reasons", std::move(reasons)},
          {"confirm", f.confirm},
          {"cautions", cautions_json(f.cautions)},
          {"remedy", f.remedy},
          {"record", f.record},
          {"sensor_places", std::move(places)}};
}

}  // namespace
}  // namespace triage_parts

std::string triage_json(const Triage& t, const JsonOptions& options) {
  Json j = headed("bearingdsp.triage/1");
  j["urgency"] = token(t.assessment.urgency);
  j["assessment"] = assessment_json(t.assessment);
  j["recording"] = or_null(t.recording);
  j["damage_by_answers"] = t.damage_by_answers;
  j["answers"] = Json::array();
  for (const TriageAnswer& a : t.inquiry.answers)
    j["answers"].push_back({{"question", a.question},
                            {"answer", a.name},
                            {"state", token(a.state)},
                            {"meaning", or_null(a.meaning)}});
  j["contradictions"] = Json::array();
  for (const TriageConflict& c : t.conflicts)
    j["contradictions"].push_back({{"one", c.one}, {"other", c.other}, {"why", c.why}});
  j["faults"] = Json::array();
  for (const TriageFault& f : t.faults) j["faults"].push_back(triage_parts::fault_json(f));
  return dumped(j, options.pretty);
}

std::string triage_questions_json(const JsonOptions& options) {
  Json j = headed("bearingdsp.triage-questions/1");
  j["questions"] = Json::array();
  for (const TriageQuestion& q : triage_questions()) {
    Json answers = Json::array();
    for (const TriageAnswer& a : q.answers)
      answers.push_back({{"answer", a.name}, {"also", a.also}, {"meaning", or_null(a.meaning)}});
    j["questions"].push_back({{"question", q.name},
                              {"option", or_null(q.option)},
                              {"ask", q.ask},
                              {"cautions", triage_parts::cautions_json(q.cautions)},
                              {"answers", std::move(answers)}});
  }
  return dumped(j, options.pretty);
}

}  // namespace bearingdsp
