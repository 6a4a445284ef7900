#include "bearingdsp/replacement/job_card.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>
#include <utility>

#include "bearingdsp/machine/limits.hpp"
#include "bearingdsp/machine/workshop_checks.hpp"
#include "bearingdsp/replacement/machine_duty.hpp"

namespace bearingdsp {
namespace {

using Steps = std::vector<JobStep>;

const std::string blank = "________";

/// A step with the cautions of what is done in it.
JobStep job_step(const ReplacementPlan& p, std::string text,
                 const std::vector<StepKind>& tasks = {}, std::string brief = {}) {
  return {std::move(text), cautions_for(tasks, dangers_of(p)), std::move(brief)};
}

/// To both forms of a step.
void add_words(JobStep& step, std::string_view words) {
  step.text += words;
  if (!step.brief.empty()) step.brief += words;
}

std::string seat_limits(const ReplacementPlan& p) {
  if (p.facts.designation.tapered_bore) return "tapered seat: check the contact with marking blue";
  if (!p.fit) return blank + " mm (ask the motor manufacturer for the fit)";
  const double bore = p.facts.designation.bore_mm;
  return fmt::format("{:.3f} to {:.3f} mm ({})", bore + p.fit->shaft.lower_um / 1000,
                     bore + p.fit->shaft.upper_um / 1000, p.fit->code);
}

std::string housing_limits(const ReplacementPlan& p) {
  const auto& outside = p.facts.size.outside_diameter;
  const auto h6 = outside ? fit_deviations("h6", *outside) : std::nullopt;
  const auto h7 = outside ? fit_deviations("h7", *outside) : std::nullopt;
  if (!h6 || !h7) return blank + " mm (ask the motor manufacturer for the fit)";
  return fmt::format("{:.3f} to {:.3f} mm (H6; the motor's manual may allow H7: up to {:.3f} mm)",
                     *outside, *outside - h6->lower_um / 1000, *outside - h7->lower_um / 1000);
}

std::string heat_limit(const ReplacementPlan& p) {
  if (!p.heat) return blank + " °C (find the fit first; never above 120 °C)";
  const std::string limit =
      fmt::format("{:.0f} °C, never above {:g} °C", p.heat->aim_c, hottest_bearing_c);
  const bool closed = p.facts.designation.closure != Closure::open;
  return closed && p.heat->aim_c > hottest_closed_c
             ? fmt::format(
                   "{} (sealed or shielded bearing: above {:g} °C only if the manufacturer allows "
                   "it)",
                   limit, hottest_closed_c)
             : limit;
}

std::string press_words(const ReplacementPlan& p) {
  return p.press ? fmt::format("about {:.2g} kN at the tightest fit", p.press->on_n / 1000)
                 : blank + " kN";
}

/// Of the sheet's head: how the bearing goes on.
std::string heat_to(const ReplacementPlan& p) {
  if (p.facts.designation.tapered_bore) return "not heated: driven up the taper";
  return p.cold ? "not needed: pressed on cold, " + press_words(p) : heat_limit(p);
}

/// What a smaller seat needs: the card is printed before it can be measured.
std::string heat_by_seat(const ReplacementPlan& p) {
  if (!p.fit || !p.heat || p.duty.shaft_mm) return "";
  const double bore = p.facts.designation.bore_mm;
  const auto at = [&](double over_um) {
    return fmt::format("{:.3f} mm: {:.0f} °C", bore + over_um / 1000,
                       heating(over_um - p.fit->bore.lower_um, bore, p.duty.workshop_c).aim_c);
  };
  const Deviations& seat = p.fit->shaft;
  return fmt::format(" For the measured seat, at {:g} °C workshop temperature: {}; {}; {}.",
                     p.duty.workshop_c, at(seat.lower_um),
                     at(std::round(0.5 * (seat.lower_um + seat.upper_um))), at(seat.upper_um));
}

/// What a person types to have the recordings judged; what the recorder decides stays blank unless
/// the machine file knows it.
std::string command_for(const ReplacementPlan& p, std::string_view what,
                        const std::optional<Rpm>& speed) {
  if (!p.duty.machine_words.empty())
    return fmt::format("bearingdsp {} {}{}", what, p.duty.machine_words,
                       speed ? fmt::format(" --rpm {:.0f}", speed->value()) : "");
  return fmt::format("bearingdsp {} {} --rpm {} --unit {}", what,
                     fmt::format("--bearing \"{}\"", p.facts.designation.text()),
                     speed ? fmt::format("{:.0f}", speed->value()) : blank, blank);
}

std::string size_text(const BearingSize& s) {
  const auto part = [](const std::optional<double>& v) {
    return v ? fmt::format("{:g}", *v) : blank;
  };
  return fmt::format("{:g} x {} x {} mm", s.bore, part(s.outside_diameter), part(s.width));
}

std::string shaft_micrometer(double bore) {
  const double low = 25 * std::floor(bore / 25);
  return fmt::format("micrometer {:g}-{:g} mm for the shaft", low, low + 25);
}

JobSection make_safe(const ReplacementPlan& p) {
  return {"1. Make safe",
          {job_step(p, "Inform the operator; stop the machine by its normal procedure."),
           job_step(p,
                    "Isolate electrically, lock out and tag every source (supply, drive, heaters, "
                    "brake); keep your own key.",
                    {StepKind::isolate}),
           job_step(p, "Try to start the machine: it must not start. Set the switch back to off."),
           job_step(p, "Prove dead with a tested instrument, then disconnect and mark the cables.",
                    {StepKind::prove_dead}),
           job_step(p,
                    "Let the motor cool: below 45 °C, measured, before you touch it with bare "
                    "hands.",
                    {StepKind::hot_surface})}};
}

/// Decisions that have to be made before the bearing is ordered; the heat of a closed bearing is
/// said where it is heated.
bool to_settle(const Advice& a) {
  return (a.weighing == Weighing::caution || a.weighing == Weighing::wrong) &&
         !a.topic.starts_with("Heating");
}

/// Of an advice: what matters first. "mm. The" ends a sentence, "No. 2" does not.
std::string first_sentence(const std::string& text) {
  for (std::size_t at = text.find(". "); at != std::string::npos; at = text.find(". ", at + 2))
    if (at + 2 < text.size() && text[at + 2] >= 'A' && text[at + 2] <= 'Z')
      return text.substr(0, at + 1);
  return text;
}

JobSection record_first(const ReplacementPlan& p) {
  std::string before =
      p.duty.points.empty()
          ? std::string{"Record the vibration before you stop it, on both bearing housings, "
                        "horizontal, vertical and axial"}
          : fmt::format("Record the vibration before you stop it, at every measuring point ({})",
                        fmt::join(p.duty.points, ", "));
  if (p.duty.speed) before += fmt::format(" and at {:.0f} rpm", p.duty.speed->value());
  Steps s;
  for (const Advice& a : p.advice)
    if (to_settle(a))
      s.push_back({fmt::format("Clarify first: {}: {}", a.topic, a.text),
                   {},
                   fmt::format("Clarify first: {}: {}", a.topic, first_sentence(a.text))});
  s.push_back(job_step(
      p,
      "Mark the sensor position: bare clean metal of the bearing housing, stud or strong magnet, "
      "not held by hand. Use the same position after the work; otherwise the recordings cannot be "
      "compared.",
      {StepKind::running_machine},
      "Mark the sensor position: bare clean metal of the housing, stud or strong magnet. The same "
      "position after the work."));
  s.push_back(
      job_step(p,
               before + "; warm, at its usual load, 10 s or more each, 20 000 samples/s or more. "
                        "Keep the files: section 7 compares with them.",
               {}, before + "; warm, usual load, 10 s or more each. Keep the files."));
  s.push_back(job_step(
      p,
      "Check that the new bearing is available, in its wrapping, and that its designation is " +
          p.facts.designation.text() + ", or as clarified above. Leave it wrapped." +
          (p.facts.designation.type == BearingType::cylindrical_roller
               ? " Inner ring and outer ring with rollers are of one manufacturer and one bearing."
               : ""),
      {},
      "New bearing at hand, wrapped, and its designation is " + p.facts.designation.text() + "."));
  return {"0. Before the stop", std::move(s)};
}

JobSection take_apart(const ReplacementPlan& p) {
  Steps s{
      job_step(
          p,
          "Mark the end shields against the frame, the coupling halves against each other, and "
          "shims by foot."),
      job_step(
          p,
          "Uncouple. If the motor is moved: unbolt the feet and lift the motor by its eyebolt, "
          "fully screwed in. Weight on the nameplate: " +
              blank + " kg.",
          {StepKind::lift_motor},
          "Uncouple. If the motor is moved: unbolt it, lift it by its eyebolt, fully screwed "
          "in."),
      job_step(p, "Remove coupling or pulley, fan cover and fan; use a puller, do not hammer.",
               {StepKind::pull}),
      job_step(p,
               "Remove the bearing covers, then the end shields; pull the rotor out level, without "
               "touching the winding.",
               {StepKind::open_motor, StepKind::lift_rotor}),
      job_step(p,
               "Measure and note the distance of the old bearing from the shaft end: " + blank +
                   " mm; and which face points outward.",
               {},
               "Note the distance of the old bearing from the shaft end, and which face points "
               "outward."),
      job_step(
          p,
          "Remove the axial retention of the bearing on the shaft: snap ring, or nut with lock "
          "washer.",
          {StepKind::loose_spring}),
      job_step(p,
               "Pull the old bearing off with the claws behind the inner ring and the screw on a "
               "pad in the shaft centre.",
               {StepKind::pull_bearing})};
  if (p.duty.belt_drive)
    s.insert(s.begin() + 1, job_step(p, "Slacken the belt fully before you loosen anything else.",
                                     {StepKind::slacken_belt}));
  JobStep& pull = s.back();
  if (p.facts.designation.type == BearingType::cylindrical_roller)
    add_words(
        pull,
        " The outer ring with its rollers comes off with the end shield; the inner ring stays on "
        "the shaft: pull it off or heat it off.");
  if (p.facts.designation.type == BearingType::tapered_roller)
    add_words(pull,
              " The outer ring stays in the end shield: drive it out evenly through the openings, "
              "or pull it.");
  return {"2. Disassemble", std::move(s)};
}

JobSection look_at_old(const ReplacementPlan& p) {
  const bool count = p.facts.candidates.size() > 1;
  return {
      "3. Look at the old bearing",
      {job_step(p,
                "Do not wash it yet. Note colour, smell and hardness of the grease, and any water "
                "or metal in it.",
                {}, "Do not wash it yet. Note the grease: colour, smell, water, metal."),
       job_step(p,
                "Read the full designation on the rings: " + blank +
                    ". If it differs from the card, stop and clarify." +
                    (count ? " Count the balls or rollers of a row, the designation does not "
                             "define it: " +
                                 blank + "."
                           : std::string{}),
                {},
                std::string{"Read the full designation on the rings"} +
                    (count ? " and count the balls or rollers of a row" : "") +
                    ". If it differs, stop and clarify."),
       job_step(p,
                "Look at both raceways, elements, cage, bore and outside: flakes, grooves, dents, "
                "rust, red powder, blue colour. Photograph the load zone.",
                {StepKind::cut},
                "Look at raceways, elements, cage, bore and outside. Photograph the load zone."),
       job_step(p,
                "Find out why it failed: 'bearingdsp cause' lists what to look for, 'bearingdsp "
                "cause --seen WORDS' gives the likely cause. Remove the cause, or the next bearing "
                "fails too.",
                {}, "Find out why it failed (bearingdsp cause), and remove the cause.")}};
}

/// A seat of the next grade is a matter for the drawing, not for the grinder.
std::string outside_limits(const ReplacementPlan& p) {
  if (p.duty.explosion_protected)
    return "Out of limits: stop. On an explosion-protected motor only the licensed workshop "
           "decides "
           "what may be restored.";
  const double bore = p.facts.designation.bore_mm;
  const auto wider = p.fit ? fit_deviations(wider_grade(p.fit->code), bore) : std::nullopt;
  return (wider ? fmt::format("Shaft up to {:.3f} mm ({}): compare with the drawing of the motor. "
                              "Further out of limits: stop",
                              bore + wider->upper_um / 1000, wider_grade(p.fit->code))
                : std::string{"Out of limits: stop"}) +
         ", have the seat restored. No centre-punching, and normally no retaining compound.";
}

JobSection check_seats(const ReplacementPlan& p) {
  return {
      "4. Clean and check the seats",
      {job_step(p,
                "Clean shaft, shoulder, housing and covers with lint-free cloth; deburr with an "
                "oilstone, never a file or emery on the seat.",
                {StepKind::solvent}),
       job_step(p,
                "Measure the shaft seat at three positions, in two directions, at workshop "
                "temperature: must be " +
                    seat_limits(p) + ". Measured: " + blank + " mm.",
                {}, "Measure the shaft seat, 3 positions, 2 directions: " + seat_limits(p) + "."),
       job_step(p,
                "Measure the housing bore at two positions, in two directions: must be " +
                    housing_limits(p) + ". Measured: " + blank + " mm.",
                {},
                "Measure the housing bore, 2 positions, 2 directions: " + housing_limits(p) + "."),
       job_step(p, outside_limits(p)),
       job_step(p, p.facts.size.chamfer
                       ? fmt::format("Fillet at the shoulder smaller than {:g} mm, no burr: the "
                                     "ring must seat against the shoulder.",
                                     *p.facts.size.chamfer)
                       : std::string{"Fillet at the shoulder smaller than the chamfer of the "
                                     "bearing, no burr."}),
       job_step(p,
                "Replace seals, spring washer and gaskets. Shaft runout, spring, fan: see the "
                "check sheets (bearingdsp checks).",
                {}, "Replace seals, spring washer and gaskets (more: bearingdsp checks).")}};
}

JobStep heating_step(const ReplacementPlan& p) {
  const std::string how = p.cold ? "Or heat the bearing to " : "Heat the bearing to ";
  std::vector<StepKind> kinds{StepKind::hot_bearing};
  if (p.cold) kinds.push_back(StepKind::force_on_ring);
  const std::string then =
      p.cold
          ? " Then slide it on in one movement, square, up to the shoulder, and hold it until it "
            "grips."
          : "";
  return job_step(
      p,
      how + heat_limit(p) + "." + heat_by_seat(p) +
          " Probe on the inner ring; demagnetise before you lift it. A small bearing takes a few "
          "minutes on an induction heater, half an hour on a hot plate. Have shaft, sleeve and "
          "gloves ready first: the bearing grips within seconds." +
          then,
      kinds,
      how + heat_limit(p) + "." + (p.cold ? "" : heat_by_seat(p)) +
          " Demagnetise before you lift it." +
          (p.cold ? then : " Shaft, sleeve and gloves ready first."));
}

/// Small bearings go on without heat.
JobStep pressing_step(const ReplacementPlan& p) {
  return job_step(
      p,
      "Press it on cold, no heating needed: square, with a press, or with a drift of soft steel "
      "and even blows all around, up to the shoulder. Sleeve or drift touches only the inner ring "
      "(both rings at once where both are tight). Force " +
          press_words(p) + "; twice that: stop, it is tilted or the seat is too large.",
      {StepKind::press, StepKind::force_on_ring},
      "Press it on cold: square, sleeve or drift on the inner ring only, up to the shoulder; "
      "force " +
          press_words(p) + "; twice that: stop.");
}

/// From the clean seat to the bearing that sits.
Steps onto_the_shaft(const ReplacementPlan& p) {
  Steps s{job_step(p, "Apply a thin film of clean oil to the seat.")};
  if (p.cold) s.push_back(pressing_step(p));
  s.push_back(heating_step(p));
  if (!p.cold)
    s.push_back(job_step(
        p,
        "Slide it on in one movement, square, up to the shoulder, and hold it there until it "
        "grips: "
        "it moves away from the shoulder as it cools.",
        {StepKind::force_on_ring},
        "Slide it on in one movement, square, up to the shoulder; hold it until it grips."));
  s.push_back(job_step(
      p,
      p.cold ? "If it tilts or stops half-way: pull it off by the inner ring and start again."
             : "If it stops half-way: remove it and start again. Never drive it on with blows.",
      p.cold ? std::vector<StepKind>{StepKind::pull} : std::vector<StepKind>{}));
  s.push_back(job_step(
      p,
      std::string{p.cold ? "Then" : "When cold"} +
          ": no gap between ring and shoulder (a 0.03 mm feeler gauge does not enter); it rotates "
          "freely by hand.",
      {},
      std::string{p.cold ? "Then" : "When cold"} +
          ": no gap at the shoulder (0.03 mm feeler gauge); it rotates freely."));
  return s;
}

/// The same for a tapered bore.
Steps up_the_taper(const ReplacementPlan& p) {
  const auto up = drive_up(p.facts.designation);
  const std::string reduction =
      up ? fmt::format(
               "{:g} to {:g} µm ({:.2g} to {:.2g} mm along the shaft; from memory, compare "
               "with the table of the manufacturer)",
               up->reduction.lower_um, up->reduction.upper_um, up->axial_low_mm, up->axial_high_mm)
         : blank + " µm (table of the manufacturer)";
  const std::string left =
      up && up->left_um ? fmt::format(", at least {:g} µm.", *up->left_um) : ".";
  return {
      job_step(p,
               "Apply a thin film of oil to the tapered seat or sleeve and to the thread of the "
               "nut."),
      job_step(
          p,
          "Measure the radial clearance with a feeler gauge over an unloaded roller of each "
          "row, with the bearing upright on the bench: " +
              blank + " µm.",
          {}, "Measure the radial clearance over an unloaded roller of each row, bearing upright."),
      job_step(p,
               "Drive the bearing up with the nut and a spanner for it, or hydraulically, without "
               "blows, until the clearance is smaller by " +
                   reduction + ". Clearance left: " + blank + " µm" + left,
               {StepKind::hydraulic}),
      job_step(p, "Lock the nut. The outer ring rotates and swivels freely by hand.")};
}

/// Where a step is found again by its beginning.
JobStep* step_that(Steps& steps, std::string_view begins) {
  for (JobStep& s : steps)
    if (s.text.find(begins) != std::string::npos) return &s;
  return nullptr;
}

JobSection mount(const ReplacementPlan& p) {
  const Designation& d = p.facts.designation;
  Steps s{job_step(p,
                   "Unwrap the new bearing only now, on a clean bench, with clean dry gloves. Do "
                   "not wash it.")};
  if (d.insulated_ring)
    s.push_back(job_step(
        p,
        "Insulated bearing: measure from ring to ring with 500 V DC, dry and clean: above 50 MΩ; "
        "below 1 MΩ do not mount it. Measured: " +
            blank + " MΩ.",
        {StepKind::bearing_insulation},
        "Insulated bearing: ring to ring with 500 V DC, dry and clean: above 50 MΩ; below 1 MΩ do "
        "not mount it."));
  for (JobStep& step : d.tapered_bore ? up_the_taper(p) : onto_the_shaft(p))
    s.push_back(std::move(step));
  s.push_back(job_step(p, "Refit the snap ring or nut; bend the tab of the lock washer over.",
                       {StepKind::loose_spring}));
  if (JobStep* on = step_that(s, p.cold ? "ress it on cold" : "lide it on"); on != nullptr) {
    if (d.type == BearingType::angular_contact_ball)
      add_words(*on,
                " Wide face of the outer ring in the same position as before (towards the axial "
                "load).");
    if (p.heat && !p.heat->slides && !p.cold)
      add_words(*on,
                " At the limits of the fit, heating is not enough: have the press and a sleeve for "
                "the inner ring ready.");
  }
  if (greased_for_life(d))
    s.push_back(job_step(p, "Greased for life: add no grease, remove no seal or shield."));
  else
    s.push_back(
        job_step(p,
                 "Fill the bearing with the grease stated on the motor nameplate (" +
                     (p.duty.lubricant.empty() ? blank : "machine file: " + p.duty.lubricant) +
                     ") and its covers to about 40 %, never more; do not mix grease types.",
                 {},
                 "Grease of the motor nameplate" +
                     (p.duty.lubricant.empty() ? "" : " (machine file: " + p.duty.lubricant + ")") +
                     ": bearing full, covers about 40 %, never more; do not mix types."));
  return {d.tapered_bore ? "5. Mount"
          : p.cold       ? "5. Press and mount"
                         : "5. Heat and mount",
          std::move(s)};
}

std::string axial_hold(const ReplacementPlan& p) {
  if (!p.duty.locating)
    return "Check that one bearing locates the shaft axially and the other is free to move.";
  return *p.duty.locating ? "Check that this bearing locates the shaft axially, and that the one "
                            "at the other end is free to move."
                          : "Check that this bearing is free to move axially: the one at the other "
                            "end locates the shaft.";
}

/// A pair of tapered roller bearings locates the shaft in both directions, with the clearance that
/// it is given in mounting. Common practice, no source.
JobStep adjusting_step(const ReplacementPlan& p) {
  return job_step(
      p,
      "Tapered roller bearings are set in pairs: with shims or the nut to the axial clearance in "
      "the motor manual (" +
          blank +
          " mm; without a value ask the manufacturer), while you turn the shaft, so that the "
          "rollers run against their rib. Measure it with a dial indicator at the shaft end, "
          "pushed "
          "and pulled: " +
          blank + " mm.",
      {StepKind::touch_shaft},
      "Set the pair with shims or the nut to the axial clearance in the motor manual (none: ask "
      "the manufacturer), turning the shaft all the time; dial indicator at the shaft end.");
}

JobSection put_together(const ReplacementPlan& p) {
  const bool rollers = p.facts.designation.type == BearingType::cylindrical_roller;
  return {
      "6. Reassemble",
      {job_step(p,
                std::string{"Insert the rotor level, "} +
                    (rollers ? "turn it slowly while the rollers enter their ring, never "
                               "tilted and never with force, "
                             : "") +
                    "fit the end shields by their marks; tighten the bolts crosswise to the "
                    "torque in the motor manual: " +
                    blank + " Nm.",
                {StepKind::lift_rotor},
                std::string{"Insert the rotor level, "} +
                    (rollers ? "turning it slowly while the rollers enter their ring, never "
                               "tilted, never with force; "
                             : "") +
                    "end shields by their marks; bolts crosswise to the torque in the motor "
                    "manual."),
       job_step(p,
                p.facts.designation.type == BearingType::tapered_roller
                    ? "Press the new outer ring into the end shield, square, up to its shoulder; "
                      "never an old outer ring with a new inner ring."
                    : "Press only on the outer ring when the bearing goes into the housing."),
       job_step(p,
                "Rotate the shaft by hand, ten revolutions: smooth, no rubbing, no tight spot, "
                "no axial knock.",
                {},
                "Rotate the shaft by hand, ten revolutions: smooth, no tight spot, no axial "
                "knock."),
       p.facts.designation.type == BearingType::tapered_roller ? adjusting_step(p)
                                                               : job_step(p, axial_hold(p)),
       job_step(p,
                "Measure the insulation of the winding to earth, with the cables still "
                "disconnected (500 V DC below 1 kV): at least the value in the motor manual, or "
                "5 MΩ at 40 °C if there is none. Measured: " +
                    blank + " MΩ at " + blank + " °C.",
                {StepKind::winding_insulation},
                "Measure the insulation of the winding to earth, cables disconnected (500 V DC "
                "below 1 kV): the value in the motor manual, or 5 MΩ at 40 °C."),
       job_step(p, "Connect the cables by your marks, earth first.", {StepKind::connect})}};
}

std::string limit_text(const ReplacementPlan& p) {
  if (!p.duty.shaft_height_mm)
    return "within IEC 60034-14 for its shaft height: " + blank +
           " mm/s rms (give --shaft-height to have it filled in)";
  const auto limit = iec_no_load_limits(Millimetres{*p.duty.shaft_height_mm}, p.duty.mounting);
  if (!limit)
    return "as the manufacturer states: below 56 mm shaft height the standard has no limit";
  return fmt::format("at most {:g} mm/s, {:g} µm and {:g} m/s² rms [IEC 60034-14:2003, {}]",
                     in_mm_per_s_rms(limit->velocity), 1e6 * limit->displacement.value(),
                     limit->acceleration.value(), limit->words);
}

/// An unloaded motor on the mains runs close to its field, not at the speed of its plate.
std::string no_load_speed(const ReplacementPlan& p) {
  if (p.duty.synchronous)
    return fmt::format("just below {:.0f} rpm (the nameplate speed is the speed at load)",
                       p.duty.synchronous->value());
  if (!p.duty.speed) return blank + " rpm";
  return p.duty.variable_speed
             ? fmt::format("{:.0f} rpm", p.duty.speed->value())
             : fmt::format("slightly above {:.0f} rpm, the speed at load", p.duty.speed->value());
}

std::string accept_command(const ReplacementPlan& p) {
  std::string text = command_for(p, "acceptance RECORDINGS",
                                 p.duty.synchronous ? p.duty.synchronous : p.duty.speed);
  if (p.duty.machine_words.empty() || !p.duty.shaft_height_mm)
    text += p.duty.shaft_height_mm ? fmt::format(" --shaft-height {:g}", *p.duty.shaft_height_mm)
                                   : " --shaft-height " + blank;
  // Where it is not known, both take the same default.
  return p.duty.mounting == Mounting::unknown
             ? text
             : text + " --mounting " + std::string{token(p.duty.mounting)};
}

/// Largest rise at no load that calls for no look.
std::string rise_words() {
  return fmt::format("{:g} K",
                     *workshop_limit(WorkshopCheck::temperature, "rise at no load")->high);
}

JobStep no_load_run(const ReplacementPlan& p) {
  const std::string room =
      p.duty.ambient_c ? fmt::format(" (usually {:g} °C there)", *p.duty.ambient_c) : "";
  return job_step(
      p,
      fmt::format(
          "Run at no load, {}, for at least 30 minutes, better 1 h. Bearing temperature at "
          "5, 15, 30 min: {} {} {} °C. It must level off, not keep rising; more than {} "
          "above room temperature{}: stop and find the cause. Note the current of the three "
          "lines.",
          no_load_speed(p), blank, blank, blank, rise_words(), room),
      {StepKind::running_machine, StepKind::hot_surface, StepKind::live_measurement},
      fmt::format(
          "Run at no load, {}, for 30 minutes or more. The temperature must level off; more "
          "than {} above room temperature{}: stop and find the cause. Current of three "
          "lines.",
          no_load_speed(p), rise_words(), room));
}

JobSection prove(const ReplacementPlan& p) {
  return {
      "7. No-load run and acceptance",
      {job_step(
           p,
           "Uncoupled, guards on, tools counted. Look for the mark at the shaft end: H: half key "
           "in "
           "the keyway, flush with the shaft; F: full key; N: no key. No mark: ask the "
           "manufacturer "
           "(the standard now has the half key). Mark found: " +
               blank + ". Remove your lock last. Jog: is the direction of rotation correct?",
           {StepKind::first_start},
           "Uncoupled, guards on, tools counted. Key by the mark at the shaft end: H half, F full, "
           "N none; no mark: ask the manufacturer. Remove your lock last. Jog: direction of "
           "rotation?"),
       no_load_run(p),
       job_step(p,
                "Record 10 s at both bearings in three directions. Vibration: " + limit_text(p) +
                    ". Highest measured value: " + blank + " mm/s.",
                {StepKind::running_machine},
                "Record 10 s at both bearings in three directions. Limit: " + limit_text(p) + "."),
       job_step(p,
                accept_command(p) +
                    " says PASS: vibration, no damage, no raised noise; add the readings "
                    "(--insulation, --temperature, --current ...) and it judges them too. Fresh "
                    "grease can be noisy in the first hours: if it says REPEAT, run the motor for "
                    "one or two hours and record again.",
                {},
                accept_command(p) + " must say PASS (REPEAT: run one or two hours, record again)."),
       job_step(p, "Couple, align, check belt tension; guards back on.", {StepKind::touch_shaft}),
       job_step(
           p,
           "Run under load and warm, as in section 0: same points, same sensor, same speed and "
           "load, and record. " +
               command_for(p, "compare BEFORE AFTER", p.duty.speed) +
               " says CURED (NO CHANGE SEEN, if the old one showed no damage). Measure again "
               "after 24 to 48 running hours and after a month: these readings are the new "
               "baseline.",
           {StepKind::running_machine},
           "Record under load and warm, as in section 0. " +
               command_for(p, "compare BEFORE AFTER", p.duty.speed) +
               " must say CURED (or NO CHANGE SEEN). Again after 24 to 48 hours and after a "
               "month."),
       job_step(p, "Write down date, bearing designation, grease, hours, name: " + blank, {},
                "Fill in the readings, add the photos, sign.")}};
}

std::string mounting_tools(const ReplacementPlan& p) {
  if (p.facts.designation.tapered_bore)
    return "spanner for the shaft nut, or hydraulic nut with pump; marking blue";
  return p.cold
             ? "bench press, or drift of soft steel; or induction heater that demagnetises"
             : "induction heater that demagnetises, with probe (or hot plate, contact thermometer)";
}

std::vector<std::string> tools(const ReplacementPlan& p) {
  const double bore = p.facts.designation.bore_mm;
  std::vector<std::string> t{
      "locks, tags, tested voltage indicator",
      (p.facts.size.outside_diameter
           ? fmt::format("puller with claws that reach behind the inner ring of a {:g} mm bearing",
                         *p.facts.size.outside_diameter)
           : std::string{"puller with claws that reach behind the inner ring"}) +
          (p.press && p.press->off_n > 0 ? fmt::format(", {:.2g} kN or more", p.press->off_n / 1000)
                                         : std::string{}),
      shaft_micrometer(bore),
      p.facts.size.outside_diameter
          ? fmt::format("bore gauge for {:g} mm", *p.facts.size.outside_diameter)
          : std::string{"bore gauge for the housing"},
      mounting_tools(p),
      fmt::format("fitting sleeve that touches only the inner ring (bore {:g} mm)", bore),
      "feeler gauge 0.03 mm, oilstone, lint-free cloth, solvent",
      "heat-resistant gloves, eye protection, safety shoes",
      "insulation tester, torque wrench, half and full key",
      "vibration recorder with its sensor and magnet or stud, thermometer"};
  if (p.facts.designation.type == BearingType::tapered_roller)
    t.emplace_back("dial indicator with its base, shims as fitted");
  if (hours_to_allow(p) > 2) t.emplace_back("hoist and sling rated for the rotor");
  return t;
}

std::vector<std::string> parts(const ReplacementPlan& p) {
  std::vector<std::string> list{p.facts.designation.text() + ", " + size_text(p.facts.size)};
  if (!greased_for_life(p.facts.designation))
    list.push_back(p.regreasing_g
                       ? fmt::format("grease as on the motor nameplate (regreasing takes {:.1f} g)",
                                     *p.regreasing_g)
                       : std::string{"grease as on the motor nameplate"});
  list.push_back("bearing of the other end (" +
                 (p.duty.other_bearing.empty() ? "designation: " + blank : p.duty.other_bearing) +
                 "): usually replaced while the motor is open");
  list.push_back(
      (p.duty.seal.empty() ? std::string{"shaft seal or V-ring"} : "shaft seal " + p.duty.seal) +
      ", spring washer, gasket, as fitted in this motor");
  return list;
}

std::vector<JobFact> facts(const ReplacementPlan& p) {
  const MotorDuty& m = p.duty;
  const auto or_blank = [](const std::optional<double>& v, std::string_view unit) {
    return v ? fmt::format("{:g} {}", *v, unit) : std::string{};
  };
  return {{"Machine", m.machine},
          {"Place", m.position},
          {"Bearing", p.facts.designation.text() + ", " + size_text(p.facts.size)},
          {"Speed", m.speed ? fmt::format("{:.0f} rpm", m.speed->value()) : std::string{}},
          {"Shaft height", or_blank(m.shaft_height_mm, "mm")},
          {"Power", or_blank(m.power_kw, "kW")},
          {"Shaft seat", seat_limits(p)},
          {"Housing", housing_limits(p)},
          {"Heat to", heat_to(p)},
          {"Date, names", ""}};
}

std::vector<JobReading> readings(const ReplacementPlan& p) {
  std::vector<JobReading> r{{"Shaft seat, largest / smallest", seat_limits(p), "mm"},
                            {"Housing bore, largest / smallest", housing_limits(p), "mm"},
                            {"Distance of the bearing from the shaft end", "", "mm"},
                            {"Weight of the motor (nameplate)", "", "kg"},
                            {"Torque of the end-shield bolts (motor manual)", "", "Nm"},
                            {"Insulation, winding to earth, and its temperature",
                             "motor manual, or 5 MΩ at 40 °C", "MΩ, °C"},
                            {"Bearing temperature at 5 / 15 / 30 min",
                             "at most " + rise_words() + " above room temperature", "°C"},
                            {"Current at no load, L1 / L2 / L3", "", "A"},
                            {"Grease, and its amount", "", ""},
                            {"Designation on the old bearing", p.facts.designation.text(), ""},
                            {"Mark of the key at the shaft end", "H, F, N or none", ""}};
  if (p.facts.designation.insulated_ring)
    r.push_back({"Insulation, ring to ring", "above 50 MΩ", "MΩ"});
  if (p.facts.designation.type == BearingType::tapered_roller)
    r.insert(r.begin() + 2, {"Axial clearance of the pair, as set", "motor manual", "mm"});
  if (p.facts.designation.tapered_bore) {
    r.front() = {"Radial clearance before driving up", "", "µm"};
    r.insert(r.begin() + 1, {"Radial clearance left", "", "µm"});
  }
  return r;
}

std::vector<std::string> measured_points(const ReplacementPlan& p) {
  constexpr std::size_t most = 6;
  std::vector<std::string> points = p.duty.points;
  if (points.empty())
    for (const char* end : {"DE", "NDE"})
      for (const char* direction : {"horizontal", "vertical", "axial"})
        points.push_back(fmt::format("{} {}", end, direction));
  if (points.size() > most) points.resize(most);
  return points;
}

}  // namespace

double hours_to_allow(const ReplacementPlan& p) {
  constexpr double small = 2;
  constexpr double medium = 5;
  constexpr double large = 10;
  const auto between = [&](double v, double up_to, double above) {
    return v <= up_to ? small : v > above ? large : medium;
  };
  return p.duty.shaft_height_mm ? between(*p.duty.shaft_height_mm, 132, 280)
                                : between(p.facts.designation.bore_mm, 40, 90);
}

JobCard job_card(const ReplacementPlan& p) {
  JobCard c;
  c.title = "Job card: bearing replacement";
  if (!p.duty.machine.empty()) c.title += ", " + p.duty.machine;
  if (!p.duty.position.empty()) c.title += ", " + p.duty.position;
  c.facts = facts(p);
  c.hours = hours_to_allow(p);
  c.tools = tools(p);
  c.parts = parts(p);
  c.sections = {record_first(p), make_safe(p), take_apart(p),   look_at_old(p),
                check_seats(p),  mount(p),     put_together(p), prove(p)};
  c.readings = readings(p);
  c.points = measured_points(p);
  c.photos = {"Old bearing, load zone", "Shaft seat and housing", "New bearing in place"};
  c.signers = {"Made safe (lock no.)", "Work done", "Electrical work", "Accepted"};
  c.notes = {
      "Local rules, the manual of the machine and the judgement of a licensed person take priority "
      "over this card.",
      "Fit, heating and limits: see 'bearingdsp replacement' for the source of each number. Hours, "
      "order of work, heating times, replacing both bearings, 45 °C, 40 K and 30 minutes: common "
      "practice, no source. Mark of the key: ISO 21940-32 (abstract; H and F as a motor "
      "manufacturer "
      "prints them, N from memory). 5 MΩ: IEEE 43-2013, as a repair group's specification cites "
      "it."};
  return c;
}

}  // namespace bearingdsp
