#include <fmt/format.h>

#include <string>
#include <string_view>

#include "bearingdsp/core/foreign_text.hpp"
#include "bearingdsp/report/replacement.hpp"
#include "markup.hpp"

namespace bearingdsp {
namespace {

constexpr std::string_view blank = "____________________";
// To be ticked; it stands in the margin, also under a caution.
constexpr std::string_view box = "<span class=\"box\">&#9744;</span>";

std::string filled(const JobFact& fact, Medium medium) {
  return fact.value.empty() ? std::string{blank} : safe_text(fact.value, medium);
}
std::string markdown(std::string_view text) { return safe_text(text, Medium::markdown); }

constexpr std::string_view style =
    "body{font:11pt/1.4 sans-serif;max-width:48em;margin:1em auto;padding:0 1em;color:#000}"
    "h1{font-size:1.4em}h2{font-size:1.1em;margin:1.2em 0 .3em;border-bottom:1px solid #000}"
    "table{border-collapse:collapse}td{border:1px solid #888;padding:.2em .6em}"
    "ul{padding-left:1.2em}ul.steps{list-style:none;padding:0}ul.steps li{margin:.35em 0 .35em "
    "1.7em;break-inside:avoid}.box{display:inline-block;width:1.7em;margin-left:-1.7em}"
    "p.caution{margin:.2em 0;padding:.2em .6em;border:2px solid #000;font-weight:bold}"
    "h2{break-after:avoid}@page{margin:15mm}";

}  // namespace

std::string job_card_markdown(const JobCard& card) {
  std::string out = "# " + markdown(card.title) + "\n\n";
  for (const JobFact& f : card.facts)
    out += fmt::format("- {}: {}\n", markdown(f.label), filled(f, Medium::markdown));
  out += fmt::format("- Planned hours: {:g}\n", card.hours);
  const auto list = [&](std::string_view title, const std::vector<std::string>& items) {
    out += fmt::format("\n## {}\n\n", title);
    for (const auto& i : items) out += "- [ ] " + markdown(i) + "\n";
  };
  list("Parts", card.parts);
  list("Tools", card.tools);
  for (const JobSection& s : card.sections) {
    out += fmt::format("\n## {}\n\n", markdown(s.title));
    for (const JobStep& step : s.steps) {
      for (const auto& caution : step.cautions)
        out += "> **CAUTION:** " + markdown(caution) + "\n\n";
      out += "- [ ] " + markdown(step.text) + "\n";
      if (&step != &s.steps.back() && !(&step + 1)->cautions.empty()) out += "\n";
    }
  }
  out += "\n---\n\n";
  for (const auto& note : card.notes) out += markdown(note) + "\n\n";
  out.pop_back();
  return out;
}

std::string job_card_html(const JobCard& card) {
  const std::string title = escaped(card.title);
  std::string out = fmt::format(
      "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n{}"
      "<meta name=\"viewport\" content=\"width=device-width\">\n<title>{}</title>\n"
      "<style>{}</style>\n</head>\n<body>\n<h1>{}</h1>\n<table>\n",
      content_policy(style, ""), title, style, title);
  const auto row = [&](const std::string& label, const std::string& value) {
    out += fmt::format("<tr><td>{}</td><td>{}</td></tr>\n", escaped(label), value);
  };
  for (const JobFact& f : card.facts) row(f.label, filled(f, Medium::html));
  row("Planned hours", fmt::format("{:g}", card.hours));
  out += "</table>\n";
  const auto list = [&](std::string_view name, const std::vector<std::string>& items) {
    out += fmt::format("<h2>{}</h2>\n<ul class=\"steps\">\n", name);
    for (const auto& i : items) out += "<li>" + std::string{box} + escaped(i) + "</li>\n";
    out += "</ul>\n";
  };
  list("Parts", card.parts);
  list("Tools", card.tools);
  for (const JobSection& s : card.sections) {
    out += fmt::format("<h2>{}</h2>\n<ul class=\"steps\">\n", escaped(s.title));
    for (const JobStep& step : s.steps) {
      out += "<li>";
      for (const auto& caution : step.cautions)
        out += "<p class=\"caution\">Caution: " + escaped(caution) + "</p>";
      out += std::string{box} + escaped(step.text) + "</li>\n";
    }
    out += "</ul>\n";
  }
  for (const auto& note : card.notes) out += "<p>" + escaped(note) + "</p>\n";
  out += "</body>\n</html>\n";
  return out;
}

}  // namespace bearingdsp
