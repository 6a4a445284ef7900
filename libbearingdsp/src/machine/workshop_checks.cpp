#include "bearingdsp/machine/workshop_checks.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>
#include <stdexcept>
#include <utility>

#include "bearingdsp/bearing/designation.hpp"
#include "bearingdsp/machine/cautions.hpp"

namespace bearingdsp {
namespace {

using Checks = std::vector<JudgedCheck>;

std::string with_unit(double v, const std::string& unit, int digits = 3) {
  return fmt::format("{:.{}g}{}{}", v, digits, unit.empty() ? "" : " ", unit);
}

std::string limit_words(const WorkshopLimit& l) {
  if (l.low && l.high) return fmt::format("{:g} to {:g} {}", *l.low, *l.high, l.unit);
  std::string text = l.low    ? fmt::format("at least {:g}", *l.low)
                     : l.high ? fmt::format("at most {:g}", *l.high)
                              : std::string{};
  return l.unit.empty() ? text : text + " " + l.unit;
}

/// Outside a limit: what a limit of this status may say.
CheckOutcome outside(LimitStatus status) {
  return status == LimitStatus::confirmed || status == LimitStatus::derived ? CheckOutcome::bad
                                                                            : CheckOutcome::clarify;
}

JudgedCheck judged(WorkshopCheck check, std::string what, std::string measured) {
  JudgedCheck c;
  c.check = check;
  c.what = std::move(what);
  c.measured = std::move(measured);
  return c;
}

/// `value` in the unit of the limit.
JudgedCheck against(WorkshopCheck check, std::string what, double value, const WorkshopLimit& l,
                    std::string advice) {
  JudgedCheck c = judged(check, std::move(what), with_unit(value, l.unit));
  c.limit = limit_words(l);
  c.status = l.status;
  c.source = l.source;
  const bool low = l.low && value < *l.low;
  const bool high = l.high && value > *l.high;
  c.outcome = low || high ? outside(l.status) : CheckOutcome::good;
  if (!low && !high) return c;
  c.why = low ? "below the limit" : "above the limit";
  if (c.outcome == CheckOutcome::clarify)
    c.why += fmt::format(" ({}): compare with the motor manual", words(l.status));
  c.advice = std::move(advice);
  return c;
}

JudgedCheck no_limit(WorkshopCheck check, std::string what, std::string measured, std::string why) {
  JudgedCheck c = judged(check, std::move(what), std::move(measured));
  c.why = std::move(why);
  c.source = "no limit is held here";
  return c;
}

// --- what cannot be ---

Error refuse(std::string what, std::string advice) {
  return {Errc::bad_argument, "reading", std::move(what), std::move(advice)};
}

struct Bounds {
  std::optional<double> value;
  double low, high;
  std::string_view what, unit;
};

Result<void> within_bounds(std::initializer_list<Bounds> all) {
  for (const Bounds& b : all)
    if (b.value && !(std::isfinite(*b.value) && *b.value >= b.low && *b.value <= b.high))
      return refuse(fmt::format("{} of {:g} {} cannot be", b.what, *b.value, b.unit),
                    fmt::format("give {:g} to {:g} {}", b.low, b.high, b.unit));
  return {};
}

Result<void> possible(const WorkshopReadings& r) {
  return within_bounds(
      {{r.insulation_mohm, 0, 1e7, "insulation resistance", "MΩ"},
       {r.insulation_10_min_mohm, 0, 1e7, "insulation resistance after 10 min", "MΩ"},
       {r.winding_c, -30, 180, "winding temperature", "°C"},
       {r.bearing_insulation_mohm, 0, 1e7, "bearing insulation", "MΩ"},
       {r.machine_insulation_mohm, 0, 1e7, "shaft to frame", "MΩ"},
       {r.machine_insulation_before_mohm, 0, 1e7, "shaft to frame before", "MΩ"},
       {r.machine_insulation_limit_mohm, 0, 1e7, "shaft to frame as specified", "MΩ"},
       {r.runout_mm, 0, 20, "runout", "mm"},
       {r.extension_mm, 3, 1000, "shaft diameter", "mm"},
       {r.spring_n, 0, 1e6, "spring force", "N"},
       {r.end_float_mm, 0, 50, "end float", "mm"},
       {r.rotor_play_mm, 0, 20, "rotor play", "mm"},
       {r.soft_foot_mm, 0, 20, "soft foot", "mm"},
       {r.bearing_c, -40, 300, "bearing temperature", "°C"},
       {r.room_c, -40, 80, "room temperature", "°C"},
       {r.shaft_mv, 0, 1e6, "shaft voltage", "mV"},
       {r.noise_dba, 10, 160, "noise", "dB(A)"},
       {r.noise_limit_dba, 10, 160, "noise limit", "dB(A)"},
       {r.noise_before_dba, 10, 160, "noise before", "dB(A)"},
       {r.offset_mm, 0, 50, "offset", "mm"},
       {r.gap_mm, 0, 50, "gap per 100 mm", "mm"},
       {r.belt_angle_deg, 0, 45, "belt angle", "°"},
       {r.belt_force_n, 0, 1e5, "belt force", "N"},
       {r.small_pulley_mm, 10, 5000, "pulley diameter", "mm"}});
}

/// Those of a machine file have these bounds already; others come from the command line.
Result<void> possible(const WorkshopFacts& f) {
  return within_bounds({{f.rated_v, 1, 1e5, "rated voltage", "V"},
                        {f.rated_a, 0.01, 1e5, "rated current", "A"},
                        {f.service_rpm, 1, 1e6, "speed of the coupled machine", "rpm"},
                        {f.ambient_c, -60, 150, "temperature of the place", "°C"},
                        {f.bore_mm, 0.1, 1e4, "bore", "mm"},
                        {f.play_low_mm, -20, 20, "least clearance", "mm"},
                        {f.play_high_mm, -20, 20, "largest clearance", "mm"}});
}

Result<void> three(const std::vector<double>& v, std::string_view what) {
  const bool positive = std::all_of(v.begin(), v.end(), [](double x) { return x > 0 && x < 1e9; });
  if (v.empty() || (v.size() == 3 && positive)) return {};
  return refuse(fmt::format("{} needs three values above 0", what), "give A,B,C");
}

Result<void> belong_together(const WorkshopReadings& r) {
  if (r.insulation_10_min_mohm && !r.insulation_mohm)
    return refuse("insulation after 10 min without that after 1 min", "give both: 1 min,10 min");
  if (r.insulation_mohm && !r.winding_c)
    return refuse("the insulation resistance depends on the temperature of the winding",
                  "give it: --winding-temperature");
  if (r.runout_mm && !r.extension_mm)
    return refuse("the runout limit depends on the diameter of the shaft extension",
                  "give it: --shaft-diameter");
  if ((r.machine_insulation_before_mohm || r.machine_insulation_limit_mohm) &&
      !r.machine_insulation_mohm)
    return refuse("shaft to frame before, or as specified, without the reading",
                  "give it: --machine-insulation");
  if ((r.noise_limit_dba || r.noise_before_dba) && !r.noise_dba)
    return refuse("noise limit or noise before without the reading", "give it: --noise-level");
  if (r.key && !r.mark)
    return refuse("the key is judged by the mark on the shaft end", "give it: --mark");
  if (r.belt_force_n && !r.belt_toothed && (!r.belt_section || !r.small_pulley_mm))
    return refuse("the belt force depends on section and small pulley",
                  "give them: --belt-section and --small-pulley");
  return {};
}

// --- electrical ---

void judge_insulation(Checks& out, const WorkshopReadings& r, const WorkshopFacts& f) {
  constexpr auto check = WorkshopCheck::insulation_resistance;
  if (!r.insulation_mohm) return;
  const double halved =
      *r.insulation_mohm * insulation_factor_to_40(*r.winding_c, InsulationRule::halving);
  const double resin =
      *r.insulation_mohm * insulation_factor_to_40(*r.winding_c, InsulationRule::thermosetting);
  const WorkshopLimit& l = *workshop_limit(check, "minimum", f.rated_v.value_or(400));
  JudgedCheck c = judged(check, "Insulation resistance at 40 °C",
                         fmt::format("{:.3g} MΩ (read {:.3g} MΩ at {:g} °C, halving rule; {:.3g} "
                                     "MΩ by the rule of thermosetting resin)",
                                     halved, *r.insulation_mohm, *r.winding_c, resin));
  c.limit = limit_words(l);
  c.status = l.status;
  c.source = l.source + "; thermosetting rule: from memory";
  const bool low = halved < *l.low;
  const bool both = low == (resin < *l.low);
  c.outcome = !both ? CheckOutcome::clarify : low ? CheckOutcome::bad : CheckOutcome::good;
  if (c.outcome != CheckOutcome::good) {
    c.why = both ? "below the limit by both rules"
                 : "the two rules disagree: which holds depends on the insulation";
    c.advice =
        "Winding: clean it, dry it (not above 90 °C), measure again warm, near 40 °C, where the "
        "rules agree. Do not connect it meanwhile.";
  } else if (!f.rated_v) {
    c.why = "rated voltage not given: taken as up to 1000 V";
  }
  out.push_back(std::move(c));
}

void judge_polarisation(Checks& out, const WorkshopReadings& r, const WorkshopFacts& f) {
  constexpr auto check = WorkshopCheck::polarisation_index;
  if (!r.insulation_10_min_mohm) return;
  if (!(*r.insulation_mohm > 0)) return;  // said by the resistance itself
  const double index = *r.insulation_10_min_mohm / *r.insulation_mohm;
  const double at_40 =
      *r.insulation_mohm * insulation_factor_to_40(*r.winding_c, InsulationRule::halving);
  const WorkshopLimit& most = *workshop_limit(check, "not judged above");
  if (at_40 > *most.high) {
    out.push_back(no_limit(check, "Polarisation index", with_unit(index, ""),
                           fmt::format("above {:g} MΩ the index says nothing", *most.high)));
    return;
  }
  out.push_back(against(check, "Polarisation index (10 min / 1 min)", index,
                        *workshop_limit(check, f.class_a ? "class A" : "class B F H"),
                        "Winding: moisture or dirt. Clean, dry, measure again."));
}

void judge_windings(Checks& out, const WorkshopReadings& r) {
  if (r.winding_ohm.empty()) return;
  constexpr auto check = WorkshopCheck::winding_balance;
  out.push_back(against(check, "Winding resistance, largest deviation from the mean",
                        imbalance_percent(r.winding_ohm),
                        *workshop_limit(check, "deviation from the mean"),
                        "Winding resistance: check terminals, links and cable joints, measure "
                        "again with four wires; then have the winding tested."));
}

void judge_bearing_insulation(Checks& out, const WorkshopReadings& r) {
  if (!r.bearing_insulation_mohm) return;
  constexpr auto check = WorkshopCheck::bearing_insulation;
  JudgedCheck c = against(check, "Bearing insulation, ring to ring", *r.bearing_insulation_mohm,
                          *workshop_limit(check, "ring to ring"),
                          "Bearing insulation: clean and dry the bearing and measure again.");
  const WorkshopLimit& failed = *workshop_limit(check, "failed");
  if (*r.bearing_insulation_mohm >= *failed.low && c.outcome == CheckOutcome::bad) {
    c.outcome = CheckOutcome::clarify;
    c.why = fmt::format("less than a new one, more than a failed one (below {:g} MΩ)", *failed.low);
  } else if (c.outcome == CheckOutcome::bad) {
    c.why = "the layer is bridged or has failed";
    c.advice = "Bearing insulation: do not mount it, order another one.";
  }
  out.push_back(std::move(c));
}

/// No standard is held here: the specification decides, without one a value from memory asks.
void judge_machine_insulation(Checks& out, const WorkshopReadings& r) {
  if (!r.machine_insulation_mohm) return;
  constexpr auto check = WorkshopCheck::machine_insulation;
  const double now = *r.machine_insulation_mohm;
  WorkshopLimit l = *workshop_limit(check, "shaft to frame");
  if (r.machine_insulation_limit_mohm) {
    l.low = *r.machine_insulation_limit_mohm;
    l.status = LimitStatus::confirmed;
    l.source = "limit from the data sheet or specification, as given";
  }
  JudgedCheck c =
      against(check, "Bearing insulation in the machine, shaft to frame", now, l,
              "Bearing insulation: lift the other paths (coupling, other bearing, brush, "
              "sensor cables), clean and dry the end shield, measure again.");
  if (const auto& before = r.machine_insulation_before_mohm; before && *before > 0) {
    c.measured += fmt::format(" ({:.3g} MΩ before)", *before);
    if (c.outcome == CheckOutcome::good && now < *before / 10) {
      c.outcome = CheckOutcome::clarify;
      c.why = "less than a tenth of the value before: find out what conducts (common practice)";
      c.advice = "Bearing insulation: clean and dry it, measure again.";
    }
  }
  out.push_back(std::move(c));
}

void judge_shaft_voltage(Checks& out, const WorkshopReadings& r, const WorkshopFacts& f) {
  if (!r.shaft_mv) return;
  constexpr auto check = WorkshopCheck::shaft_voltage;
  if (f.variable_speed) {
    out.push_back(
        no_limit(check, "Shaft voltage", with_unit(*r.shaft_mv, "mV rms"),
                 "supplied by a drive: its rms says little; look at the discharges with an "
                 "oscilloscope (5 to 30 V peak are usual, from memory), and rely on an "
                 "insulated bearing and a grounding ring"));
    return;
  }
  out.push_back(against(check, "Shaft voltage, end to end", *r.shaft_mv,
                        *workshop_limit(check, "mains fed"),
                        "Shaft voltage: insulate the bearing at the non-drive end, check its "
                        "insulation, ground the shaft at the drive end."));
}

void judge_current(Checks& out, const WorkshopReadings& r, const WorkshopFacts& f) {
  if (r.current_a.empty()) return;
  constexpr auto check = WorkshopCheck::no_load_current;
  const double mean = std::accumulate(r.current_a.begin(), r.current_a.end(), 0.0) / 3;
  if (f.rated_a)
    out.push_back(against(check, "No-load current, part of the rated", 100 * mean / *f.rated_a,
                          *workshop_limit(check, "share of the rated"),
                          "No-load current: compare voltage and connection (star or delta) with "
                          "the nameplate; then a rubbing rotor or a wrong winding."));
  else
    out.push_back(no_limit(check, "No-load current", with_unit(mean, "A"),
                           "the rated current is not given: rated_a in the machine file, or "
                           "--rated-current"));
  out.push_back(against(check, "No-load current, imbalance of the lines",
                        imbalance_percent(r.current_a), *workshop_limit(check, "imbalance"),
                        "Current imbalance: measure the three voltages; swap the lines: an "
                        "imbalance that stays with the winding is of the motor."));
}

// --- mechanical ---

void judge_shaft(Checks& out, const WorkshopReadings& r, const WorkshopFacts& f) {
  if (r.runout_mm) {
    constexpr auto check = WorkshopCheck::shaft_runout;
    const auto* l = workshop_limit(check, "extension", *r.extension_mm);
    out.push_back(l == nullptr
                      ? no_limit(check, "Shaft runout", with_unit(*r.runout_mm, "mm"),
                                 "the table holds 6 to 630 mm: ask the motor manufacturer")
                      : against(check, "Shaft runout, mid extension", *r.runout_mm, *l,
                                "Bent shaft or end: have it straightened or replaced before "
                                "anything is fitted to it."));
  }
  if (r.spring_n) {
    constexpr auto check = WorkshopCheck::preload_spring;
    const WorkshopLimit& l = *workshop_limit(check, "force");
    out.push_back(f.bore_mm
                      ? against(check, "Preload spring, per mm of bore", *r.spring_n / *f.bore_mm,
                                l, "Preload spring: replace it by the type in the parts list.")
                      : no_limit(check, "Preload spring", with_unit(*r.spring_n, "N"),
                                 "the bore of the bearing is not known: give the designation"));
  }
}

void judge_cooling(Checks& out, const WorkshopReadings& r) {
  if (!r.cooling_good) return;
  JudgedCheck c = judged(WorkshopCheck::cooling, "Fan and cooling",
                         *r.cooling_good ? "whole and clean" : "blocked or damaged");
  c.limit = "whole and clean";
  c.source = "common practice, no source";
  c.outcome = *r.cooling_good ? CheckOutcome::good : CheckOutcome::clarify;
  if (!*r.cooling_good) {
    c.why = "a motor without cooling air runs hot: each 15 K above 70 °C halve the life of grease";
    c.advice = "Fan and cooling: free fins, cover and fan; replace a damaged fan by the same type.";
  }
  out.push_back(std::move(c));
}

void judge_play(Checks& out, const WorkshopReadings& r, const WorkshopFacts& f) {
  if (r.end_float_mm) {
    constexpr auto check = WorkshopCheck::end_float;
    out.push_back(against(check, "End float", *r.end_float_mm,
                          *workshop_limit(check, "spring loaded"),
                          "End float: check that one bearing locates the shaft, the other is free, "
                          "and the spring is fitted."));
  }
  if (!r.rotor_play_mm) return;
  constexpr auto check = WorkshopCheck::rotor_play;
  if (!f.play_high_mm) {
    out.push_back(no_limit(check, "Rotor play", with_unit(*r.rotor_play_mm, "mm"),
                           "the clearance of the mounted bearing is not known: give the "
                           "designation"));
    return;
  }
  // A dial indicator at the shaft reads the clearance and what bends.
  const WorkshopLimit l{std::string{token(check)},
                        "radial",
                        {},
                        {},
                        {},
                        *f.play_high_mm,
                        "mm",
                        LimitStatus::derived,
                        "largest clearance of the class minus 70 % of the least interference"};
  JudgedCheck c = against(check, "Rotor play, radial", *r.rotor_play_mm, l,
                          "Rotor play: compare designation and clearance class; measure seat and "
                          "housing again.");
  if (c.outcome == CheckOutcome::good && f.play_low_mm && *f.play_low_mm > 0 &&
      *r.rotor_play_mm < *f.play_low_mm) {
    c.outcome = CheckOutcome::clarify;
    c.why =
        "less than the tightest fit leaves: the shaft was not lifted through, or the bearing "
        "is preloaded";
    c.advice = "Rotor play: lift until the indicator stops; if it stays, look for a tight seat.";
  }
  out.push_back(std::move(c));
}

void judge_feet_and_key(Checks& out, const WorkshopReadings& r) {
  if (r.soft_foot_mm) {
    constexpr auto check = WorkshopCheck::soft_foot;
    out.push_back(against(check, "Soft foot, largest movement", *r.soft_foot_mm,
                          *workshop_limit(check, "movement"),
                          "Soft foot: clean base and feet, then stainless shims, at most four in a "
                          "stack; align again."));
  }
  if (!r.mark || !r.key) return;
  JudgedCheck c =
      judged(WorkshopCheck::key_mark, "Key in the no-load run", std::string{words(*r.key)});
  c.limit = fmt::format("as the shaft end is marked: {}", words(*r.mark));
  c.status = LimitStatus::confirmed;
  c.source = "ISO 21940-32, abstract; H and F: a motor manufacturer's data sheet; N from memory";
  c.outcome = *r.key == *r.mark ? CheckOutcome::good : CheckOutcome::bad;
  if (c.outcome == CheckOutcome::bad) {
    c.why = "the wrong key is an unbalance that the motor does not have";
    c.advice =
        "Key: " + cautioned(StepKind::work, "Then fit the key of the mark, run again.", true);
  }
  out.push_back(std::move(c));
}

// --- the run ---

void judge_heat(Checks& out, const WorkshopReadings& r, const WorkshopFacts& f) {
  if (!r.bearing_c) return;
  constexpr auto check = WorkshopCheck::temperature;
  const std::string advice =
      "Bearing temperature: stop. Too much grease, too little clearance, a tight housing or a "
      "rubbing seal.";
  out.push_back(against(check, "Bearing housing after 1 h", *r.bearing_c,
                        *workshop_limit(check, "bearing housing"), advice));
  const auto room = r.room_c ? r.room_c : f.ambient_c;
  if (!room) {
    out.push_back(no_limit(check, "Rise above the room", "",
                           "the temperature of the room is not given: --room, or ambient_c in the "
                           "machine file"));
    return;
  }
  const double rise = *r.bearing_c - *room;
  JudgedCheck c =
      against(check, "Rise above the room after 1 h", rise, *workshop_limit(check, "rise"), advice);
  if (c.outcome == CheckOutcome::good)
    c = against(check, "Rise above the room after 1 h", rise,
                *workshop_limit(check, "rise at no load"), advice);
  if (!r.room_c && c.why.empty())
    c.why = fmt::format("room as in the machine file: {:g} °C", *room);
  out.push_back(std::move(c));
}

void judge_noise_level(Checks& out, const WorkshopReadings& r) {
  if (!r.noise_dba) return;
  constexpr auto check = WorkshopCheck::noise;
  const WorkshopLimit& tolerance = *workshop_limit(check, "tolerance");
  if (r.noise_before_dba) {
    WorkshopLimit l = tolerance;
    l.high = *r.noise_before_dba + *l.high;
    l.status = LimitStatus::practice;
    l.source = "the value before, measured in the same place; common practice";
    JudgedCheck c = against(check, "Noise at 1 m (limit from the value before)", *r.noise_dba, l,
                            "Noise: compare load, speed and place of both readings; then listen "
                            "which it is: hum that stops with the power, air, or the bearings.");
    c.limit += fmt::format(" ({:g} before, and 3)", *r.noise_before_dba);
    out.push_back(std::move(c));
  }
  if (!r.noise_limit_dba) {
    if (!r.noise_before_dba)
      out.push_back(no_limit(check, "Noise at 1 m", with_unit(*r.noise_dba, "dB(A)"),
                             "limit from the data sheet or specification: --noise-limit; or the "
                             "value before: --noise-before"));
    return;
  }
  WorkshopLimit l = tolerance;
  l.high = *r.noise_limit_dba + *l.high;
  JudgedCheck c = against(check, "Noise at 1 m", *r.noise_dba, l,
                          "Noise: listen which it is: hum that stops with the power, air, or the "
                          "bearings; measure again away from walls and other machines.");
  c.limit += fmt::format(" ({:g} stated, tolerance 3)", *r.noise_limit_dba);
  out.push_back(std::move(c));
}

// --- coupled ---

void judge_coupling(Checks& out, const WorkshopReadings& r, const WorkshopFacts& f) {
  if (!r.offset_mm && !r.gap_mm) return;
  constexpr auto check = WorkshopCheck::coupling_alignment;
  const std::string advice =
      "Alignment: soft foot first, then align at operating temperature; the coupling "
      "manufacturer's values come first, a rigid coupling allows none.";
  if (!f.service_rpm) {
    out.push_back(no_limit(check, "Coupling alignment", "",
                           "the limit depends on the speed in service: rated_rpm in the machine "
                           "file, or --service-rpm"));
    return;
  }
  WorkshopLimit l = *workshop_limit(check, "sliding speed");
  const double tolerance = coupling_tolerance_mm(*f.service_rpm);
  l.high = std::round(1000 * tolerance) / 1000;
  l.unit = "mm";
  double used = 0;
  if (r.offset_mm) {
    out.push_back(against(check, "Coupling, offset", *r.offset_mm, l, advice));
    used += *r.offset_mm / tolerance;
  }
  if (r.gap_mm) {
    l.unit = "mm per 100 mm";
    l.status = LimitStatus::practice;
    out.push_back(against(check, "Coupling, gap", *r.gap_mm, l, advice));
    used += *r.gap_mm / tolerance;
  }
  JudgedCheck& last = out.back();
  if (used > 1 && last.outcome == CheckOutcome::good) {
    last.outcome = CheckOutcome::clarify;
    last.why = fmt::format("offset and gap together take {:.0f} % of what either may take alone",
                           100 * used);
    last.advice = advice;
  }
}

void judge_belt(Checks& out, const WorkshopReadings& r) {
  if (r.belt_angle_deg) {
    constexpr auto check = WorkshopCheck::belt_alignment;
    out.push_back(against(check, "Pulleys, angle", *r.belt_angle_deg,
                          *workshop_limit(check, r.belt_toothed ? "toothed belt" : "V-belt"),
                          "Pulleys: align them with a straightedge or laser, then tension again."));
  }
  if (!r.belt_force_n) return;
  constexpr auto check = WorkshopCheck::belt_tension;
  const auto* l =
      r.belt_toothed ? nullptr : workshop_limit(check, token(*r.belt_section), *r.small_pulley_mm);
  if (l == nullptr) {
    out.push_back(no_limit(check, "Belt, force at mid-span", with_unit(*r.belt_force_n, "N"),
                           r.belt_toothed
                               ? "the table is of plain V-belts: ask the belt manufacturer"
                               : "the table does not hold this pulley for this section: ask the "
                                 "belt manufacturer"));
    return;
  }
  WorkshopLimit range = *l;
  // Up to 150 % of the force of a used belt; a new one begins there and may have twice it.
  if (r.belt_new) {
    range.low = *l->high;
    range.high = 2 * *l->low;
  }
  out.push_back(against(
      check,
      fmt::format("Belt, force for 16 mm per metre of span ({})", r.belt_new ? "new" : "used"),
      *r.belt_force_n, range,
      "Belt tension: too tight loads the drive-end bearing, too loose slips. " +
          cautioned(StepKind::work, "Then set it, turn ten revolutions, measure again.", true)));
}

}  // namespace

std::string source_words(std::string_view what, LimitStatus status, std::string_view source) {
  return source.starts_with(words(status)) ? fmt::format("{}: {}", what, source)
                                           : fmt::format("{}: {}; {}", what, words(status), source);
}

std::string source_words(const JudgedCheck& check) {
  return source_words(check.what, check.status, check.source);
}

double insulation_factor_to_40(double winding_c, InsulationRule rule) {
  if (!(winding_c > -40 && winding_c < 200))
    throw std::invalid_argument{"insulation_factor_to_40: temperature"};
  if (rule == InsulationRule::halving) return std::exp2((winding_c - 40) / 10);
  const double slope = winding_c <= 40 ? 4230 : 1245;
  return std::exp(-slope * (1 / (winding_c + 273) - 1.0 / 313));
}

double coupling_tolerance_mm(double rpm) {
  if (!(rpm > 0)) throw std::invalid_argument{"coupling_tolerance_mm: speed"};
  constexpr auto check = WorkshopCheck::coupling_alignment;
  const WorkshopLimit& tabled = *workshop_limit(check, "offset");
  const double sliding = *workshop_limit(check, "sliding speed")->high;
  return std::clamp(sliding / (2 * std::numbers::pi * rpm / 60), *tabled.low, *tabled.high);
}

double imbalance_percent(std::span<const double> values) noexcept {
  if (values.empty()) return 0;
  const double mean =
      std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
  double most = 0;
  for (const double v : values) most = std::max(most, std::abs(v - mean));
  return mean == 0 ? 0 : 100 * most / mean;
}

double belt_pull_of_span_n(double kg_per_m, double span_m, double hz) noexcept {
  return 4 * kg_per_m * span_m * span_m * hz * hz;
}

WorkshopFacts workshop_facts(const Machine& m, MachineEnd end) {
  WorkshopFacts f;
  if (m.rated_voltage) f.rated_v = m.rated_voltage->value();
  if (m.rated_current) f.rated_a = m.rated_current->value();
  if (m.speed_range)
    f.service_rpm = m.speed_range->highest.value();
  else if (m.rated_speed)
    f.service_rpm = m.rated_speed->value();
  if (m.ambient) f.ambient_c = m.ambient->value();
  f.variable_speed = m.drive == Drive::vfd;
  const auto& bearing = m.bearing(end);
  const auto readings = bearing ? read_designation(bearing->designation)
                                : Result<std::vector<Designation>>{std::vector<Designation>{}};
  if (readings && readings->size() == 1) f.bore_mm = readings->front().bore_mm;
  return f;
}

Result<std::vector<JudgedCheck>> judge_readings(const WorkshopReadings& r, const WorkshopFacts& f) {
  if (auto ok = possible(r); !ok) return ok.error();
  if (auto ok = possible(f); !ok) return ok.error();
  if (auto ok = three(r.winding_ohm, "the winding resistance"); !ok) return ok.error();
  if (auto ok = three(r.current_a, "the no-load current"); !ok) return ok.error();
  if (auto ok = belong_together(r); !ok) return ok.error();
  Checks out;
  judge_insulation(out, r, f);
  judge_polarisation(out, r, f);
  judge_windings(out, r);
  judge_bearing_insulation(out, r);
  judge_shaft(out, r, f);
  judge_cooling(out, r);
  judge_play(out, r, f);
  judge_machine_insulation(out, r);
  judge_feet_and_key(out, r);
  judge_current(out, r, f);
  judge_heat(out, r, f);
  judge_shaft_voltage(out, r, f);
  judge_noise_level(out, r);
  judge_coupling(out, r, f);
  judge_belt(out, r);
  return out;
}

}  // namespace bearingdsp
