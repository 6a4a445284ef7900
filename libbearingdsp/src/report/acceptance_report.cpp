#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <tuple>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/report/acceptance.hpp"
#include "plots.hpp"
#include "report/json_parts.hpp"
#include "report/sections.hpp"

namespace bearingdsp {
namespace {

/// A reading is not repeated with the run: it is clarified.
std::string outcome_words(const Criterion& c) {
  if (!c.judged) return "not judged";
  return c.kind == CriterionKind::reading && c.outcome == Acceptance::repeat
             ? "clarify"
             : std::string{words(c.outcome)};
}

ReportSection criteria_section(const AcceptanceResult& r) {
  ReportSection s;
  s.id = "criteria";
  s.title = "Checks and results";
  ReportTable t;
  t.columns = {
      {"Criterion", "", false}, {"Found", "", false}, {"Allowed", "", false}, {"", "", false}};
  for (const Criterion& c : r.criteria)
    t.rows.push_back({c.what, c.measured, c.limit, outcome_words(c)});
  s.table = std::move(t);
  for (const Criterion& c : r.criteria)
    if (!c.why.empty()) s.items.push_back(c.what + ": " + c.why);
  if (!r.source.empty()) s.notes.push_back("Limits: " + r.source + ".");
  for (const std::string& source : r.reading_sources) s.notes.push_back(source);
  s.notes.insert(s.notes.end(), r.notes.begin(), r.notes.end());
  return s;
}

/// A damaged recording before healthy ones, then the one that shakes most: what fails is shown.
const ComparedRecording* worst_of(const Side& recordings) {
  const auto rank = [](const ComparedRecording& r) {
    return std::tuple{r.reading.verdict == Verdict::fault,
                      r.reading.levels.at(Indicator::velocity).value_or(0)};
  };
  const auto worst = std::max_element(
      recordings.begin(), recordings.end(),
      [&](const ComparedRecording& a, const ComparedRecording& b) { return rank(a) < rank(b); });
  return worst == recordings.end() ? nullptr : &*worst;
}

/// A motor that passes, but of which something else is to be done, is not shown as if all was well.
std::string title_of(const AcceptanceResult& r) {
  if (r.outcome == Acceptance::fail) return "FAIL";
  if (r.outcome == Acceptance::repeat) return only_readings_open(r) ? "CLARIFY" : "REPEAT";
  return r.present.urgency == Urgency::none ? "PASS"
                                            : "PASS, BUT " + upper(words(r.present.urgency));
}

Tone tone_of(const AcceptanceResult& r) {
  if (r.outcome == Acceptance::fail)
    return r.present.urgency == Urgency::act ? Tone::urgent : Tone::bad;
  if (r.outcome == Acceptance::repeat) return std::max(Tone::doubt, tone_of(r.present.urgency));
  return tone_of(r.present.urgency);
}

/// What the recording says by itself. Of a motor that goes back to the workshop only what is wrong:
/// to measure weekly until the next stop is advice for one in service.
ReportSection state_section(const AcceptanceResult& r, std::size_t recordings) {
  ReportSection s = present_section(r.present, "Recording");
  if (recordings > 1) s.figures.front().text += " (" + r.present_of + ")";
  if (r.outcome != Acceptance::pass) s.items.clear();
  return s;
}

}  // namespace

Report acceptance_report(const AcceptanceResult& r, std::string_view source,
                         const Side& recordings) {
  Report report;
  report.source = source;
  report.title = title_of(r);
  report.tone = tone_of(r);
  report.headline = r.headline;
  if (r.outcome == Acceptance::pass && !r.present.actions.empty())
    report.brief =
        capital(fmt::format("{}: {}", words(r.present.urgency), r.present.actions.front()));
  ReportSection advice;
  advice.id = "advice";
  advice.title = "What to do";
  advice.numbered = true;
  advice.items = r.advice;
  report.sections.push_back(std::move(advice));
  report.sections.push_back(state_section(r, recordings.size()));
  report.sections.push_back(criteria_section(r));
  const ComparedRecording* worst = worst_of(recordings);
  if (worst == nullptr) return report;
  report.plots = recording_plots(*worst);
  if (!report.plots.empty() && recordings.size() > 1)
    report.sections.back().notes.push_back("The charts show " + worst->reading.path +
                                           ", the worst of these recordings.");
  return report;
}

std::string acceptance_json(const AcceptanceResult& r, std::string_view source,
                            const JsonOptions& options) {
  Json j = headed("bearingdsp.acceptance/1");
  j["source"] = source;
  j["outcome"] = token(r.outcome);
  j["headline"] = r.headline;
  j["advice"] = r.advice;
  j["present"] = assessment_json(r.present);
  j["present_of"] = or_null(r.present_of);
  j["criteria"] = Json::array();
  for (const Criterion& c : r.criteria)
    j["criteria"].push_back({{"criterion", c.what},
                             {"found", c.measured},
                             {"allowed", c.limit},
                             {"outcome", token(c.outcome)},
                             {"judged", c.judged},
                             {"why", or_null(c.why)}});
  j["limits_source"] = or_null(r.source);
  j["reading_sources"] = r.reading_sources;
  j["notes"] = r.notes;
  return dumped(j, options.pretty);
}

}  // namespace bearingdsp
