#include <fmt/format.h>

#include <string>
#include <string_view>

#include "bearingdsp/core/foreign_text.hpp"
#include "bearingdsp/report/replacement.hpp"
#include "markup.hpp"
#include "report/job_steps.hpp"
#include "report/sheet.hpp"

namespace bearingdsp {
namespace {

std::string filled(const JobFact& fact, Medium medium) {
  if (fact.value.empty()) return std::string{line_to_write_on};
  return medium == Medium::html ? with_units(fact.value) : safe_text(fact.value, medium);
}

constexpr std::string_view card_style =
    "table.vibration{width:100%;margin:.5em 0;break-inside:avoid}"
    ".fields td:nth-child(3){width:30%}.vibration td:not(:first-child){width:11%}"
    ".boxes{display:flex;gap:3mm;break-inside:avoid;margin:2mm 0}.boxes>div{min-width:0}"
    ".boxes>div{flex:1;border:1px solid #888;height:38mm;padding:.2em .4em}"
    ".boxes.signatures>div{height:17mm}";

/// Small, in two columns: the steps of a motor fill a side and a half.
constexpr std::string_view one_sheet_style =
    "@page{size:A4;margin:9mm}body{font-size:7.8pt;line-height:1.22;max-width:190mm}"
    "h1{margin:0 0 1mm;font-size:1.5em}h2{margin:.7em 0 .2em}"
    ".steps-in-columns{column-count:2;column-gap:5mm}.steps-in-columns>h2:first-child{margin-top:0}"
    "ul.steps{margin:0}ul.steps li{margin:.2em 0 .2em 1.5em}.box{width:1.5em;margin-left:-1.5em}"
    "p.caution{margin:.15em 0 .15em -1.5em;padding:0 .5em;border-width:0 0 0 3px}"
    "td,th{padding:.15em .4em}.facts{display:grid;grid-template-columns:repeat(3,1fr);gap:0 4mm}"
    ".facts div{border-bottom:1px solid #888}.facts b{font-weight:normal;color:#333}"
    "p.list{margin:.3em 0}p.note{margin:.3em 0;font-size:.9em}.boxes>div{height:27mm}"
    ".boxes.signatures>div{height:12mm}"
    "@media screen and (max-width:600px){.steps-in-columns{column-count:1}"
    ".facts{grid-template-columns:1fr}}";

/// A motor with every danger at once has more to be read: smaller, so that it stays on the sheet.
constexpr std::string_view dense_style = "body{font-size:7.2pt;line-height:1.18}";
/// Body of a page that fills two sides at the usual size; tests/web counts the sides.
constexpr std::size_t usual_bytes = 15300;

std::string sections_html(const JobCard& card, CardForm form) {
  std::string out;
  for (const JobSection& s : card.sections)
    out += fmt::format("<h2>{}</h2>\n", escaped(s.title)) + steps_html(s.steps, form);
  return out;
}

/// What is written down, stuck on and signed.
std::string fields_html(const JobCard& card) {
  std::string out = "<h2>Readings</h2>\n" + readings_html(card.readings);
  out += "<table class=\"vibration\">\n<tr><th>Vibration, mm/s rms</th>";
  for (const std::string& p : card.points) out += fmt::format("<th>{}</th>", escaped(p));
  out += "</tr>\n";
  for (const char* when : {"before", "no load", "after"}) {
    out += fmt::format("<tr><td>{}</td>", when);
    for (std::size_t i = 0; i < card.points.size(); ++i) out += "<td></td>";
    out += "</tr>\n";
  }
  out += "</table>\n<div class=\"boxes\">\n";
  for (const std::string& p : card.photos) out += fmt::format("<div>Photo: {}</div>\n", escaped(p));
  out += "</div>\n<div class=\"boxes signatures\">\n";
  for (const std::string& s : card.signers)
    out += fmt::format("<div>{}: name, date, signature</div>\n", escaped(s));
  return out + "</div>\n";
}

std::string notes_html(const JobCard& card) {
  std::string out;
  for (const auto& note : card.notes) out += "<p class=\"note\">" + with_units(note) + "</p>\n";
  return out;
}

std::string one_sheet_body(const JobCard& card) {
  std::string out = fmt::format("<h1>{}</h1>\n<div class=\"facts\">\n", escaped(card.title));
  for (const JobFact& f : card.facts)
    out += fmt::format("<div><b>{}:</b> {}</div>\n", escaped(f.label), filled(f, Medium::html));
  out += fmt::format("<div><b>Planned hours:</b> {:g}</div>\n</div>\n", card.hours);
  const auto list = [&](std::string_view name, const std::vector<std::string>& items) {
    out += fmt::format("<p class=\"list\"><strong>{}</strong> ", name);
    for (const auto& i : items) out += fmt::format("&#9744;&nbsp;{} ", escaped(i));
    out += "</p>\n";
  };
  list("Parts", card.parts);
  list("Tools", card.tools);
  return out + "<div class=\"steps-in-columns\">\n" + sections_html(card, CardForm::one_sheet) +
         "</div>\n" + fields_html(card) + notes_html(card);
}

std::string long_body(const JobCard& card) {
  std::string out = fmt::format("<h1>{}</h1>\n<table>\n", escaped(card.title));
  const auto row = [&](const std::string& label, const std::string& value) {
    out += fmt::format("<tr><td>{}</td><td>{}</td></tr>\n", escaped(label), value);
  };
  for (const JobFact& f : card.facts) row(f.label, filled(f, Medium::html));
  row("Planned hours", fmt::format("{:g}", card.hours));
  out += "</table>\n";
  const auto list = [&](std::string_view name, const std::vector<std::string>& items) {
    out += fmt::format("<h2>{}</h2>\n<ul class=\"steps\">\n", name);
    for (const auto& i : items) out += "<li>" + std::string{box_to_tick} + escaped(i) + "</li>\n";
    out += "</ul>\n";
  };
  list("Parts", card.parts);
  list("Tools", card.tools);
  return out + sections_html(card, CardForm::long_form) + fields_html(card) + notes_html(card);
}

std::string fields_markdown(const JobCard& card) {
  std::string out = "\n## Readings\n\n";
  out += readings_markdown(card.readings);
  for (const std::string& p : card.points)
    out += fmt::format("- Vibration, {}: before {} no load {} after {} mm/s rms\n", in_markdown(p),
                       line_to_write_on, line_to_write_on, line_to_write_on);
  out += "\n## Photos\n\n";
  for (const std::string& p : card.photos) out += "- [ ] " + in_markdown(p) + "\n";
  out += "\n## Signatures\n\n";
  for (const std::string& s : card.signers)
    out += fmt::format("- {}: {} date {}\n", in_markdown(s), line_to_write_on, line_to_write_on);
  return out;
}

}  // namespace

std::string job_card_markdown(const JobCard& card, CardForm form) {
  std::string out = "# " + in_markdown(card.title) + "\n\n";
  for (const JobFact& f : card.facts)
    out += fmt::format("- {}: {}\n", in_markdown(f.label), filled(f, Medium::markdown));
  out += fmt::format("- Planned hours: {:g}\n", card.hours);
  const auto list = [&](std::string_view title, const std::vector<std::string>& items) {
    out += fmt::format("\n## {}\n\n", title);
    for (const auto& i : items) out += "- [ ] " + in_markdown(i) + "\n";
  };
  list("Parts", card.parts);
  list("Tools", card.tools);
  for (const JobSection& s : card.sections) {
    out += fmt::format("\n## {}\n\n", in_markdown(s.title));
    out += steps_markdown(s.steps, form);
  }
  out += fields_markdown(card) + "\n---\n\n";
  for (const auto& note : card.notes) out += in_markdown(note) + "\n\n";
  out.pop_back();
  return out;
}

std::string job_card_html(const JobCard& card, CardForm form) {
  if (form == CardForm::long_form)
    return sheet_page(card.title, std::string{steps_style} + std::string{card_style},
                      long_body(card));
  const std::string body = one_sheet_body(card);
  std::string style = std::string{steps_style} + std::string{card_style};
  style += one_sheet_style;
  if (body.size() > usual_bytes) style += dense_style;
  return sheet_page(card.title, style, body);
}

}  // namespace bearingdsp
