#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>
#include <optional>
#include <string>

#include "advisers.hpp"
#include "sources.hpp"

namespace bearingdsp {
namespace {

void number_itself(ReplacementPlan& p) {
  const Designation& d = p.facts.designation;
  const auto own = d.makers_own();
  if (own.empty())
    p.advice.push_back({"Number", Weighing::good,
                        fmt::format("Order {}. Keep every suffix of the old bearing unless a point "
                                    "below gives a reason to change it.",
                                    d.text()),
                        std::string{sources::practice}});
  else
    p.advice.push_back({"Number", Weighing::look_up,
                        fmt::format("{} is specific to one manufacturer: ask the manufacturer "
                                    "before you order another brand.",
                                    fmt::join(own, ", ")),
                        std::string{sources::naming}});
  if (!d.usual_bore)
    p.advice.push_back(
        {"Number", Weighing::caution,
         fmt::format("A bore of {:g} mm is unusual: check the designation.", d.bore_mm), "ISO 15"});
}

/// Types for which the limit of speed below is common.
bool rule_of_balls(BearingType type) {
  return type == BearingType::deep_groove_ball || type == BearingType::angular_contact_ball ||
         type == BearingType::cylindrical_roller || type == BearingType::self_aligning_ball;
}

void speed(ReplacementPlan& p) {
  // mm/min, grease; the lip of a rubbing seal gets hot from some 250 000. Practice, no source.
  constexpr double usual_limit = 500000;
  constexpr double rubbing_limit = 250000;
  const auto& size = p.facts.size;
  if (!p.duty.speed) {
    p.advice.push_back(not_judged("Speed",
                                  "the speed is not given (--rpm); compare it with the limiting "
                                  "speed from the manufacturer.",
                                  std::string{sources::practice}));
    return;
  }
  if (!size.outside_diameter) {
    p.advice.push_back(not_judged("Speed",
                                  "the outside diameter is not in these tables; compare the speed "
                                  "with the limiting speed from the manufacturer.",
                                  size.source));
    return;
  }
  if (!rule_of_balls(p.facts.designation.type)) {
    p.advice.push_back(not_judged(
        "Speed",
        fmt::format("the rule for the speed is for ball and cylindrical roller bearings; compare "
                    "{:.0f} rpm with the limiting speed from the manufacturer.",
                    p.duty.speed->value()),
        std::string{sources::practice}));
    return;
  }
  const double n = p.duty.speed->value();
  const double ndm = n * 0.5 * (size.bore + *size.outside_diameter);
  const bool fast = ndm > usual_limit;
  const bool rubs = p.facts.designation.closure == Closure::seal;
  const bool slow = ndm <= (rubs ? rubbing_limit : usual_limit);
  p.advice.push_back(
      {"Speed",
       fast   ? Weighing::caution
       : slow ? Weighing::good
              : Weighing::look_up,
       fmt::format(
           "n x mean diameter = {:.0f} x {:g} mm = {:.0f} mm/min. {} The limiting speed "
           "differs between manufacturers: look it up.",
           n, 0.5 * (size.bore + *size.outside_diameter), ndm,
           fast   ? "Above 500 000 standard grease and cages may not be suitable."
           : slow ? fmt::format("Below {} speed is rarely a problem for greased bearings{}.",
                                rubs ? "250 000" : "500 000", rubs ? " with rubbing seals" : "")
                  : "Rubbing seals lower the limiting speed."),
       std::string{sources::practice} + "; mean diameter: " + std::string{sources::catalogue_b}});
}

void sides(ReplacementPlan& p) {
  const Designation& d = p.facts.designation;
  if (d.type != BearingType::deep_groove_ball || (!p.duty.wet && !p.duty.dusty)) return;
  const std::string place = p.duty.wet && p.duty.dusty ? "wet and dusty"
                            : p.duty.wet               ? "wet"
                                                       : "dusty";
  if (d.closure == Closure::seal)
    p.advice.push_back({"Sides", Weighing::good,
                        fmt::format("Rubbing seals suit a {} location.", place),
                        std::string{sources::practice}});
  else if (d.closure == Closure::light_seal || (d.closure == Closure::shield && !p.duty.wet))
    p.advice.push_back({"Sides", Weighing::caution,
                        fmt::format("{} keep out only coarse dust: in a {} location use rubbing "
                                    "seals (2RS) if the speed allows, and repair the shaft seal.",
                                    d.closure == Closure::shield ? "Shields" : "Gap seals", place),
                        std::string{sources::practice}});
  else if (d.closure == Closure::shield)
    p.advice.push_back({"Sides", Weighing::wrong,
                        "Shields do not stop water: use rubbing seals (2RS) if the speed allows.",
                        std::string{sources::practice}});
  else
    p.advice.push_back({"Sides", Weighing::caution,
                        fmt::format("An open bearing in a {} location depends on the seals of the "
                                    "machine: replace them together with the bearing.",
                                    place),
                        std::string{sources::practice}});
}

void angular_contact(ReplacementPlan& p) {
  p.advice.push_back(
      {"Thrust", Weighing::caution,
       "An angular contact bearing carries axial load in one direction only. Mount it so that the "
       "shaft pushes the inner ring towards the wide face of the outer ring. If it carries the "
       "weight of a vertical shaft, the wide outer face is at the bottom. Note the position of the "
       "old bearing before you pull it, and use the same contact angle.",
       std::string{sources::practice}});
}

void thrust(ReplacementPlan& p) {
  const Designation& d = p.facts.designation;
  if (d.type == BearingType::angular_contact_ball) {
    angular_contact(p);
  } else if (d.floats) {
    p.advice.push_back(
        {"Thrust", p.duty.axial_n && *p.duty.axial_n > 0 ? Weighing::wrong : Weighing::note,
         "Carries no axial load: the bearing at the other end must locate the shaft.",
         std::string{sources::naming}});
  } else if (p.duty.vertical_shaft && d.type == BearingType::deep_groove_ball) {
    p.advice.push_back(
        {"Thrust", Weighing::caution,
         fmt::format(
             "On a vertical shaft this bearing may carry the rotor weight and the axial load. A "
             "deep groove bearing can do so within limits: {}; a large axial load needs angular "
             "contact bearings, mounted in the correct direction.",
             p.duty.axial_n ? "see the rating life below" : "check the rating life with --axial"),
         std::string{sources::practice}});
  }
}

/// A seller of motors advises an insulating bearing from here.
bool large_motor(const MotorDuty& m) {
  constexpr double large_kw = 75;
  constexpr double large_mm = 280;
  return m.power_kw.value_or(0) >= large_kw || m.shaft_height_mm.value_or(0) >= large_mm;
}

void insulation_test(ReplacementPlan& p) {
  const Designation& d = p.facts.designation;
  if (d.insulated_ring)
    p.advice.push_back(
        {"Insulation test", Weighing::note,
         "Before mounting, dry and clean, measure from ring to ring with 500 V DC: a new bearing "
         "has more than 50 MΩ; below 1 MΩ the layer is bridged or damaged, do not mount it. Once "
         "mounted, the coupling and the other bearing conduct past it: isolate them first. Press "
         "and heat without scratching the coated ring. The voltage that the layer withstands is "
         "the manufacturer's (VL0241: 1000 V DC).",
         std::string{sources::insulation_guide} +
             "; VL0241: " + std::string{sources::catalogue_d}});
  if (d.ceramic_balls)
    p.advice.push_back({"Insulation test", Weighing::note,
                        "Ceramic balls insulate without a layer that could be damaged: no voltage "
                        "test. Not judged: the loss of clearance by heat, because ceramic expands "
                        "less than steel.",
                        std::string{sources::practice}});
}

void current(ReplacementPlan& p) {
  const Designation& d = p.facts.designation;
  const bool insulates = d.insulated_ring || d.ceramic_balls;
  if (!p.duty.variable_speed) {
    if (insulates)
      p.advice.push_back({"Current", Weighing::note,
                          "The old bearing insulates against shaft currents: replace it with an "
                          "insulating bearing, or find out why it was fitted.",
                          std::string{sources::practice}});
    return;
  }
  if (insulates)
    p.advice.push_back(
        {"Current", Weighing::good,
         p.duty.shaft_grounded
             ? "An insulating bearing and a grounded shaft suit a variable-frequency drive."
             : "An insulating bearing suits a variable-frequency drive. Check that the shaft is "
               "grounded and that the motor cable is screened and earthed at both ends.",
         std::string{sources::practice}});
  else
    p.advice.push_back(
        {"Current", Weighing::caution,
         fmt::format("The motor has a variable-frequency drive and this bearing conducts current: "
                     "look for fluting and grey tracks in the old bearing. The usual remedy is one "
                     "insulating bearing (coated ring or ceramic balls) at the non-drive end{}{}; "
                     "ask the motor manufacturer.",
                     large_motor(p.duty) ? ", advised from 75 kW or shaft height 280 mm" : "",
                     p.duty.shaft_grounded ? "" : ", and a grounding ring or brush on the shaft"),
         std::string{sources::practice}});
}

std::string play_left(double um) {
  const double whole = std::round(um);
  return whole < 0 ? fmt::format("{:.0f} µm below zero", -whole)
                   : fmt::format("{:.0f} µm remaining", std::abs(whole));
}

/// On the seat as measured, where it was.
std::optional<ShaftFit> actual_fit(const ReplacementPlan& p) {
  auto fit = motor_shaft_fit(p.facts.designation);
  if (!fit || !p.duty.shaft_mm) return fit;
  const double over_um = 1000 * (*p.duty.shaft_mm - p.facts.designation.bore_mm);
  fit->code = fmt::format("{:.3f} mm", *p.duty.shaft_mm);
  fit->shaft = {over_um, over_um};
  fit->min_interference_um = over_um - fit->bore.upper_um;
  fit->max_interference_um = over_um - fit->bore.lower_um;
  return fit;
}

/// Why there is no judgement of the clearance.
std::optional<std::string> no_clearance(const ReplacementPlan& p, bool has_fit) {
  const Designation& d = p.facts.designation;
  if (d.type == BearingType::tapered_roller || d.type == BearingType::angular_contact_ball)
    return "it is set when the bearing is mounted, against the one that faces it: follow the "
           "manual "
           "of the motor.";
  if (!p.facts.clearance)
    return fmt::format(
        "the tables hold no clearance {} of {} bearings with {:g} mm bore; ask the "
        "manufacturer.",
        words(d.clearance), words(d.type), d.bore_mm);
  if (!has_fit) return "the fit on the shaft is not known; ask the motor manufacturer.";
  if (!p.facts.size.outside_diameter) return "the outside diameter is not in these tables.";
  return std::nullopt;
}

/// The motor class is chosen together with the fit of the motor: the rule for the other classes
/// finds it too tight where the motor's manufacturer does not.
Advice motor_clearance(const ReplacementPlan& p, const RunningClearance& left) {
  const auto& range = *p.facts.clearance;
  const bool measured = p.duty.shaft_mm.has_value();
  const bool tight = measured && left.likely_um < 0;
  const std::string seat =
      !measured ? "measure the seat (--shaft): without it the remaining clearance is not known."
                : fmt::format("on the measured seat it is at operating temperature probably {}{}.",
                              play_left(left.likely_um),
                              tight ? ": compare the seat with the drawing of the motor" : "");
  return {"Clearance",
          !measured ? Weighing::look_up
          : tight   ? Weighing::caution
                    : Weighing::good,
          fmt::format("CM, {} to {} µm before mounting, is the class of electric motors, narrower "
                      "than normal for low noise. It belongs to the fit of the motor: use it where "
                      "the nameplate, the manual or the old bearing says CM. Then {}",
                      range.low_um, range.high_um, seat),
          range.source +
              "; meaning of CM: manufacturers' catalogues A, G and L; loss by fit and "
              "heat: " +
              std::string{sources::catalogue_a}};
}

void clearance(ReplacementPlan& p) {
  const Designation& d = p.facts.designation;
  if (d.tapered_bore) return;  // with the drive-up
  const auto fit = actual_fit(p);
  if (const auto why = no_clearance(p, fit.has_value())) {
    p.advice.push_back(not_judged("Clearance", *why, "ISO 5753-1 tables held here"));
    return;
  }
  const auto left = running_clearance(*p.facts.clearance, *fit, has_rollers(d.type), d.bore_mm,
                                      *p.facts.size.outside_diameter);
  if (d.clearance == ClearanceClass::cm) {
    p.advice.push_back(motor_clearance(p, left));
    return;
  }
  const bool fine = left.likely_um >= 0;
  std::string text = fmt::format(
      "{}: {} to {} µm before mounting; on a {} shaft at operating temperature probably {}, in the "
      "worst case {}.",
      words(d.clearance), p.facts.clearance->low_um, p.facts.clearance->high_um, fit->code,
      play_left(left.likely_um), play_left(left.min_um));
  if (!fine && d.clearance != ClearanceClass::c3)
    text +=
        " Below zero the bearing is preloaded and runs hot. Motors usually have C3: use it unless "
        "the nameplate or the manual says otherwise.";
  p.advice.push_back(
      {"Clearance", fine ? Weighing::good : Weighing::caution, std::move(text),
       p.facts.clearance->source + "; loss by fit and heat: " + std::string{sources::catalogue_a}});
}

}  // namespace

void advise_on_choice(ReplacementPlan& plan) {
  number_itself(plan);
  speed(plan);
  sides(plan);
  thrust(plan);
  current(plan);
  insulation_test(plan);
  clearance(plan);
}

}  // namespace bearingdsp
