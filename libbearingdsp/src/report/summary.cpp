#include "bearingdsp/report/summary.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <numeric>
#include <string_view>

#include "bearingdsp/core/foreign_text.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/machine/cautions.hpp"
#include "markup.hpp"
#include "report/json_parts.hpp"
#include "report/sections.hpp"
#include "report/sheet.hpp"
#include "report/utf8.hpp"

namespace bearingdsp {
namespace {

std::size_t from(const PlantSummary& s, Urgency least) {
  return static_cast<std::size_t>(
      std::count_if(s.machines.begin(), s.machines.end(),
                    [&](const MachineDue& m) { return m.urgency >= least; }));
}

std::string summary_title(const PlantSummary& s) {
  if (s.machines.empty()) return "NO POINTS YET";
  const std::size_t affected = from(s, Urgency::check);
  return attention_words(affected, from(s, Urgency::measure_again) - affected, s.machines.size());
}

std::string one_line(const std::vector<std::string>& parts, std::string_view between) {
  std::string text;
  for (const std::string& p : parts) text += (text.empty() ? "" : std::string{between}) + p;
  return text;
}

/// "plan, by 2026-07-06"; "act now" needs no day.
std::string urgency_words(const MachineDue& m) {
  std::string text{words(m.urgency)};
  if (m.on && m.urgency != Urgency::act) text += ", by " + format_date(*m.on);
  return m.acknowledged ? text + " (acknowledged)" : text;
}

std::string needs_words(const MachineDue& m) {
  std::string text = one_line(m.actions, " ");
  if (!m.orders.empty()) text += fmt::format(" Order: {}.", one_line(m.orders, "; "));
  return text;
}

std::string changed_words(const MachineDue& m) {
  return m.changed.empty() ? "nothing" : one_line(m.changed, "; ");
}

std::string latest_words(const PlantSummary& s) {
  UtcTime latest{};
  for (const MachineDue& m : s.machines) latest = std::max(latest, m.latest);
  return s.machines.empty() ? "" : format_date(latest);
}

/// Machines at which nothing is due, or for which there was no room.
std::string names_from(const PlantSummary& s, std::size_t begin, std::size_t end,
                       std::size_t most) {
  std::string text;
  for (std::size_t i = begin; i < end && i - begin < most; ++i)
    add_part(text, s.machines[i].machine);
  return end - begin > most ? fmt::format("{} and {} more", text, end - begin - most) : text;
}

}  // namespace

Report summary_report(const PlantSummary& s) {
  Report r;
  r.source = s.plant;
  r.title = summary_title(s);
  r.tone = tone_of(s.machines.empty() ? Urgency::none : s.machines.front().urgency);
  if (s.machines.empty()) return r;
  r.headline = fmt::format("Latest reading: {}.", latest_words(s));
  const std::size_t due = from(s, Urgency::measure_again);
  for (std::size_t i = 0; i < due; ++i) {
    const MachineDue& m = s.machines[i];
    ReportSection section;
    section.id = fmt::format("machine-{}", i + 1);
    section.title = fmt::format("{}. {}: {}", i + 1, m.machine, urgency_words(m));
    section.figures = {{"Condition", one_line(m.conditions, " ")},
                       {"Changed", changed_words(m)},
                       {"Needs", needs_words(m)},
                       {"If it waits", "yours to judge: lost production, damage to other parts"}};
    r.sections.push_back(std::move(section));
  }
  ReportSection rest;
  rest.id = "rest";
  rest.title = "Nothing to do";
  if (due < s.machines.size())
    rest.items.push_back(names_from(s, due, s.machines.size(), s.machines.size()));
  else
    rest.title = "Before work";
  if (due > 0) rest.notes.push_back(before_work(true));
  r.sections.push_back(std::move(rest));
  return r;
}

std::string summary_json(const PlantSummary& s, const JsonOptions& options) {
  Json json = headed("bearingdsp.summary/1");
  json["plant"] = s.plant;
  json["machines"] = Json::array();
  for (const MachineDue& m : s.machines)
    json["machines"].push_back(
        {{"machine", m.machine},
         {"urgency", token(m.urgency)},
         {"deadline", or_null(m.deadline)},
         {"due_date", m.on ? Json(format_date(*m.on)) : Json{}},
         {"acknowledged", m.acknowledged},
         {"points", m.points.empty() ? Json::array() : Json(m.points)},
         {"conditions", m.conditions.empty() ? Json::array() : Json(m.conditions)},
         {"changed", m.changed.empty() ? Json::array() : Json(m.changed)},
         {"actions", m.actions.empty() ? Json::array() : Json(m.actions)},
         {"bearings_to_order", m.orders.empty() ? Json::array() : Json(m.orders)},
         {"readings", m.readings},
         {"latest_utc", m.readings == 0 ? Json{} : Json(format_time(m.latest))},
         {"cost_of_waiting", nullptr}});
  return dumped(json, options.pretty);
}

namespace {

/// Columns of the page, with the characters that are sure to have room in a line of each.
constexpr std::array<std::size_t, 4> line_of{15, 28, 19, 32};
/// Lines of all rows together: what is left of A4 under the heading and above the foot.
constexpr std::size_t lines_of_page = 52;
constexpr std::size_t lines_of_row = 11;

/// The beginning of a text that is too long for its cell.
std::string cut_to(const std::string& text, std::size_t columns) {
  const auto lines = wrapped(text, columns);
  if (lines.size() <= lines_of_row) return text;
  std::string kept;
  for (std::size_t i = 0; i < lines_of_row; ++i) kept += (i == 0 ? "" : " ") + lines[i];
  return kept + " ...";
}

struct SummaryRow {
  std::array<std::string, 4> cells;
  std::string urgency;  ///< under the name of the machine
  std::size_t lines{0};
};

SummaryRow row_of(const MachineDue& m) {
  SummaryRow row{{m.machine, one_line(m.conditions, " "), changed_words(m), needs_words(m)},
                 urgency_words(m)};
  for (std::size_t k = 0; k < row.cells.size(); ++k) {
    row.cells.at(k) = cut_to(row.cells.at(k), line_of.at(k));
    const std::size_t below = k == 0 ? wrapped(row.urgency, line_of.at(k)).size() : 0;
    row.lines = std::max(row.lines, wrapped(row.cells.at(k), line_of.at(k)).size() + below + 1);
  }
  return row;
}

constexpr std::string_view summary_style =
    "@page{size:A4;margin:11mm}body{font-size:8.5pt;line-height:1.25;max-width:188mm}"
    "h1{margin:0;font-size:1.5em}p{margin:.4em 0}table{width:100%;table-layout:fixed}"
    "th:nth-child(1){width:15%}th:nth-child(2){width:24%}th:nth-child(3){width:17%}"
    "th:nth-child(4){width:27%}"
    "td,th{padding:.2em .4em}td:nth-child(1){font-weight:bold}"
    "td small{display:block;font-size:1em;white-space:pre-line}"
    ".act td:nth-child(1){border-left:5px solid #000}.plan td:nth-child(1){border-left:3px solid "
    "#000}.foot{font-size:.95em}";

/// The day of "plan, by 2026-07-06" in a line of its own.
std::string in_lines(const std::string& urgency) {
  const std::size_t at = urgency.find(", by ");
  return at == std::string::npos
             ? escaped(urgency)
             : escaped(urgency.substr(0, at + 1)) + "\n" + escaped(urgency.substr(at + 2));
}

std::string table_row(const MachineDue& m, const SummaryRow& row) {
  const std::string_view weight = m.urgency == Urgency::act    ? "act"
                                  : m.urgency == Urgency::plan ? "plan"
                                                               : "other";
  std::string out = fmt::format("<tr class=\"{}\"><td>{}<small>{}</small></td>", weight,
                                escaped(row.cells.front()), in_lines(row.urgency));
  for (std::size_t k = 1; k < row.cells.size(); ++k)
    out += fmt::format("<td>{}</td>", escaped(row.cells.at(k)));
  return out + "<td></td></tr>\n";
}

}  // namespace

std::string summary_html(const PlantSummary& s) {
  std::string body =
      fmt::format("<h1>{}</h1>\n<p><strong>{}</strong>{}</p>\n", escaped(cut_to(s.plant, 60)),
                  escaped(summary_title(s)),
                  s.machines.empty() ? "" : fmt::format(" Latest reading: {}.", latest_words(s)));
  const std::size_t due = from(s, Urgency::measure_again);
  std::size_t shown = 0;
  std::size_t lines = 0;
  std::string rows;
  for (; shown < due; ++shown) {
    const SummaryRow row = row_of(s.machines[shown]);
    if (lines + row.lines > lines_of_page) break;
    lines += row.lines;
    rows += table_row(s.machines[shown], row);
  }
  if (shown > 0)
    body +=
        "<table>\n<thead><tr><th>Machine</th><th>Condition</th><th>Changed</th><th>Needs</th>"
        "<th>Cost of waiting</th></tr></thead>\n<tbody>\n" +
        rows + "</tbody>\n</table>\n";
  constexpr std::size_t most = 8;
  if (shown < due)
    body += fmt::format("<p>No room on this page for {} more: {}. All: bearingdsp summary</p>\n",
                        due - shown, escaped(cut_to(names_from(s, shown, due, most), 30)));
  if (due < s.machines.size())
    body += fmt::format("<p>Nothing to do at {}: {}.</p>\n", s.machines.size() - due,
                        escaped(cut_to(names_from(s, due, s.machines.size(), most), 30)));
  if (due > 0)
    body += fmt::format(
        "<p class=\"foot\">{} The cost of waiting is yours to judge: lost production, damage to "
        "other parts, danger.</p>\n",
        escaped(before_work(true)));
  return sheet_page("Summary: " + s.plant, summary_style, body);
}

}  // namespace bearingdsp
