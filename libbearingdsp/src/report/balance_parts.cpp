#include "report/balance_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/machine/cautions.hpp"

namespace bearingdsp::balance_parts {

std::string degrees_words(Degrees angle) { return fmt::format("{:.1f}°", angle.value()); }

std::string weight_words(const BalanceWeight& weight) {
  return fmt::format("{} g at {}", significant(weight.mass.value()), degrees_words(weight.angle));
}

std::string split_words(const WeightSplit& split) {
  std::string text;
  for (const WeightAtPosition& p : split.parts)
    add_part(text,
             fmt::format("{} g at position {} ({})", significant(p.mass.value()), p.position,
                         degrees_words(p.angle)),
             " and ");
  return text.empty() ? "none: the weight is less than half of one piece" : text;
}

ReportSection first_checks() {
  ReportSection s;
  s.id = "checks";
  s.title = "Before balancing";
  s.items = {
      "Dirt, wear or water in the fan or impeller, a lost weight or blade, ice: clean and repair "
      "first.",
      "Soft foot, loose bolts, a cracked base: a loose machine does not respond in proportion, so "
      "no "
      "weight is right.",
      "Alignment, belt and pulley runout, a bent shaft: they show at 1x too, and weights only hide "
      "them.",
      "Bearings: with a damaged or loose bearing balance after the replacement.",
      "Key: without a coupling half a key in the keyway (ISO 21940-32, half-key convention).",
      "Resonance: if the phase moves by more than about 20 degrees while the speed moves by 1 %, "
      "run "
      "at another speed."};
  s.notes.emplace_back("Source: common practice; half-key convention ISO 21940-32.");
  return s;
}

ReportSection cautions(const std::string& force) {
  ReportSection s;
  s.id = "cautions";
  s.title = "Cautions";
  for (const Caution& c : cautions_for({StepKind::rotor_weight, StepKind::trial_run}, {}))
    s.items.push_back(c.text);
  if (!force.empty())
    s.items.push_back("Centrifugal force of the weight: " + force + " at running speed.");
  s.notes.emplace_back("Local codes, the manufacturer's manual and licensed practice go before.");
  return s;
}

ReportSection angle_section(AngleSense sense) {
  ReportSection s;
  s.id = "angles";
  s.title = "Angles";
  const bool against = sense == AngleSense::against_rotation;
  s.figures = {{"Zero", "the mark on the shaft (the edge at which the tacho pulse begins)"},
               {"Weights", fmt::format("count {} from the mark", words(sense))},
               {"Phases",
                against ? "a lag: how far the shaft rotates from the mark at the tacho to the peak "
                          "of the vibration"
                        : "a lead: the lag with the opposite sign"}};
  s.notes.emplace_back(
      "Phase and weight have to count in the same direction. If your instrument displays the phase "
      "the other way, count the weights the other way too.");
  return s;
}

ReportPolar plane_drawing(const std::string& title, AngleSense sense,
                          const std::vector<BalanceWeight>& trial, const BalanceWeight& answer,
                          const std::optional<Positions>& positions,
                          const std::optional<WeightSplit>& split) {
  ReportPolar p;
  p.title = title;
  p.unit = "g";
  p.rotor = true;
  // Drawn so that angles go clockwise: the shaft then rotates the other way, or the same.
  p.rotation_clockwise = sense == AngleSense::with_rotation;
  double most = answer.mass.value();
  for (const BalanceWeight& w : trial) most = std::max(most, w.mass.value());
  p.full = most > 0 ? 1.6 * most : 1;
  for (const BalanceWeight& w : trial)
    if (w.mass.value() > 0)
      p.arrows.push_back({"trial " + significant(w.mass.value()) + " g", 0, Degrees{0},
                          w.mass.value(), w.angle, 1});
  if (answer.mass.value() > 0)
    p.arrows.push_back({significant(answer.mass.value()) + " g", 0, Degrees{0}, answer.mass.value(),
                        answer.angle, 2});
  if (positions)
    for (int i = 1; i <= positions->count; ++i) {
      PolarPlace place;
      place.angle = Degrees{positions->first.value() + 360.0 * (i - 1) / positions->count};
      // More numbers than that would overlap.
      if (positions->count <= 24) place.name = std::to_string(i);
      if (split)
        for (const WeightAtPosition& part : split->parts)
          if (part.position == i) {
            place.chosen = true;
            place.name = fmt::format("{}: {} g", i, significant(part.mass.value()));
          }
      p.places.push_back(std::move(place));
    }
  p.notes = {fmt::format("Seen so that the shaft rotates {}.",
                         p.rotation_clockwise ? "clockwise" : "counter-clockwise"),
             fmt::format("Angles count {} from the mark.", words(sense))};
  return p;
}

Json weight_json(const BalanceWeight& weight) {
  return {{"mass_g", weight.mass.value()}, {"angle_deg", weight.angle.value()}};
}

Json split_json(const WeightSplit& split) {
  Json parts = Json::array();
  for (const WeightAtPosition& p : split.parts)
    parts.push_back(
        {{"position", p.position}, {"angle_deg", p.angle.value()}, {"mass_g", p.mass.value()}});
  return {{"parts", std::move(parts)}, {"mounted", weight_json(split.mounted)}};
}

}  // namespace bearingdsp::balance_parts
