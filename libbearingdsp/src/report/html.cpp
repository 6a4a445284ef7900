#include "bearingdsp/report/html.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "bearingdsp/core/letters.hpp"
#include "markup.hpp"
#include "page_data.hpp"
#include "svg_drawing.hpp"
#include "svg_panel.hpp"
#include "web.hpp"

namespace bearingdsp {
namespace {

constexpr double picture_width = 760, picture_height = 240;
constexpr double changes_width = 520;  // so that its letters can be read on a phone

/// Sections that answer what a reader asks first; they stand side by side under the verdict.
constexpr std::array<std::string_view, 7> answers{"cautions", "sides",   "advice", "tasks",
                                                  "now",      "summary", "why"};
/// One a channel: where there are several, their pictures are printed in pairs.
bool is_waveform(const ReportPlot& p) { return p.x_unit == "s"; }

bool is_answer(const ReportSection& s) {
  return std::find(answers.begin(), answers.end(), s.id) != answers.end();
}

struct ToneStyle {
  std::string_view word, sign, says;
};
ToneStyle style_of(Tone tone) {
  switch (tone) {
    case Tone::good:
      return {"good", "✓", "OK"};
    case Tone::doubt:
      return {"doubt", "?", "Cannot tell"};
    case Tone::check:
      return {"check", "i", "Check"};
    case Tone::bad:
      return {"bad", "!", "Plan"};
    case Tone::urgent:
      return {"urgent", "!!", "Act now"};
    case Tone::neutral:
      break;
  }
  return {"neutral", "i", "Information"};
}

/// A range of figures or an option: a break at its hyphens makes it hard to read, and hyphens that
/// do not break would be copied into a command.
bool breaks_badly(std::string_view word) {
  constexpr std::size_t most = 30;  // longer ones have to break on a telephone
  if (word.size() > most) return false;
  for (std::size_t i = 1; i + 1 < word.size(); ++i)
    if (word[i] == '-' && ((is_digit(word[i - 1]) && is_digit(word[i + 1])) || word[i - 1] == '-'))
      return true;
  return false;
}

/// Text in which "97 %", "10-1000 Hz" and "--machine" stay in one line.
std::string prose(std::string_view text) {
  std::string spaced = escaped(text);
  for (std::size_t at = spaced.find(" %"); at != std::string::npos; at = spaced.find(" %", at + 2))
    spaced.replace(at, 1, "\u00a0");
  std::string out;
  for (std::size_t begin = 0; begin < spaced.size();) {
    const std::size_t end = std::min(spaced.find(' ', begin), spaced.size());
    const std::string_view word = std::string_view{spaced}.substr(begin, end - begin);
    out += breaks_badly(word) ? fmt::format("<span class=\"whole\">{}</span>", word)
                              : std::string{word};
    if (end < spaced.size()) out += ' ';
    begin = end + 1;
  }
  return out;
}

std::string element(std::string_view tag, std::string_view text) {
  return fmt::format("<{0}>{1}</{0}>\n", tag, prose(text));
}

std::string figures(const std::vector<KeyFigure>& all) {
  if (all.empty()) return {};
  std::string out = "<dl>\n";
  for (const KeyFigure& f : all)
    out += fmt::format("<div><dt>{}</dt><dd>{}</dd></div>\n", escaped(f.label), prose(f.text));
  return out + "</dl>\n";
}

/// "2026-01-05", perhaps with a time: a break at its hyphens makes it hard to read.
bool begins_with_date(std::string_view text) {
  constexpr std::string_view pattern = "0000-00-00";
  if (text.size() < pattern.size()) return false;
  for (std::size_t i = 0; i < pattern.size(); ++i) {
    if (pattern[i] == '0' ? !is_digit(text[i]) : text[i] != '-') return false;
  }
  return true;
}

/// A cell with its links and, where the browser must not break it, its wrapping.
std::string cell_text(const ReportTable& t, std::size_t row, std::size_t column) {
  const std::string& raw = t.rows[row][column];
  std::string cell = escaped(raw);
  if (begins_with_date(raw)) cell = fmt::format("<span class=\"date\">{}</span>", cell);
  if (column == 0 && row < t.targets.size() && !t.targets[row].empty())
    cell = fmt::format("<a href=\"#{}\">{}</a>", escaped(t.targets[row]), cell);
  return cell;
}

std::string table(const ReportTable& t, std::string_view name) {
  // A wide table scrolls by itself; keyboards have to be able to get there.
  std::string out = fmt::format(
      "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"{}\">\n<table>\n<thead><tr>",
      escaped(name));
  const auto number = [&](std::size_t k) {
    return k < t.columns.size() && t.columns[k].number ? " class=\"number\"" : "";
  };
  for (std::size_t k = 0; k < t.columns.size(); ++k) {
    const ReportColumn& c = t.columns[k];
    // A nameless column is a word about the row.
    out += fmt::format("<th scope=\"col\"{}>{}", number(k),
                       c.title.empty() ? "<span class=\"unseen\">State</span>" : escaped(c.title));
    if (!c.unit.empty()) out += fmt::format(" <small>{}</small>", escaped(c.unit));
    out += "</th>";
  }
  out += "</tr></thead>\n<tbody>\n";
  for (std::size_t r = 0; r < t.rows.size(); ++r) {
    out += "<tr>";
    for (std::size_t k = 0; k < t.rows[r].size(); ++k) {
      const std::string cell = cell_text(t, r, k);
      out += k == 0 ? fmt::format("<th scope=\"row\">{}</th>", cell)
                    : fmt::format("<td{}>{}</td>", number(k), cell);
    }
    out += "</tr>\n";
  }
  return out + "</tbody>\n</table>\n</div>\n";
}

std::string list(const ReportSection& s) {
  if (s.items.empty()) return {};
  const std::string_view tag = s.numbered ? "ol" : "ul";
  std::string out = fmt::format("<{}>\n", tag);
  for (const std::string& item : s.items) out += element("li", item);
  return out + fmt::format("</{}>\n", tag);
}

std::string body_of(const ReportSection& s) {
  std::string out = figures(s.figures);
  if (s.table) out += table(*s.table, s.title);
  out += list(s);
  for (const std::string& note : s.notes)
    out += fmt::format("<p class=\"note\">{}</p>\n", escaped(note));
  return out;
}

/// Writes a page part by part and numbers what the script will look for.
class Page {
 public:
  explicit Page(bool interactive) : interactive_{interactive} {}

