#include "bearingdsp/replacement/greasing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <stdexcept>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/replacement/grease_mixing.hpp"
#include "bearingdsp/replacement/machine_duty.hpp"

namespace bearingdsp {
namespace {

const std::string to_fill_in = "________";

JobStep grease_step(const Dangers& d, std::string text, const std::vector<StepKind>& kinds = {}) {
  return {std::move(text), cautions_for(kinds, d), {}};
}

std::string which_grease(const MotorDuty& m) {
  const std::string old = m.lubricant.empty() ? m.old_grease : m.lubricant;
  std::string text = fmt::format(
      "Same grease as in the motor ({}), or one that its manufacturer declares compatible.",
      old.empty() ? "nameplate or record: " + to_fill_in : old);
  if (m.grease.empty() || m.old_grease.empty()) return text;
  const auto mix = grease_mix(m.old_grease, m.grease);
  if (!mix)
    return text + fmt::format(" {} with {}: not in the table: do not mix.", m.old_grease, m.grease);
  if (*mix == GreaseMix::compatible)
    return text +
           fmt::format(" {} with {}: compatible by the table of 1990.", m.old_grease, m.grease);
  return text + fmt::format(
                    " {} with {}: {}. Do not add it: strip and wash the bearing first, or "
                    "purge with several times the amount and shorten the next intervals.",
                    m.old_grease, m.grease, words(*mix));
}

std::string amount_words(const GreaseJob& j) {
  const std::string grams = j.grams ? fmt::format("{:.1f} g", *j.grams) : to_fill_in + " g";
  return j.strokes ? fmt::format("{} = {}", grams, counted(*j.strokes, "stroke"))
                   : fmt::format("{} = {} strokes", grams, to_fill_in);
}

std::string half_words(const GreaseJob& j) {
  if (!j.strokes) return "half of it";
  return *j.strokes == 1 ? "it slowly" : fmt::format("{} of them", (*j.strokes + 1) / 2);
}

std::vector<JobStep> steps_of(const GreaseJob& j, const ReplacementPlan& p,
                              const GreaseOptions& o) {
  const Dangers d = dangers_of(p);
  std::vector<JobStep> s;
  s.push_back(grease_step(
      d, o.g_per_stroke
             ? fmt::format("Gun: {:.3g} g per stroke, as weighed.", *o.g_per_stroke)
             : "Weigh the gun's stroke: ten strokes onto a scale, divide by ten, write it on the "
               "gun: " +
                   to_fill_in + " g (guns give 1 to 3 g). Strokes = amount / that."));
  s.push_back(grease_step(d, which_grease(p.duty)));
  s.push_back(grease_step(
      d,
      "Motor running and warm, if nipple and outlet can be reached with all guards on. Otherwise "
      "stop it, isolate, lock out, try to start, and turn the shaft by hand afterwards.",
      {StepKind::running_machine, StepKind::isolate, StepKind::hot_surface}));
  s.push_back(grease_step(
      d,
      "Wipe nipple and outlet clean. Open the outlet (drain) and free it of hard grease. No "
      "outlet: give half, and only as the motor manual says.",
      {StepKind::hot_surface}));
  s.push_back(
      grease_step(d,
                  fmt::format("Amount: {}. Press in {}, wait 5 minutes, then the rest. Stop "
                              "if the pressure rises and nothing comes out.",
                              amount_words(j), half_words(j)),
                  {StepKind::grease_gun, StepKind::running_machine}));
  s.push_back(grease_step(d,
                          "Purge: let it run with the outlet open for 10 to 30 minutes, until no "
                          "more grease comes (a hot, large motor up to 2 hours).",
                          {StepKind::running_machine, StepKind::hot_surface}));
  s.push_back(grease_step(d,
                          "Close the outlet, wipe off the rest, put the caps back. Note date, "
                          "grease and grams: bearingdsp history event MACHINE --kind greased.",
                          {StepKind::running_machine}));
  s.push_back(
      grease_step(d,
                  "Measure the temperature for some hours: it may rise, and must fall again "
                  "to 10 to 30 K above the room. It does not: too much grease, or a shut "
                  "outlet.",
                  {StepKind::running_machine}));
  return s;
}

std::vector<std::string> signs_of_too_much() {
  return {"The bearing gets hot within 10 to 15 minutes, and stays hot.",
          "Grease comes out of the seals, or lies inside on the winding and the fan.",
          "The noise is dull and churning; the current at no load is higher than before.",
          "A shot of grease makes it louder.",
          ("Then: stop, open the outlet, let it run uncoupled until it cools; if it does not, open "
           "the covers and take out what is too much.")};
}

int days_of(double hours, double hours_per_year) {
  // A motor that runs for a minute a year.
  constexpr double max_days = 1e6;
  return static_cast<int>(std::floor(std::min(max_days, hours / hours_per_year * 365.25)));
}

/// Above this, h, the interval formula is not reliable: manufacturer's catalogue D.
constexpr double longest_interval_h = 30000;

std::vector<std::string> grease_notes(const ReplacementPlan& p, const GreaseJob& j) {
  std::vector<std::string> notes;
  if (!j.grams) notes.emplace_back("The amount is not known: the size is not in the tables.");
  for (const Advice& a : p.advice)
    if (a.topic == "Regreasing" || a.topic == "Oil film" || a.topic == "Mixing greases" ||
        (a.topic == "Grease" && j.for_life))
      notes.push_back(fmt::format("{}: {} [{}]", a.topic, a.text, a.source));
  if (!j.for_life)
    notes.emplace_back(
        "Amount: 0.005 D B, three bearing manufacturers (confirmed). Gun 1 to 3 g per stroke: a "
        "lubrication journal (confirmed). Half, 5 minutes, rest; 10 to 30 minutes: motor "
        "manufacturers' manuals; outlet open: US MIL-HDBK-1164 (confirmed). Signs: a bearing "
        "manufacturer's pages, a US Navy training text (confirmed), rest common practice.");
  return notes;
}

bool of_end(const Machine& m, const Event& e, MachineEnd end) {
  if (e.point.empty()) return true;
  const auto point = find_point(m, e.point);
  return point && point->end == end;
}

std::optional<UtcTime> last_greased(const Machine& m, MachineEnd end,
                                    const std::vector<std::pair<std::string, Event>>& events) {
  std::optional<UtcTime> last;
  for (const auto& [machine, e] : events)
    if (machine == m.name &&
        (e.kind == EventKind::greased || e.kind == EventKind::bearing_replaced))
      if (of_end(m, e, end) && (!last || e.when > *last)) last = e.when;
  return last;
}

GreaseDue due_at(const Machine& m, MachineEnd end, const GreaseOptions& options) {
  GreaseDue due{m.name, end, m.bearing(end)->designation, {}, {}, {}, {}};
  const auto readings = read_designation(due.designation);
  if (due.designation.empty() || !readings) {
    due.why_not = "the designation of the bearing is not known";
    return due;
  }
  if (readings->size() != 1) {
    due.why_not = "the designation fits several bearings: write it in full";
    return due;
  }
  const auto plan = plan_replacement(readings->front(), duty_of(m, end));
  if (!plan) {
    due.why_not = plan.error().message();
    return due;
  }
  due.job = grease_job(*plan, options);
  if (!due.job.for_life && !due.job.days)
    for (const Advice& a : plan->advice)
      if (a.topic == "Regreasing") due.why_not = a.text;
  return due;
}

}  // namespace

int strokes_for(double grams, double g_per_stroke) {
  constexpr double max_strokes = 1e6;
  if (!(grams > 0) || !(g_per_stroke > 0) || !(grams / g_per_stroke <= max_strokes))
    throw std::invalid_argument{"strokes_for"};
  return std::max(1, static_cast<int>(std::lround(grams / g_per_stroke)));
}

GreaseJob grease_job(const ReplacementPlan& plan, const GreaseOptions& options) {
  if (!(options.hours_per_year > 0 && options.hours_per_year <= 8784))
    throw std::invalid_argument{"grease_job: hours per year"};
  GreaseJob job;
  job.for_life = greased_for_life(plan.facts.designation);
  if (!job.for_life) {
    job.grams = plan.regreasing_g;
    if (job.grams && options.g_per_stroke)
      job.strokes = strokes_for(*job.grams, *options.g_per_stroke);
    job.interval = plan.regreasing;
    if (job.interval)
      job.days = std::max(
          1, days_of(std::min(job.interval->low_h, longest_interval_h), options.hours_per_year));
    job.steps = steps_of(job, plan, options);
    job.overgreased = signs_of_too_much();
  }
  job.notes = grease_notes(plan, job);
  return job;
}

std::vector<GreaseDue> grease_plan(const std::vector<Machine>& machines,
                                   const std::vector<std::pair<std::string, Event>>& events,
                                   UtcTime start, const GreaseOptions& options) {
  std::vector<GreaseDue> out;
  for (const Machine& m : machines)
    for (const MachineEnd end : {MachineEnd::drive_end, MachineEnd::non_drive_end}) {
      if (!m.bearing(end)) continue;
      GreaseDue due = due_at(m, end, options);
      due.last = last_greased(m, end, events);
      if (due.job.days) due.on = due.last.value_or(start) + std::chrono::days{*due.job.days};
      out.push_back(std::move(due));
    }
  return out;
}

}  // namespace bearingdsp
