#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <string>
#include <utility>

#include "bearingdsp/report/cause.hpp"
#include "report/json_parts.hpp"

namespace bearingdsp {
namespace {

constexpr std::size_t shown_causes = 4;

ReportSection cause_section(const RootCause& c, std::size_t rank) {
  ReportSection s;
  s.id = fmt::format("cause-{}", rank);
  s.title =
      fmt::format("{}. {} ({} {})", rank, c.name, c.points, c.points == 1 ? "point" : "points");
  s.figures.push_back({"Change", c.change});
  for (const CauseReason& r : c.reasons)
    s.figures.push_back({r.points > 0 ? "For" : "Against",
                         fmt::format("{} ({:+d}: {}) [{}]", r.why, r.points, r.sign, r.source)});
  return s;
}

Json mode_json(const DamageMode& m) {
  return {{"mode", m.name},
          {"kind", token(m.kind)},
          {"clause", or_null(m.clause)},
          {"also", m.also},
          {"looks", m.looks}};
}

std::string headline(const CauseInquiry& q) {
  if (q.causes.empty()) return "The rules have no explanation for this.";
  const int best = q.causes.front().points;
  std::vector<std::string> first;
  for (const RootCause& c : q.causes)
    if (c.points == best) first.push_back(c.name);
  if (best < 3)
    return fmt::format("Only weak indications, most for: {}. Examine the bearing more closely.",
                       fmt::join(first, "; "));
  return fmt::format("Most likely cause: {}.", fmt::join(first, "; "));
}

}  // namespace

Report cause_report(const CauseInquiry& q) {
  Report r;
  r.title = "Why did the bearing fail?";
  r.headline = headline(q);
  if (!q.seen.empty()) {
    ReportSection s;
    s.id = "seen";
    s.title = "Seen (with a clause: in terms of ISO 15243:2017)";
    for (const DamageMode& m : q.seen)
      s.figures.push_back({m.name, m.kind == DamageKind::mode
                                       ? fmt::format("{} (clause {})", m.looks, m.clause)
                                       : m.looks});
    r.sections.push_back(std::move(s));
  }
  for (std::size_t i = 0; i < std::min(shown_causes, q.causes.size()); ++i)
    r.sections.push_back(cause_section(q.causes[i], i + 1));
  ReportSection end;
  end.id = "note";
  if (q.causes.size() > shown_causes) {
    std::vector<std::string> rest;
    for (std::size_t i = shown_causes; i < q.causes.size(); ++i) rest.push_back(q.causes[i].name);
    end.notes.push_back(fmt::format("Also possible: {}.", fmt::join(rest, "; ")));
  }
  end.notes.emplace_back(
      "Points are the sum of the evidence for a cause; they are not a probability. Several causes "
      "often act together. Clause numbers are from memory.");
  r.sections.push_back(std::move(end));
  return r;
}

Report damage_modes_report() {
  Report r;
  r.title = "What did you see on the old bearing?";
  r.headline =
      "Examine it before washing, with a magnifier and a light, then: bearingdsp cause --seen MODE "
      "... Pictures to hold beside it: bearingdsp cause --show pictures.html";
  for (const auto& [kind, title] :
       {std::pair{DamageKind::mode, "Damage modes (ISO 15243:2017)"},
        std::pair{DamageKind::state, "Cage, seal, grease and what else workshops see"},
        std::pair{DamageKind::trace, "Running tracks of the load (deep groove ball bearing)"}}) {
    ReportSection s;
    s.id = fmt::format("{}s", token(kind));
    s.title = title;
    for (const DamageMode& m : damage_modes())
      if (m.kind == kind)
        s.figures.push_back(
            {m.name, fmt::format("{}. Also called: {}", m.looks, fmt::join(m.also, ", "))});
    r.sections.push_back(std::move(s));
  }
  ReportSection f;
  f.id = "facts";
  f.title = "Facts that help (--fact)";
  f.items = cause_facts();
  r.sections.push_back(std::move(f));
  return r;
}

std::string cause_json(const CauseInquiry& q, const JsonOptions& options) {
  Json j = headed("bearingdsp.cause/1");
  j["seen"] = Json::array();
  for (const DamageMode& m : q.seen) j["seen"].push_back(mode_json(m));
  j["causes"] = Json::array();
  for (const RootCause& c : q.causes) {
    Json reasons = Json::array();
    for (const CauseReason& r : c.reasons)
      reasons.push_back(
          {{"sign", r.sign}, {"points", r.points}, {"why", r.why}, {"source", r.source}});
    j["causes"].push_back({{"cause", c.name},
                           {"points", c.points},
                           {"change", c.change},
                           {"reasons", std::move(reasons)}});
  }
  return dumped(j, options.pretty);
}

std::string damage_modes_json(const JsonOptions& options) {
  Json j = headed("bearingdsp.damage-modes/1");
  j["modes"] = Json::array();
  for (const DamageMode& m : damage_modes()) j["modes"].push_back(mode_json(m));
  j["facts"] = cause_facts();
  return dumped(j, options.pretty);
}

}  // namespace bearingdsp
