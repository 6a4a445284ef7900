#include "verdict/words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "bearingdsp/bearing/element_counts.hpp"
#include "bearingdsp/capture/length.hpp"
#include "bearingdsp/capture/quality.hpp"
#include "bearingdsp/core/percent.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/verdict/assessment.hpp"
#include "verdict/impact_order.hpp"

namespace bearingdsp {

std::string_view remedy(OtherCause cause) noexcept {
  switch (cause) {
    case OtherCause::unbalance:
      return "Check soft foot, looseness and alignment, clean the fan, look for a lost weight; "
             "then "
             "balance the rotor (bearingdsp balance).";
    case OtherCause::misalignment_or_bent_shaft:
      return "Check coupling alignment at operating temperature, soft foot and shaft runout.";
    case OtherCause::looseness:
      return "Check foot bolts, bearing seats and the base for looseness and cracks.";
    case OtherCause::rubbing:
      return "Look for rubbing at the fan cowl, seals and guards.";
    case OtherCause::twice_line_frequency:
      return "Check supply voltages, currents and the air gap; it stops at once at power-off.";
    case OtherCause::rotor_bars:
      return "Have the rotor checked: current spectrum at load.";
    case OtherCause::electrical_erosion:
      return "Check shaft grounding and bearing insulation if a VFD supplies the motor.";
    case OtherCause::poor_lubrication:
      return "Check the grease (amount, age, type), regrease by the nameplate, record again.";
  }
  return "";
}

}  // namespace bearingdsp

