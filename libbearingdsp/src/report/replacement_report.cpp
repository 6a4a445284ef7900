#include <fmt/format.h>

#include <string>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/report/replacement.hpp"
#include "report/json_parts.hpp"

namespace bearingdsp {
namespace {

bool decides(const Advice& a) {
  return a.weighing == Weighing::wrong || a.weighing == Weighing::caution;
}

KeyFigure line(const Advice& a) {
  std::string text = a.text;
  if (a.weighing == Weighing::wrong) text = "NO: " + text;
  if (a.weighing == Weighing::look_up) text = "Not judged: " + text;
  return {a.topic, fmt::format("{} [{}]", text, a.source)};
}

std::string place(const MotorDuty& m) {
  return (m.machine.empty() ? "" : ", " + m.machine) + (m.position.empty() ? "" : " " + m.position);
}

ReportSection section(std::string id, std::string title) {
  ReportSection s;
  s.id = std::move(id);
  s.title = std::move(title);
  return s;
}

/// "Speed, Fit on the shaft": each topic once.
std::string topics_not_judged(const ReplacementPlan& plan) {
  std::string text;
  for (const Advice& a : plan.advice)
    if (a.weighing == Weighing::look_up && text.find(a.topic) == std::string::npos)
      add_part(text, a.topic);
  return text;
}

std::string headline(int wrong, int decisions, const std::string& not_judged) {
  if (wrong > 0) return "Not suitable as specified: see the points marked NO.";
  const std::string open = not_judged.empty() ? "" : " Not judged: " + not_judged + ".";
  if (decisions > 0)
    return fmt::format("Suitable when {} {} clarified.", decisions,
                       decisions == 1 ? "point is" : "points are") +
           open;
  return not_judged.empty() ? "Suitable." : "Suitable in what was judged." + open;
}

}  // namespace

Report replacement_report(const ReplacementPlan& plan) {
  Report r;
  r.title = "Replacement: " + plan.facts.designation.text() + place(plan.duty);
  int wrong = 0;
  int decisions = 0;
  ReportSection decide = section("decide", "Decide before you order or mount");
  ReportSection unknown = section("unknown", "Not judged");
  ReportSection rest = section("plan", "The rest of the plan");
  for (const Advice& a : plan.advice) {
    if (a.weighing == Weighing::wrong) ++wrong;
    if (decides(a)) ++decisions;
    ReportSection& part = decides(a) ? decide : a.weighing == Weighing::look_up ? unknown : rest;
    part.figures.push_back(line(a));
  }
  const std::string not_judged = topics_not_judged(plan);
  r.tone = wrong > 0 ? Tone::bad : decisions > 0 || !not_judged.empty() ? Tone::doubt : Tone::good;
  r.headline = headline(wrong, decisions, not_judged);
  for (ReportSection* some : {&decide, &unknown})
    if (!some->figures.empty()) r.sections.push_back(std::move(*some));
  r.sections.push_back(std::move(rest));
  r.sections.back().notes.emplace_back(
      "In brackets: the source; docs/sources.md lists what was read in each. The manual and the "
      "nameplate of the motor take priority.");
  return r;
}

std::string replacement_json(const ReplacementPlan& p, const JsonOptions& options) {
  Json j = headed("bearingdsp.replacement/1");
  j["designation"] = p.facts.designation.text();
  j["machine"] = p.duty.machine.empty() ? Json{} : Json(p.duty.machine);
  j["position"] = p.duty.position.empty() ? Json{} : Json(p.duty.position);
  j["speed_rpm"] = p.duty.speed ? Json(p.duty.speed->value()) : Json{};
  j["fit"] = Json{};
  if (p.fit)
    j["fit"] = {{"code", p.fit->code},
                {"shaft_lower_um", p.fit->shaft.lower_um},
                {"shaft_upper_um", p.fit->shaft.upper_um},
                {"bore_lower_um", p.fit->bore.lower_um},
                {"bore_upper_um", p.fit->bore.upper_um},
                {"least_interference_um", p.fit->min_interference_um},
                {"most_interference_um", p.fit->max_interference_um},
                {"source", p.fit->source}};
  j["interference_um"] = or_null(p.interference_um);
  j["heating"] = Json{};
  if (p.heat)
    j["heating"] = {{"free_at_c", p.heat->free_at_c},
                    {"aim_c", p.heat->aim_c},
                    {"play_um", p.heat->play_um},
                    {"slides", p.heat->slides}};
  j["regreasing_g"] = or_null(p.regreasing_g);
  j["regreasing_low_h"] = p.regreasing ? Json(p.regreasing->low_h) : Json{};
  j["regreasing_high_h"] = p.regreasing ? Json(p.regreasing->high_h) : Json{};
  j["life_h"] = or_null(p.life_h);
  j["belt_pull_low_n"] = p.pull ? Json(p.pull->low_n) : Json{};
  j["belt_pull_high_n"] = p.pull ? Json(p.pull->high_n) : Json{};
  j["required_viscosity_mm2_per_s"] = or_null(p.required_mm2_s);
  j["kappa_low"] = p.kappa ? Json(p.kappa->low) : Json{};
  j["kappa_high"] = p.kappa ? Json(p.kappa->high) : Json{};
  j["hours_to_allow_h"] = hours_to_allow(p);
  j["advice"] = Json::array();
  for (const Advice& a : p.advice)
    j["advice"].push_back({{"topic", a.topic},
                           {"weighing", token(a.weighing)},
                           {"text", a.text},
                           {"source", a.source}});
  return dumped(j, options.pretty);
}

}  // namespace bearingdsp
