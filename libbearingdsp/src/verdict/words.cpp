#include "verdict/words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/sentence.hpp"
#include "verdict/struck_order.hpp"

namespace bearingdsp {

std::string_view remedy(OtherCause cause) noexcept {
  switch (cause) {
    case OtherCause::unbalance:
      return "Look for unbalance: dirt on or damage to fan blades or rotor, a lost weight, the "
             "coupling; then balance.";
    case OtherCause::misalignment_or_bent_shaft:
      return "Check the alignment of the coupling at operating temperature, soft foot, and the "
             "shaft's runout.";
    case OtherCause::looseness:
      return "Check foot bolts, bearing seats and the base for looseness and cracks.";
    case OtherCause::rubbing:
      return "Look for rubbing: fan cowl, seals, guards.";
    case OtherCause::twice_line_frequency:
      return "Have supply voltages, currents and the air gap checked; it vanishes at once when the "
             "power is cut.";
    case OtherCause::rotor_bars:
      return "Have the rotor checked: current spectrum at load.";
    case OtherCause::electrical_erosion:
      return "Check shaft grounding and bearing insulation if a frequency converter feeds the "
             "motor.";
    case OtherCause::poor_lubrication:
      return "Check the grease: amount, age, kind; regrease as the nameplate says and record "
             "again.";
  }
  return "";
}

}  // namespace bearingdsp

namespace bearingdsp::words {
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

const FamilyEvidence* strongest(const Diagnosis& d) {
  return d.families.empty() || !(d.families.front().strength > 0) ? nullptr : &d.families.front();
}

/// What stands in the envelope spectrum for one part.
std::string family_words(const Diagnosis& d, const FamilyEvidence& f) {
  // An element's family stands at even harmonics of BSF.
  const bool doubled = f.part == Part::rolling_element;
  const Order seen = doubled ? 2 * f.fitted : f.fitted;
  std::string text = fmt::format(
      "{} of {} harmonics of {}{} ({:.3f} x shaft speed, {}) stand in the envelope of {}; together "
      "they pulse with {} times its mean level (sharp impacts exceed 1.4)",
      f.harmonics_standing,
      std::count_if(f.lines.begin(), f.lines.end(),
                    [](const LineEvidence& l) { return l.sideband == 0 && !l.shared; }),
      doubled ? "2 x " : "", short_name(f.part), seen.value(), hz(at_speed(seen, d.speed.rate)),
      band_words(f.band), number(f.depth));
  if (f.sidebands_standing > 0)
    text += fmt::format(", with {} sidebands at {}", f.sidebands_standing,
                        doubled ? "FTF" : "shaft speed");
  return text;
}

std::string place_phrase(const Diagnosis& d) {
  if (d.place_set.size() == 2) {
    const auto has = [&](Part p) { return d.place_set[0] == p || d.place_set[1] == p; };
    if (has(Part::rolling_element) && has(Part::cage))
      return "A rolling element or the cage of the bearing is damaged";
    const auto words = [](Part p) {
      return p == Part::rolling_element ? std::string{"a rolling element"}
                                        : fmt::format("the {}", name(p));
    };
    return capital(fmt::format("{} or {} of the bearing is damaged", words(d.place_set[0]),
                               words(d.place_set[1])));
  }
  switch (d.place) {
    case Place::outer_ring:
      return "The outer ring of the bearing is damaged";
    case Place::inner_ring:
      return "The inner ring of the bearing is damaged";
    case Place::rolling_element:
      return "A rolling element of the bearing is damaged";
    case Place::cage:
      return "The cage of the bearing is damaged";
    case Place::several:
      return "Both rings of the bearing are damaged";
    default:
      return "The bearing is damaged; the component is not identified";
  }
}

void explain_fault(Diagnosis& d) {
  d.headline = fault_headline(d);
  // A family that a stronger one explains would only puzzle the reader; the evidence lists it.
  constexpr double counts = 0.05;
  for (const auto& f : d.families) {
    const bool speaks = d.place == Place::unclear || f.part == Part::cage ||
                        d.probability_of_part[static_cast<std::size_t>(f.part)] >= counts;
    if (speaks && f.strength > 0.1 && f.harmonics_standing > 0)
      d.reasons.push_back(family_words(d, f) + ".");
  }
  if (d.unknown_order)
    d.reasons.push_back(fmt::format(
        "A family of lines that is not the shaft's stands at {:.3f} x shaft speed ({}).",
        d.unknown_order->value(), hz(at_speed(*d.unknown_order, d.speed.rate))));
  d.advice.emplace_back(
      "Plan the change of this bearing and record again before it, to see how fast it grows.");
  d.advice.emplace_back(
      "If it gets hot, loud or rough meanwhile, stop the motor. Isolate and lock out before "
      "opening it.");
  if (d.place == Place::unclear && !d.orders)
    d.advice.emplace_back("Give the bearing number or its geometry to learn which part it is.");
  else if (d.place == Place::unclear)
    d.advice.emplace_back(
        "To learn which part: record 10 s or more at steady load, close to the bearing, with at "
        "least 10 kHz bandwidth.");
}

void explain_none(Diagnosis& d) {
  d.headline = d.orders
                   ? fmt::format("No bearing fault found ({} sure that the bearing is sound).",
                                 percent(1 - d.probability_of_damage))
                   : fmt::format(
                         "No bearing-like impacts found; the bearing is not known ({} sure that it "
                         "is healthy).",
                         percent(1 - d.probability_of_damage));
  if (!d.orders) {
    d.reasons.emplace_back(
        "No harmonic series between 2 and 12 x shaft speed, nor at a cage's rate, is as strong as "
        "visible damage makes it.");
    d.advice.emplace_back(
        "Give the bearing number, its geometry or the number of rolling elements: its own "
        "frequencies show damage several times smaller.");
  } else if (const auto* f = strongest(d); f != nullptr)
    d.reasons.push_back("The strongest candidate is weak: " + family_words(d, *f) +
                        ". Sound bearings show as much.");
  else
    d.reasons.emplace_back("No family of lines stands at the bearing's defect orders.");
  d.reasons.emplace_back(
      "Damage that is too early, or too far from the sensor, shows nothing: that is what the "
      "remaining doubt is.");
  d.advice.emplace_back("Record again at the next round and compare.");
}

/// Turns after which a family this far from a whole order is told from the shaft, with room for the
/// slip that brings it closer.
double turns_to_part(double orders) {
  constexpr double bins = 4;
  return bins / std::max(orders, 0.005);
}

void explain_doubt(Diagnosis& d, const std::optional<Judgement>& judgement,
                   std::optional<double> turns) {
  const auto because = [&](const std::string& why, std::string advice) {
    d.headline = "Cannot tell, because " + why + ".";
    d.advice.push_back(std::move(advice));
  };
  const auto blocking = std::find_if(d.findings.begin(), d.findings.end(), leaves_open);
  if (blocking != d.findings.end()) {
    because(blocking->what,
            blocking->advice.empty() ? "Record again." : full_stop(capital(blocking->advice)));
  } else if (!d.speed.found()) {
    because("the shaft speed is not known" +
                (d.speed.why.empty() ? std::string{} : " (" + d.speed.why + ")"),
            "Give the speed, or record with a tacho, or record longer.");
  } else if (turns && *turns < 14) {
    because(fmt::format("the record holds only {} turns of the shaft", number(*turns)),
            fmt::format("Record at least {} s at this speed; 10 s is better.",
                        number(std::ceil(40 / d.speed.rate.value()))));
  } else if (!d.orders) {
    because("the bearing is not known, so its defect orders are not",
            "Give the bearing number, its geometry or the number of rolling elements.");
  } else if (judgement && judgement->unresolved && turns) {
    const Part part = *judgement->unresolved;
    const double order = struck_order(part, *d.orders).value();
    const double whole = std::round(order);
    const double needed = turns_to_part(std::abs(order - whole));
    const std::string damage =
        fmt::format("damage of the {} ({:.3f} times a turn)", name(part), order);
    if (*turns < needed)
      because(fmt::format("{:.0f} turns of the shaft are too few to tell {} from the shaft's own "
                          "{:.0f}x, and something stands there",
                          *turns, damage, whole),
              fmt::format("Record {:.0f} s or more at this speed.",
                          std::ceil(needed / d.speed.rate.value())));
    else
      because(
          fmt::format("something strikes {:.0f} times a turn: a little slip brings {} there, but "
                      "a coupling or a fan may do it too",
                      whole, damage),
          "Record again at another load, which changes the slip, and at the other end.");
  } else if (d.unknown_order) {
    because(fmt::format("something strikes {:.3f} times a turn ({}), which is neither the shaft's "
                        "rate nor any of this bearing's",
                        d.unknown_order->value(), hz(at_speed(*d.unknown_order, d.speed.rate))),
            "Check the bearing number on the old bearing or its box, and the bearing at the other "
            "end; a gear, belt or fan may do it too. Then diagnose again with the right bearing.");
  } else {
    because(fmt::format("the signs are between those of a sound and of a damaged bearing "
                        "({} for damage)",
                        percent(d.probability_of_damage)),
            "Record again: 10 s or more, steady load, close to the bearing, at least 10 kHz "
            "bandwidth; then "
            "compare with the other end of the motor.");
    if (const auto* f = strongest(d); f != nullptr) d.reasons.push_back(family_words(d, *f) + ".");
  }
}

}  // namespace

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
  return fmt::format("{} ({} sure).", place_phrase(d), percent(d.probability_of_place));
}

