#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <utility>

#include "bearingdsp/core/foreign_text.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/report/workshop.hpp"
#include "markup.hpp"
#include "report/job_steps.hpp"
#include "report/json_parts.hpp"
#include "report/sheet.hpp"

namespace bearingdsp {
namespace {

constexpr std::string_view first_of_all =
    "Local rules, the manual of the motor and the judgement of a licensed person take priority "
    "over these sheets. Method: common practice, no source, unless a sheet names one.";

std::size_t count_of(const std::vector<JudgedCheck>& checks, CheckOutcome outcome) {
  return static_cast<std::size_t>(std::count_if(
      checks.begin(), checks.end(), [&](const JudgedCheck& c) { return c.outcome == outcome; }));
}

std::string checks_headline(const std::vector<JudgedCheck>& checks) {
  std::string text;
  for (const CheckOutcome outcome : {CheckOutcome::bad, CheckOutcome::clarify})
    for (const JudgedCheck& c : checks)
      if (c.outcome == outcome) add_part(text, fmt::format("{} {}", c.what, c.why), "; ");
  if (!text.empty()) return text + ".";
  const std::size_t open = count_of(checks, CheckOutcome::not_judged);
  return open == 0 ? fmt::format("{} within limits.", counted(checks.size(), "reading"))
                   : fmt::format("{} of {} within limits, {} not judged.",
                                 count_of(checks, CheckOutcome::good), checks.size(), open);
}

/// Steps, then what is written down.
std::vector<std::string> sheet_items(const CheckSheet& s) {
  std::vector<std::string> items = step_items(s.steps);
  for (const JobReading& r : s.readings)
    items.push_back(fmt::format("Write down: {}{}: ______{}", r.label,
                                r.limit.empty() ? "" : " (" + r.limit + ")",
                                r.unit.empty() ? "" : " " + r.unit));
  return items;
}

constexpr std::string_view sheets_style =
    "@page{size:A4;margin:12mm}body{font-size:9.5pt;line-height:1.3;max-width:186mm}"
    "section{break-inside:avoid;margin-bottom:4mm}h2{margin:.6em 0 .2em}p{margin:.2em 0}"
    "td:nth-child(1){width:38%}td:nth-child(2){width:38%}"
    "p.when{font-style:italic}p.note{font-size:.88em}"
    "p.caution{border-width:0 0 0 3px;padding:0 .5em;margin:.15em 0 .15em -1.5em}"
    "ul.steps{margin:.2em 0}ul.steps li{margin:.25em 0 .25em 1.7em}";

std::string sheet_section(const CheckSheet& s) {
  std::string out = fmt::format("<section>\n<h2>{}</h2>\n<p class=\"when\">When: {}.</p>\n",
                                escaped(s.title), escaped(s.when));
  out += steps_html(s.steps, CardForm::long_form) + readings_html(s.readings);
  for (const std::string& n : s.notes) out += fmt::format("<p class=\"note\">{}</p>\n", escaped(n));
  for (const std::string& n : s.sources)
    out += fmt::format("<p class=\"note\">Limit, {}</p>\n", escaped(n));
  return out + "</section>\n";
}

}  // namespace

Report checks_report(const std::vector<JudgedCheck>& checks, std::string_view source) {
  Report r;
  r.source = source;
  const bool bad = count_of(checks, CheckOutcome::bad) > 0;
  const bool clarify = count_of(checks, CheckOutcome::clarify) > 0;
  const bool open = count_of(checks, CheckOutcome::not_judged) > 0;
  r.title = bad ? "NOT GOOD" : clarify ? "CLARIFY" : open ? "GOOD IN WHAT WAS JUDGED" : "GOOD";
  r.tone = bad ? Tone::bad : clarify || open ? Tone::doubt : Tone::good;
  r.headline = checks_headline(checks);
  ReportSection advice;
  advice.id = "advice";
  advice.title = "What to do";
  advice.numbered = true;
  for (const JudgedCheck& c : checks)
    if (!c.advice.empty() &&
        std::find(advice.items.begin(), advice.items.end(), c.advice) == advice.items.end())
      advice.items.push_back(c.advice);
  if (!advice.items.empty()) {
    advice.notes.push_back(before_work());
    r.sections.push_back(std::move(advice));
  }
  ReportSection s;
  s.id = "readings";
  s.title = "Readings";
  ReportTable t;
  t.columns = {{"Check", "", false}, {"Found", "", false}, {"Allowed", "", false}, {"", "", false}};
  for (const JudgedCheck& c : checks) {
    t.rows.push_back({c.what, c.measured, c.limit, std::string{words(c.outcome)}});
    if (!c.why.empty()) s.items.push_back(c.what + ": " + c.why);
    if (c.outcome != CheckOutcome::not_judged) s.notes.push_back(source_words(c));
  }
  s.table = std::move(t);
  r.sections.push_back(std::move(s));
  return r;
}

Report check_sheets_report(const std::vector<CheckSheet>& sheets, std::string_view source) {
  Report r;
  r.title = "Workshop checks";
  r.source = source;
  r.headline = fmt::format("{} checks, in the order of work.", sheets.size());
  for (const CheckSheet& sheet : sheets) {
    ReportSection s;
    s.id = std::string{token(sheet.check)};
    s.title = sheet.title;
    s.figures = {{"When", sheet.when}};
    s.items = sheet_items(sheet);
    s.numbered = true;
    s.notes = sheet.notes;
    s.notes.insert(s.notes.end(), sheet.sources.begin(), sheet.sources.end());
    r.sections.push_back(std::move(s));
  }
  if (!r.sections.empty()) r.sections.back().notes.emplace_back(first_of_all);
  return r;
}

std::string checks_json(const std::vector<CheckSheet>& sheets,
                        const std::vector<JudgedCheck>& checks, std::string_view source,
                        const JsonOptions& options) {
  Json j = headed("bearingdsp.checks/1");
  j["source"] = or_null(source);
  j["readings"] = Json::array();
  for (const JudgedCheck& c : checks)
    j["readings"].push_back({{"check", token(c.check)},
                             {"what", c.what},
                             {"found", or_null(c.measured)},
                             {"allowed", or_null(c.limit)},
                             {"outcome", token(c.outcome)},
                             {"why", or_null(c.why)},
                             {"advice", or_null(c.advice)},
                             {"limit_status", token(c.status)},
                             {"limit_source", c.source}});
  j["sheets"] = Json::array();
  for (const CheckSheet& s : sheets) {
    Json sheet{{"check", token(s.check)}, {"when", s.when}, {"steps", Json::array()}};
    for (const JobStep& step : s.steps) {
      Json cautions = Json::array();
      for (const Caution& c : step.cautions) cautions.push_back(c.text);
      sheet["steps"].push_back({{"text", step.text}, {"cautions", std::move(cautions)}});
    }
    sheet["readings"] = Json::array();
    for (const JobReading& r : s.readings)
      sheet["readings"].push_back(
          {{"label", r.label}, {"limit", or_null(r.limit)}, {"unit", or_null(r.unit)}});
    sheet["sources"] = s.sources;
    sheet["notes"] = s.notes;
    j["sheets"].push_back(std::move(sheet));
  }
  return dumped(j, options.pretty);
}

std::string check_sheets_html(const std::vector<CheckSheet>& sheets, std::string_view source) {
  const std::string title =
      source.empty() ? "Workshop checks" : fmt::format("Workshop checks: {}", source);
  std::string body = fmt::format("<h1>{}</h1>\n<p>Date, names: {}</p>\n<p class=\"note\">{}</p>\n",
                                 escaped(title), line_to_write_on, escaped(first_of_all));
  for (const CheckSheet& s : sheets) body += sheet_section(s);
  return sheet_page(title, std::string{steps_style} + std::string{sheets_style}, body);
}

std::string check_sheets_markdown(const std::vector<CheckSheet>& sheets, std::string_view source) {
  std::string out = "# Workshop checks";
  if (!source.empty()) out += ": " + in_markdown(source);
  out += fmt::format("\n\n- Date, names: {}\n\n{}\n", line_to_write_on, in_markdown(first_of_all));
  for (const CheckSheet& s : sheets) {
    out += fmt::format("\n## {}\n\nWhen: {}.\n\n", in_markdown(s.title), in_markdown(s.when));
    out += steps_markdown(s.steps, CardForm::long_form) + "\n" + readings_markdown(s.readings);
    for (const std::string& n : s.notes) out += "\n" + in_markdown(n) + "\n";
    for (const std::string& n : s.sources) out += "\nLimit, " + in_markdown(n) + "\n";
  }
  return out;
}

}  // namespace bearingdsp
