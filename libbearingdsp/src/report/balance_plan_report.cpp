#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "bearingdsp/machine/cautions.hpp"
#include "bearingdsp/report/balance.hpp"
#include "report/balance_parts.hpp"

namespace bearingdsp {

using namespace balance_parts;

namespace {

ReportSection tolerance_section(const BalancePlan& p) {
  ReportSection s;
  s.id = "unbalance";
  s.title = "Permissible residual unbalance (ISO 21940-11)";
  s.figures = {
      {"Grade", fmt::format("G{:g} ({})", p.input.grade->value(), p.input.grade_source)},
      {"Eccentricity", fmt::format("{} µm", significant(p.eccentricity_um))},
      {"Whole rotor",
       fmt::format("{} g·mm, a force of {} N at {:g} rpm", significant(p.permissible.value(), 4),
                   significant(p.force.value(), 3), p.input.speed->value())},
      {"Bearing A, B", fmt::format("{} and {} g·mm{}", significant(p.bearings.a.value()),
                                   significant(p.bearings.b.value()),
                                   p.bearings.limited ? " (limited by the standard)" : "")}};
  if (p.permissible_at_radius)
    s.figures.push_back({"Per plane", fmt::format("{} g at {:g} mm radius",
                                                  significant(p.permissible_at_radius->value(), 2),
                                                  p.input.radius->value())});
  if (!p.input.support)
    s.notes.emplace_back(
        "The centre of mass is assumed midway between the bearings; give --to-a and --to-b.");
  s.notes.emplace_back(
      "Formula confirmed in a secondary text; the limits of the shares of the bearings from memory "
      "(85 %).");
  return s;
}

ReportSection trial_section(const BalancePlan& p) {
  ReportSection s;
  s.id = "advice";
  s.title = "Trial weight";
  if (!p.trial) {
    s.notes.emplace_back("Give --radius for its size.");
    return s;
  }
  s.figures = {
      {"Mass", fmt::format("{} to {} g at {:g} mm radius", significant(p.trial->low.value(), 2),
                           significant(p.trial->high.value(), 2), p.input.radius->value())},
      {"Force", fmt::format("{} to {} N at {:g} rpm", significant(p.trial->force_low.value(), 2),
                            significant(p.trial->force_high.value(), 2), p.input.speed->value())}};
  s.notes.emplace_back(
      "Its force is 5 to 10 % of the rotor's weight on the plane (common practice, from memory 90 "
      "%). It has to change the amplitude by 30 % or the phase by 30 degrees. Begin with the light "
      "one where the vibration is already high.");
  return s;
}

ReportSection run_steps(const BalancePlan& p) {
  ReportSection s;
  s.id = "steps";
  s.title = "Runs";
  s.numbered = true;
  s.items = {
      "Put a reflective mark on the shaft, the tacho at it, a sensor at each bearing (radial).",
      "Run at working speed and temperature; note speed, amplitude and phase of 1x at each sensor, "
      "or record with the tacho for 10 s or more: the rotor as found.",
      cautioned(
          StepKind::rotor_weight,
          fmt::format("Mount the trial weight{} at a known angle, guards on, run, note again.",
                      p.input.planes > 1 ? " on plane 1" : ""),
          true)};
  if (p.input.planes > 1)
    s.items.push_back(cautioned(StepKind::rotor_weight,
                                "Take it off, mount it on plane 2, guards on, run, note again.",
                                true));
  s.items.push_back(cautioned(StepKind::rotor_weight,
                              "Take it off. Then: bearingdsp balance solve JOB.toml", true));
  return s;
}

}  // namespace

Report balance_plan_report(const BalancePlan& plan) {
  Report r;
  r.title = "BALANCING: BEFORE THE FIRST RUN";
  r.headline = fmt::format("Allowed: {} g·mm.", significant(plan.permissible.value(), 4));
  std::string force;
  if (plan.trial) {
    r.headline += fmt::format(" Trial weight: {} to {} g at {:g} mm.",
                              significant(plan.trial->low.value(), 2),
                              significant(plan.trial->high.value(), 2), plan.input.radius->value());
    force = significant(plan.trial->force_high.value(), 2) + " N";
  }
  r.sections = {cautions(force), first_checks(), tolerance_section(plan), trial_section(plan),
                run_steps(plan)};
  return r;
}

std::string balance_plan_json(const BalancePlan& p, const JsonOptions& options) {
  Json j = headed("bearingdsp.balance-plan/1");
  j["rotor_kg"] = p.input.rotor->value();
  j["rpm"] = p.input.speed->value();
  j["grade"] = p.input.grade->value();
  j["grade_source"] = p.input.grade_source;
  j["planes"] = p.input.planes;
  j["permissible_eccentricity_um"] = p.eccentricity_um;
  j["permissible_unbalance_g_mm"] = p.permissible.value();
  j["force_n"] = p.force.value();
  j["bearing_a_g_mm"] = p.bearings.a.value();
  j["bearing_b_g_mm"] = p.bearings.b.value();
  j["permissible_per_plane_g"] =
      p.permissible_at_radius ? Json(p.permissible_at_radius->value()) : Json{};
  j["trial_weight_low_g"] = p.trial ? Json(p.trial->low.value()) : Json{};
  j["trial_weight_high_g"] = p.trial ? Json(p.trial->high.value()) : Json{};
  j["trial_force_high_n"] = p.trial ? Json(p.trial->force_high.value()) : Json{};
  j["cautions"] = cautions("").items;
  return dumped(j, options.pretty);
}

Report weight_split_report(const BalanceWeight& weight, const Positions& positions,
                           const WeightSplit& split) {
  Report r;
  r.title = "SPLIT OF A WEIGHT";
  r.headline = split_words(split) + ".";
  ReportSection s;
  s.id = "advice";
  s.title = "Weights";
  s.figures = {{"Wanted", weight_words(weight)},
               {"Mounted", weight_words(split.mounted)},
               {"Missing", weight_words(weight_of(vector_of(weight) - vector_of(split.mounted)))}};
  s.notes.push_back(
      fmt::format("{} positions, the first at {}, numbered in the direction of the "
                  "angles.",
                  positions.count, degrees_words(positions.first)));
  r.sections = {std::move(s), cautions("")};
  r.polars.push_back(plane_drawing("Where the weight goes", AngleSense::against_rotation, {},
                                   weight, positions, split));
  return r;
}

std::string weight_split_json(const BalanceWeight& weight, const WeightSplit& split,
                              const JsonOptions& options) {
  Json j = headed("bearingdsp.balance-split/1");
  j["wanted"] = weight_json(weight);
  const Json parts = split_json(split);
  j["parts"] = parts.at("parts");
  j["mounted"] = parts.at("mounted");
  return dumped(j, options.pretty);
}

Report four_run_report(const FourRuns& runs, const FourRunAnswer& a, AngleSense sense) {
  Report r;
  ReportSection s;
  s.id = a.usable() ? "advice" : "why";
  s.title = a.usable() ? "Weight" : "Why not";
  if (a.usable()) {
    r.title = "BALANCE WEIGHT";
    r.headline = fmt::format("Mount {}.", weight_words(a.correction));
    s.figures = {
        {"Weight", weight_words(a.correction)},
        {"Uncertainty",
         fmt::format("± {} g, ± {:.0f}° (95 %)", significant(a.mass_uncertainty.value(), 2),
                     a.angle_uncertainty.value())},
        {"Vibration after", fmt::format("at most {} of {} (95 %)", significant(a.at_most, 2),
                                        significant(runs.found))}};
    s.notes.emplace_back("The trial weight is taken off; the weight goes to the same radius.");
    s.notes.push_back(fmt::format(
        "The range assumes that each amplitude repeats within {:g} % (one standard deviation; "
        "--repeatability).",
        100 * a.repeatability));
  } else {
    r.title = "CANNOT TELL";
    r.tone = Tone::doubt;
    r.headline = "No balance weight, because " + a.why_not.front() + ".";
    for (const std::string& why : a.why_not) s.items.push_back(why + ".");
  }
  for (const std::string& note : a.notes) s.notes.push_back(note);
  ReportSection evidence;
  evidence.id = "runs";
  evidence.title = "Runs";
  evidence.figures = {
      {"Effect of the trial weight", significant(a.effect)},
      {"As found", fmt::format("{} measured, {} from the runs", significant(runs.found),
                               significant(a.found_again))}};
  r.sections = {cautions(""), std::move(s), std::move(evidence), angle_section(sense)};
  if (a.usable())
    r.polars.push_back(plane_drawing("Where the weight goes", sense,
                                     {{runs.trial, runs.runs.front().angle}}, a.correction, {},
                                     {}));
  return r;
}

std::string four_run_json(const FourRuns& runs, const FourRunAnswer& a,
                          const JsonOptions& options) {
  Json j = headed("bearingdsp.balance-four-run/1");
  j["usable"] = a.usable();
  j["cannot_tell_because"] = a.why_not.empty() ? Json::array() : Json(a.why_not);
  j["weight"] = a.usable() ? weight_json(a.correction) : Json{};
  j["mass_uncertainty_g"] = a.usable() ? Json(a.mass_uncertainty.value()) : Json{};
  j["angle_uncertainty_deg"] = a.usable() ? Json(a.angle_uncertainty.value()) : Json{};
  j["after_at_most"] = a.usable() ? Json(a.at_most) : Json{};
  j["repeatability_percent"] = 100 * a.repeatability;
  j["found"] = runs.found;
  j["found_from_runs"] = a.found_again;
  j["effect"] = a.effect;
  j["direction_deg"] = a.direction.value();
  j["notes"] = a.notes.empty() ? Json::array() : Json(a.notes);
  j["cautions"] = cautions("").items;
  return dumped(j, options.pretty);
}

}  // namespace bearingdsp