std::string percent(double probability) {
  return fmt::format("{:.0f} %", std::clamp(std::round(100 * probability), 1.0, 99.0));
}

void explain(Diagnosis& d, const std::optional<Judgement>& judgement, std::optional<double> turns) {
  switch (d.verdict) {
    case Verdict::fault:
      explain_fault(d);
      break;
    case Verdict::no_fault:
      explain_none(d);
      break;
    case Verdict::indeterminate:
      explain_doubt(d, judgement, turns);
      break;
  }
  const JudgementModel model;
  const auto rounded = [&model](double p) { return fmt::format("{:.2f}", strength_at(p, model)); };
  if (judgement && d.verdict == Verdict::no_fault)
    d.reasons.push_back(fmt::format(
        "Overall sign of damage: {} (sound bearings stay below {}, visible damage "
        "begins at {}).",
        number(judgement->strength), rounded(model.none_below), rounded(model.fault_from)));
  for (const auto& cause : d.other_causes) {
    if (cause.probability < 0.5) continue;
    // With a sound bearing the other cause comes first; beside damage it comes after.
    const auto place = d.verdict == Verdict::no_fault ? d.advice.begin() : d.advice.end();
    d.advice.insert(place, std::string{remedy(cause.cause)});
    d.reasons.push_back(fmt::format("Besides the bearing: {} ({}): {}", name(cause.cause),
                                    percent(cause.probability), cause.why));
  }
}

}  // namespace bearingdsp::words