  void chapter(const Report& report) {
    prefix_ = report.id.empty() ? "" : report.id + "-";
    level_ = report.id.empty() ? 2 : 3;
    out_ += "<div class=\"answers\">\n";
    for (const std::string_view id : answers)
      for (const ReportSection& s : report.sections)
        if (s.id == id) section(s);
    out_ += "</div>\n";
    // The first picture shows without scrolling.
    pictures(report);
    for (const ReportSection& s : report.sections)
      if (!is_answer(s)) section(s);
  }

  void part(const Report& report) {
    const ToneStyle tone = style_of(report.tone);
    out_ += fmt::format(
        "<article class=\"part {0}\" id=\"{1}\">\n<h2><span class=\"sign\" "
        "aria-hidden=\"true\">{2}</span>{3}</h2>\n<p class=\"verdict-line\">{4}</p>\n",
        tone.word, escaped(report.id), tone.sign, escaped(report.source), escaped(report.title));
    if (!report.headline.empty()) out_ += element("p", report.headline);
    chapter(report);
    out_ += "<p class=\"note\"><a href=\"#content\">Back to the list</a></p>\n</article>\n";
  }

  [[nodiscard]] const std::string& text() const { return out_; }
  [[nodiscard]] std::string data() const { return page_data(content_); }
  [[nodiscard]] bool has_pictures() const { return !content_.empty(); }

 private:
  void section(const ReportSection& s) {
    const std::string name =
        s.title.empty() ? (s.id == "now" ? "Present state" : "Summary") : escaped(s.title);
    if (s.detail && !is_answer(s)) {
      out_ += fmt::format("<details id=\"{}{}\">\n<summary>{}</summary>\n{}</details>\n", prefix_,
                          escaped(s.id), name, body_of(s));
      return;
    }
    out_ += fmt::format("<section id=\"{0}{1}\" class=\"{1}\">\n<h{2}>{3}</h{2}>\n{4}</section>\n",
                        prefix_, escaped(s.id), level_, name, body_of(s));
  }

