#include <fmt/format.h>

#include <cmath>
#include <string>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/report/workshop.hpp"
#include "report/job_steps.hpp"
#include "report/json_parts.hpp"

namespace bearingdsp {
namespace {

std::string amount_of(const GreaseJob& j) {
  if (!j.grams) return "not known";
  return j.strokes ? fmt::format("{:.1f} g = {}", *j.grams, counted(*j.strokes, "stroke"))
                   : fmt::format("{:.1f} g (strokes: give --per-stroke)", *j.grams);
}

std::string grease_interval_of(const GreaseJob& j) {
  if (!j.interval) return "not known";
  // The formula knows no more than two figures.
  const double step = std::pow(10, std::floor(std::log10(j.interval->low_h)) - 1);
  return fmt::format("{:.0f} running hours, {} days", std::floor(j.interval->low_h / step) * step,
                     *j.days);
}

Json grease_job_json(const GreaseJob& job) {
  Json j;
  j["for_life"] = job.for_life;
  j["amount_g"] = or_null(job.grams);
  j["strokes"] = job.strokes ? Json(*job.strokes) : Json{};
  j["interval_low_h"] = job.interval ? Json(job.interval->low_h) : Json{};
  j["interval_high_h"] = job.interval ? Json(job.interval->high_h) : Json{};
  j["interval_days"] = job.days ? Json(*job.days) : Json{};
  return j;
}

std::string day_words(const GreaseDue& d) {
  if (d.on) return format_date(*d.on);
  return d.job.for_life ? "never" : "-";
}

}  // namespace

Report grease_report(const GreaseJob& job, std::string_view title) {
  Report r;
  r.title = "Greasing: " + std::string{title};
  r.tone = Tone::neutral;
  if (job.for_life) {
    r.headline = "Closed on both sides: greased for life. Do not open, wash or regrease it.";
  } else {
    r.headline = fmt::format("{}; every {}.", amount_of(job), grease_interval_of(job));
    ReportSection steps;
    steps.id = "steps";
    steps.title = "Steps";
    steps.numbered = true;
    steps.items = step_items(job.steps);
    r.sections.push_back(std::move(steps));
    ReportSection signs;
    signs.id = "overgreased";
    signs.title = "Signs of too much grease";
    signs.items = job.overgreased;
    r.sections.push_back(std::move(signs));
  }
  ReportSection notes;
  notes.id = "notes";
  notes.title = "Where this comes from";
  notes.items = job.notes;
  r.sections.push_back(std::move(notes));
  return r;
}

std::string grease_json(const GreaseJob& job, std::string_view title, const JsonOptions& options) {
  Json j = headed("bearingdsp.grease/1");
  j["title"] = title;
  j.update(grease_job_json(job));
  j["steps"] = Json::array();
  for (const JobStep& s : job.steps) {
    Json cautions = Json::array();
    for (const Caution& c : s.cautions) cautions.push_back(c.text);
    j["steps"].push_back({{"text", s.text}, {"cautions", std::move(cautions)}});
  }
  j["signs_of_too_much"] = job.overgreased;
  j["notes"] = job.notes;
  return dumped(j, options.pretty);
}

Report grease_plan_report(const std::vector<GreaseDue>& plan, std::string_view source) {
  Report r;
  r.title = "Greasing plan";
  r.source = source;
  std::size_t open = 0;
  ReportSection s;
  s.id = "bearings";
  s.title = "Bearings";
  ReportTable t;
  t.columns = {{"Machine", "", false}, {"End", "", false},      {"Bearing", "", false},
               {"Amount", "", false},  {"Every", "days", true}, {"Last", "", false},
               {"Next", "", false}};
  for (const GreaseDue& d : plan) {
    open += d.on ? 1U : 0U;
    t.rows.push_back({d.machine, std::string{words(d.end)}, d.designation,
                      d.job.for_life ? "for life"
                      : !d.job.grams ? "-"
                      : d.job.strokes
                          ? fmt::format("{:.1f} g, {} strokes", *d.job.grams, *d.job.strokes)
                          : fmt::format("{:.1f} g", *d.job.grams),
                      d.job.days ? std::to_string(*d.job.days) : "-",
                      d.last ? format_date(*d.last) : "not noted", day_words(d)});
    if (!d.why_not.empty())
      s.items.push_back(fmt::format("{} {}: {}", d.machine, words(d.end), d.why_not));
  }
  r.headline = fmt::format("{}, {} to be greased.", counted(plan.size(), "bearing"), open);
  if (!plan.empty()) s.table = std::move(t);
  s.notes = {
      "Next: after the last greasing or new bearing in the history, by the shorter end of "
      "the interval; where none is noted, from today. Steps and cautions: bearingdsp grease "
      "--machine NAME --end DE.",
      "Amount and interval: see 'bearingdsp replacement' for the source of each."};
  r.sections.push_back(std::move(s));
  return r;
}

std::string grease_plan_json(const std::vector<GreaseDue>& plan, std::string_view source,
                             const JsonOptions& options) {
  Json j = headed("bearingdsp.grease-plan/1");
  j["source"] = source;
  j["bearings"] = Json::array();
  for (const GreaseDue& d : plan) {
    Json b{{"machine", d.machine}, {"end", token(d.end)}, {"designation", or_null(d.designation)}};
    b.update(grease_job_json(d.job));
    b["last_date"] = d.last ? Json(format_date(*d.last)) : Json{};
    b["next_date"] = d.on ? Json(format_date(*d.on)) : Json{};
    b["why_not"] = or_null(d.why_not);
    j["bearings"].push_back(std::move(b));
  }
  return dumped(j, options.pretty);
}

}  // namespace bearingdsp
