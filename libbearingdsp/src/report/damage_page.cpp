#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <string>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/machine/cautions.hpp"
#include "bearingdsp/report/cause.hpp"
#include "markup.hpp"
#include "report/damage_sketch.hpp"
#include "report/sheet.hpp"

namespace bearingdsp {
namespace {

/// Four columns of A4; the modes fill the first sheet, the rest the second.
constexpr std::string_view picture_style =
    "@page{size:A4;margin:9mm}body{font-size:8.5pt;line-height:1.25;max-width:60rem}"
    "h1{margin:0 0 .3em;font-size:1.5em}h2{margin:.8em 0 .3em}p{margin:.3em 0}"
    "p.caution{padding:.2em .6em;border:2px solid #000;font-weight:bold}"
    ".pictures{display:grid;grid-template-columns:repeat(auto-fill,minmax(12rem,1fr));gap:.7em}"
    ".pictures figure{margin:0;padding:.3em;border:1px solid #bbb;break-inside:avoid}"
    ".pictures figure.seen{border:3px solid #000}.pictures svg{width:100%;height:auto;"
    "display:block;font-family:sans-serif}figcaption{font-weight:bold}.also{color:#333}"
    "@media print{body{font-size:7pt;line-height:1.16}.pictures{grid-template-columns:"
    "repeat(4,1fr);gap:1.5mm}.pictures svg{max-height:23mm}.states{break-before:page}"
    ".pictures figure{padding:.6mm 1mm}}";

std::string figure_of(const DamageMode& m, bool seen) {
  std::string out =
      fmt::format("<figure{}>\n{}<figcaption>{}{}</figcaption>\n", seen ? " class=\"seen\"" : "",
                  svg::damage_sketch(m.name), seen ? "Seen: " : "", escaped(m.name));
  out += fmt::format("<div>{}{}</div>\n", escaped(full_stop(capital(m.looks))),
                     m.clause.empty() ? "" : fmt::format(" ISO 15243, {}.", escaped(m.clause)));
  if (!m.also.empty())
    out += fmt::format("<div class=\"also\">Also: {}</div>\n",
                       escaped(fmt::format("{}", fmt::join(m.also, ", "))));
  return out + "</figure>\n";
}

}  // namespace

std::string damage_pictures_html(std::span<const DamageMode> seen) {
  std::string body =
      "<h1>What do you see on the old bearing?</h1>\n"
      "<p>Hold this page beside the bearing. Look before washing it, with a magnifier and a light; "
      "mark which side was up, towards the drive and towards the load. The words in bold go behind "
      "<code>bearingdsp cause --seen</code>.</p>\n"
      "<p class=\"caution\">Caution: " +
      escaped(cautioned(StepKind::look, "")) + "</p>\n";
  for (const auto& [kind, title] :
       {std::pair{DamageKind::mode, "Damage modes (names of ISO 15243:2017; clauses from memory)"},
        std::pair{DamageKind::state, "Cage, seal, grease and what else workshops see"},
        std::pair{DamageKind::trace,
                  "Running tracks of the load, deep groove ball bearing (shapes from memory)"}}) {
    body += fmt::format("<section class=\"{}s\">\n<h2>{}</h2>\n<div class=\"pictures\">\n",
                        words(kind), title);
    for (const DamageMode& m : damage_modes()) {
      if (m.kind != kind) continue;
      body += figure_of(m, std::any_of(seen.begin(), seen.end(),
                                       [&](const DamageMode& s) { return s.name == m.name; }));
    }
    body += "</div>\n</section>\n";
  }
  body +=
      "<p>The drawings show the typical case; the same look can have several causes. Frosting "
      "with a variable-frequency drive is first of all current, without one a thin lubricant film: "
      "decide with the magnifier.</p>\n";
  return sheet_page("What do you see on the old bearing?", picture_style, body);
}

}  // namespace bearingdsp