namespace bearingdsp::wording {
namespace {

std::string_view short_name(Part part) {
  switch (part) {
    case Part::outer_ring:
      return "BPFO";
    case Part::inner_ring:
      return "BPFI";
    case Part::rolling_element:
      return "BSF";
    case Part::cage:
      return "FTF";
  }
  return "BPFO";
}

std::string hz(Hz f) { return number(f.value()) + " Hz"; }

std::string band_words(const Band& band) {
  return fmt::format("{:.0f}-{:.0f} Hz", band.low.value(), band.high.value());
}

/// What the envelope spectrum shows of one component.
std::string family_words(const Diagnosis& d, const FamilyEvidence& f) {
  // An element's harmonic series is at even multiples of BSF.
  const bool doubled = f.part == Part::rolling_element;
  const Order seen = doubled ? 2 * f.fitted : f.fitted;
  std::string text =
      fmt::format("{}{}: {} of {} harmonics at {:.3f}x shaft speed ({})", doubled ? "2x " : "",
                  short_name(f.part), f.harmonics_detected,
                  std::count_if(f.lines.begin(), f.lines.end(),
                                [](const LineEvidence& l) { return l.sideband == 0 && !l.shared; }),
                  seen.value(), hz(at_speed(seen, d.speed.rate)));
  if (f.sidebands_detected > 0)
    text += fmt::format(" with {} at {}", counted(f.sidebands_detected, "sideband"),
                        doubled ? "FTF" : "1x");
  return text + fmt::format(" in the envelope spectrum of {}; modulation depth {:.0f} %",
                            band_words(f.band), 100 * f.depth);
}

/// "It would be the outer ring of ...", or nothing.
std::string would_fit(Order impacts) {
  const std::string bearings = words_of(element_counts_for(impacts));
  return bearings.empty() ? "" : " It would fit " + bearings + ".";
}

void explain_fault(Diagnosis& d) {
  d.headline = fault_headline(d);
  // A series that a stronger one explains would only puzzle the reader; the evidence lists it.
  constexpr double counts = 0.05;
  for (const auto& f : d.families) {
    const bool speaks = d.place == Place::unclear || f.part == Part::cage ||
                        d.probability_of_part[static_cast<std::size_t>(f.part)] >= counts;
    if (speaks && f.strength > 0.1 && f.harmonics_detected > 0)
      d.reasons.push_back(family_words(d, f) + ".");
  }
  if (d.unknown_order)
    d.reasons.push_back(
        fmt::format("A harmonic series at {:.3f}x shaft speed ({}) does not come from the shaft.",
                    d.unknown_order->value(), hz(at_speed(*d.unknown_order, d.speed.rate))) +
        would_fit(*d.unknown_order));
  if (d.place == Place::another_bearing)
    d.advice.emplace_back(
        "Check the number on the old bearing or its box, and the bearing at the other end; a gear "
        "or "
        "belt may cause it too. Then diagnose again with the right bearing.");
  if (d.place == Place::unclear && !d.orders)
    d.advice.emplace_back(
        "Give the bearing number or its geometry to identify the damaged component.");
  else if (d.place == Place::unclear)
    d.advice.emplace_back(
        "To identify the component: record 10 s or more at steady load, close to the bearing, with "
        "at least 10 kHz bandwidth.");
}

void explain_none(Diagnosis& d) {
  d.headline =
      d.orders ? "No bearing fault found." : "No bearing-like impacts found (bearing not given).";
  if (!d.orders) {
    d.reasons.emplace_back(
        "No harmonic series between 2x and 12x shaft speed, nor at a cage's rate, is as strong as "
        "visible damage makes it.");
    d.advice.emplace_back(
        "Give the bearing number, its geometry or the number of rolling elements: its own "
        "frequencies show damage several times smaller.");
  } else {
    d.reasons.emplace_back(
        "No harmonic series at the bearing's defect frequencies beyond what healthy bearings "
        "show.");
    if (const auto* f = strongest(d); f != nullptr)
      d.reasons.push_back("The strongest is " + family_words(d, *f) + ".");
  }
  d.reasons.emplace_back(
      "Very small damage, or damage that carried no load while recording, can stay hidden.");
  d.advice.emplace_back("Record again at the next survey and compare.");
}

/// Why the verdict is open, as the end of "Cannot tell, because ...", and what to do about it.
struct Doubt {
  std::string why, advice;
};

/// A component's order lies so near a whole one that the shaft masks it.
Doubt near_whole_order(const Diagnosis& d, Part part, double revolutions) {
  const double order = impact_order(part, *d.orders).value();
  const double whole = std::round(order);
  const double needed = revolutions_to_separate(std::abs(order - whole));
  const std::string damage =
      fmt::format("damage of the {} ({:.3f}x shaft speed)", words(part), order);
  if (revolutions < needed)
    return {
        fmt::format("{:.0f} revolutions are too few to separate {} from the shaft's own {:.0f}x, "
                    "and impacts are present there",
                    revolutions, damage, whole),
        fmt::format("Record {:.0f} s or more at this speed.",
                    std::ceil(needed / d.speed.rate.value()))};
  return {fmt::format("impacts repeat at {:.0f}x shaft speed: with a little slip that is {}, but a "
                      "coupling or a fan may cause it too",
                      whole, damage),
          "Record again at another load, which changes the slip, and at the other end."};
}

Doubt between_signs() {
  return {"the signs are between those of a healthy and of a damaged bearing",
          "Record again: 10 s or more, steady load, close to the bearing, at least 10 kHz "
          "bandwidth; compare with the other end of the motor."};
}

Doubt doubt_of(const Diagnosis& d, const std::optional<Judgement>& judgement,
               std::optional<double> revolutions) {
  constexpr double few = 14;
  const auto open = std::find_if(d.findings.begin(), d.findings.end(), leaves_open);
  if (open != d.findings.end())
    return {open->what, open->advice.empty() ? "Record again." : full_stop(capital(open->advice))};
  if (!d.speed.found())
    return {"the shaft speed is not known" +
                (d.speed.why.empty() ? std::string{} : " (" + d.speed.why + ")"),
            "Give the speed, record with a tacho, or record longer."};
  if (revolutions && *revolutions < few)
    return {fmt::format("the recording holds only {} shaft revolutions", number(*revolutions)),
            fmt::format("Record at least {} s at this speed; 10 s is better.",
                        number(std::ceil(telling_revolutions / d.speed.rate.value())))};
  if (!d.orders)
    return {"the bearing is not known, so its defect frequencies are not",
            "Give the bearing number, its geometry or the number of rolling elements."};
  if (judgement && judgement->unresolved && revolutions)
    return near_whole_order(d, *judgement->unresolved, *revolutions);
  if (d.unknown_order)
    return {
        fmt::format("impacts repeat at {:.3f}x shaft speed ({}), which is neither a shaft "
                    "harmonic nor a frequency of this bearing",
                    d.unknown_order->value(), hz(at_speed(*d.unknown_order, d.speed.rate))),
        "Check the bearing number on the old bearing or its box, and the bearing at the other "
        "end; a gear, belt or fan may cause it too. Then diagnose again with the right bearing." +
            would_fit(*d.unknown_order)};
  return between_signs();
}

void explain_doubt(Diagnosis& d, const std::optional<Judgement>& judgement,
                   std::optional<double> revolutions) {
  Doubt doubt = doubt_of(d, judgement, revolutions);
  const bool between = doubt.why == between_signs().why;
  d.headline = "Cannot tell, because " + doubt.why + ".";
  d.advice.push_back(std::move(doubt.advice));
  if (!between) return;
  if (const auto* f = strongest(d); f != nullptr) d.reasons.push_back(family_words(d, *f) + ".");
}

}  // namespace

const FamilyEvidence* strongest(const Diagnosis& d) {
  return d.families.empty() || !(d.families.front().strength > 0) ? nullptr : &d.families.front();
}

bool leaves_open(const Finding& f) {
  return f.weight == Weight::blocking ||
         (f.weight == Weight::caution &&
          (f.kind == FindingKind::no_broadband || f.kind == FindingKind::impacts_unexplained));
}

std::string number(double value) {
  if (!std::isfinite(value)) return "-";
  const double size = std::abs(value);
  if (size >= 100) return fmt::format("{:.0f}", value);
  if (size >= 10) return fmt::format("{:.1f}", value);
  if (size >= 1 || size == 0) return fmt::format("{:.2f}", value);
  return fmt::format("{:.2g}", value);
}

std::string fault_headline(const Diagnosis& d) {
  const std::string component = component_words(d.place, d.place_set);
  if (d.place == Place::another_bearing)
    return fmt::format("A bearing is damaged ({}), but not the one given.",
                       percent(d.probability_of_place));
  if (component.empty())
    return fmt::format("Bearing damaged ({}), component not identified.",
                       percent(d.probability_of_place));
  return fmt::format("{} of the bearing damaged ({}).", capital(component),
                     percent(d.probability_of_place));
}

void explain(Diagnosis& d, const std::optional<Judgement>& judgement,
             std::optional<double> revolutions) {
  switch (d.verdict) {
    case Verdict::fault:
      explain_fault(d);
      break;
    case Verdict::no_fault:
      explain_none(d);
      break;
    case Verdict::indeterminate:
      explain_doubt(d, judgement, revolutions);
      break;
  }
  const JudgementModel model;
  const auto rounded = [&model](double p) { return fmt::format("{:.2f}", strength_at(p, model)); };
  if (judgement && d.verdict == Verdict::no_fault)
    d.reasons.push_back(fmt::format(
        "Overall strength of the signs: {} (healthy bearings stay below {}, visible "
        "damage begins at {}).",
        number(judgement->strength), rounded(model.none_below), rounded(model.fault_from)));
}

}  // namespace bearingdsp::wording