  void pictures(const Report& report) {
    std::string figures = drawings(report);
    for (const ReportPolar& p : report.polars) {
      figures += fmt::format(
          "<figure class=\"polar\">\n<figcaption>{}</figcaption>\n<div "
          "class=\"static\">{}</div>\n",
          escaped(p.title), svg::picture(p));
      for (const std::string& note : p.notes)
        figures += fmt::format("<p class=\"about\">{}</p>\n", escaped(note));
      figures += "</figure>\n";
    }
    if (report.changes) {
      figures += figure(report.changes->title, "changes", content_.changes.size(),
                        report.changes->notes, svg::picture(*report.changes, changes_width));
      content_.changes.push_back(&*report.changes);
    }
    std::size_t map = 0;
    const auto maps_until = [&](std::size_t plots) {
      for (; map < report.maps.size() && report.maps[map].after <= plots; ++map) {
        const ReportMap& m = report.maps[map];
        if (!svg::drawable(m)) continue;
        figures +=
            figure(m.title, "map", content_.maps.size(), m.notes, svg::picture(m, picture_width));
        content_.maps.push_back(&m);
      }
    };
    const bool several = std::count_if(report.plots.begin(), report.plots.end(), is_waveform) > 1;
    for (std::size_t i = 0; i < report.plots.size(); ++i) {
      maps_until(i);
      const ReportPlot& p = report.plots[i];
      if (!svg::drawable(p)) continue;
      if (p.kind == PlotKind::rates) {
        // As wide as high, or nearly: both axes are percent.
        figures += fmt::format(
            "<figure class=\"rates\">\n<figcaption>{}</figcaption>\n<div "
            "class=\"static\">{}</div>\n</figure>\n",
            escaped(p.title), svg::picture(p, picture_width, 2 * picture_height));
        continue;
      }
      figures +=
          figure(p.title, "plot", content_.plots.size(), {},
                 svg::picture(p, picture_width, picture_height), several && p.x_unit != "orders");
      content_.plots.push_back(&p);
    }
    maps_until(report.plots.size());
    if (figures.empty()) return;
    out_ += fmt::format("<section id=\"{0}plots\" class=\"plots\">\n<h{1}>Pictures</h{1}>\n",
                        prefix_, level_);
    if (!interactive_ && has_pictures())
      out_ +=
          "<p class=\"note\">The charts on this page are static: the tool was built without its "
          "plotting code.</p>\n";
    out_ += figures + "</section>\n";
  }

  static std::string drawings(const Report& report) {
    std::string out;
    for (const ReportDrawing& d : report.drawings) {
      out += fmt::format(
          "<figure class=\"drawing\">\n<figcaption>{}</figcaption>\n<div "
          "class=\"static\">{}</div>\n",
          escaped(d.title), svg::picture(d));
      for (const std::string& note : d.notes)
        out += fmt::format("<p class=\"about\">{}</p>\n", escaped(note));
      out += "</figure>\n";
    }
    return out;
  }

  static std::string figure(std::string_view title, std::string_view kind, std::size_t number,
                            const std::vector<std::string>& notes, std::string_view picture,
                            bool of_several = false) {
    std::string out = fmt::format(
        "<figure data-{0}=\"{1}\"{4}>\n<figcaption>{2}</figcaption>\n<div "
        "class=\"static\">{3}</div>\n",
        kind, number, escaped(title), picture, of_several ? " class=\"of-several\"" : "");
    for (const std::string& note : notes)
      out += fmt::format("<p class=\"about\">{}</p>\n", escaped(note));
    return out + "</figure>\n";
  }

  bool interactive_;
  std::string out_, prefix_;
  int level_{2};
  PageContent content_;
};

std::string head(const Report& report, bool with_script) {
  std::string name = report.title;
  if (!report.source.empty()) name += " - " + report.source;
  return fmt::format(
             "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n{}"
             "<meta name=\"viewport\" "
             "content=\"width=device-width, initial-scale=1\">\n<meta name=\"color-scheme\" "
             "content=\"light dark\">\n<meta name=\"generator\" content=\"bearingdsp {}\">\n"
             "<title>{}</title>\n<style>",
             content_policy(data::web_style, with_script ? data::web_script : std::string_view{}),
             BEARINGDSP_VERSION, escaped(name)) +
         std::string{data::web_style} + "</style>\n</head>\n";
}

std::string banner(const Report& report) {
  const ToneStyle tone = style_of(report.tone);
  std::string out = fmt::format(
      "<header class=\"banner {}\">\n<p class=\"source\">{}</p>\n<p class=\"state\"><span "
      "class=\"sign\" aria-hidden=\"true\">{}</span>{}</p>\n<h1>{}</h1>\n",
      tone.word, escaped(report.source), tone.sign, tone.says, escaped(report.title));
  if (!report.headline.empty())
    out += fmt::format("<p class=\"headline\">{}</p>\n", prose(report.headline));
  return out + "</header>\n";
}

}  // namespace

bool has_interactive_plots() noexcept { return !data::web_script.empty(); }

std::string to_html(const Report& report, std::span<const Report> parts,
                    const HtmlOptions& options) {
  const bool interactive = options.interactive && has_interactive_plots();
  Page page{interactive};
  page.chapter(report);
  for (const Report& part : parts) page.part(part);
  const bool with_script = interactive && page.has_pictures();
  std::string out = head(report, with_script);
  out +=
      "<body>\n"
      "<a class=\"skip\" href=\"#content\">Go to the results</a>\n" +
      banner(report);
  out += "<main id=\"content\">\n" + page.text() + "</main>\n";
  out += fmt::format(
      "<footer>Written by bearingdsp {}. This file is self-contained: it loads nothing and sends "
      "nothing.</footer>\n",
      BEARINGDSP_VERSION);
  if (with_script)
    out += "<script type=\"application/json\" id=\"data\">" + page.data() + "</script>\n<script>" +
           std::string{data::web_script} + "</script>\n";
  return out + "</body>\n</html>\n";
}

}  // namespace bearingdsp
