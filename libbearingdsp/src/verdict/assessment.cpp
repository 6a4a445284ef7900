#include "bearingdsp/verdict/assessment.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <initializer_list>
#include <stdexcept>
#include <utility>

#include "bearingdsp/core/percent.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/machine/cautions.hpp"
#include "bearingdsp/machine/displacement.hpp"
#include "bearingdsp/verdict/at_machine.hpp"
#include "bearingdsp/verdict/judgement.hpp"

namespace bearingdsp {
namespace {

/// Share of damaged bearings among those that somebody suspects. Common practice, no source.
constexpr double suspected_share = 0.5;

/// From here on it asks for a check by itself, and is likely in words.
constexpr double check_from = 0.7;
constexpr double very_likely_from = 0.9;  // in words
/// Below it damage is confirmed by a second recording before parts are ordered: at 0.8 one call in
/// five would be wrong if the probabilities are right. Ours, docs/urgency.md
constexpr double order_from = 0.8;

/// One row of the table that applies: what it asks for, by when, and what to do.
struct Row {
  Urgency urgency{Urgency::none};
  std::string deadline;
  std::string action;
};

bool depends_on_level(OtherCause cause) {
  return cause != OtherCause::rotor_bars && cause != OtherCause::electrical_erosion &&
         cause != OtherCause::poor_lubrication;
}

/// The zone as far as it is certain: the machine's own; without its size a zone that the velocity
/// is in, or beyond, for every class of machines. Source: [iso10816-1] table B.1, secondary
std::optional<Zone> certain_zone(const PointEvidence& e) {
  const VelocityJudgement& v = e.vibration;
  if (v.zone) return v.zone;
  if (!v.velocity || v.limits || spoils_levels(e.findings) != nullptr) return std::nullopt;
  const Zone max_tolerant = zone_of(*v.velocity, class_limits(4).value());
  if (max_tolerant >= Zone::c) return max_tolerant;
  const Zone strictest = zone_of(*v.velocity, class_limits(1).value());
  return strictest <= Zone::b ? std::optional{strictest} : std::nullopt;
}

LevelJudged level_of(OtherCause cause, const PointEvidence& e) {
  if (!depends_on_level(cause)) return LevelJudged::independent;
  if (spoils_levels(e.findings) != nullptr) return LevelJudged::unknown;
  if (const auto zone = certain_zone(e))
    return *zone >= Zone::c ? LevelJudged::too_high : LevelJudged::acceptable;
  return e.vibration.velocity ? LevelJudged::no_limits : LevelJudged::unknown;
}

double odds(double p) { return p / (1 - p); }

/// The probability of damage among bearings of which another share is damaged. Source: Bayes' rule
double for_prior(const PointEvidence& e, double prior) {
  const double o =
      damage_likelihood_ratio(e.probability_of_damage, e.calibrated_share) * odds(prior);
  return o / (1 + o);
}

/// Whether the recording cannot be used at all. A band that ends below the bearing's signs still
/// holds the lines of the shaft.
bool useless(const Findings& findings) {
  return std::any_of(findings.begin(), findings.end(), [](const Finding& f) {
    return f.weight == Weight::blocking && f.kind != FindingKind::low_bandwidth;
  });
}

/// Of a recording that cannot be used none.
std::vector<OtherFault> other_faults(const PointEvidence& e) {
  std::vector<OtherFault> out;
  if (useless(e.findings)) return out;
  for (const CauseEvidence& c : e.causes)
    if (c.probability >= other_fault_from)
      out.push_back({c.cause, c.probability, level_of(c.cause, e), c.why});
  std::stable_sort(out.begin(), out.end(), [](const OtherFault& a, const OtherFault& b) {
    return a.probability > b.probability;
  });
  return out;
}

const Finding* caution(const PointEvidence& e, std::initializer_list<FindingKind> kinds) {
  for (const Finding& f : e.findings)
    if (f.weight == Weight::caution && std::find(kinds.begin(), kinds.end(), f.kind) != kinds.end())
      return &f;
  return nullptr;
}

/// The bearing, the speed or the sample rate given contradict the recording.
const Finding* contradiction(const PointEvidence& e) {
  return caution(
      e, {FindingKind::ambiguous, FindingKind::speed_disagrees, FindingKind::rate_disagrees});
}

/// Found without a given one, where no motor on the mains runs.
const Finding* implausible_speed(const PointEvidence& e) {
  return caution(e, {FindingKind::speed_implausible});
}

bool zone_at_least(const PointEvidence& e, Zone zone) {
  return certain_zone(e).value_or(Zone::a) >= zone;
}

std::string bearing_headline(const PointEvidence& e) {
  if (e.verdict == Verdict::no_fault)
    return e.bearing_known ? std::string{nothing_found}
                           : "No bearing-like impacts found (bearing not given)";
  if (e.verdict == Verdict::indeterminate) {
    std::string text =
        e.cannot_tell.empty() ? "Cannot tell whether the bearing is damaged" : e.cannot_tell;
    while (!text.empty() && text.back() == '.') text.pop_back();
    return text;
  }
  const std::string component = component_words(e.place, e.place_set);
  std::string text = e.place == Place::another_bearing
                         ? fmt::format(
                               "A bearing is damaged ({}), but not the one given: the impacts "
                               "are at none of its frequencies",
                               percent(e.probability_of_damage))
                     : component.empty()
                         ? fmt::format("Bearing damaged ({}), component not identified",
                                       percent(e.probability_of_damage))
                         : fmt::format("{} of the bearing damaged ({})", capital(component),
                                       percent(e.probability_of_place));
  if (e.stage.stage == Stage::early || e.stage.stage == Stage::developed ||
      e.stage.stage == Stage::advanced)
    text += fmt::format(", {} stage", words(e.stage.stage));
  return text;
}

/// "unbalance very likely (94 %)", or the pattern alone where no level bears it out.
std::string fault_words(const OtherFault& f) {
  switch (f.level) {
    case LevelJudged::too_high:
    case LevelJudged::independent:
      return fmt::format("{} {} ({})", words(f.cause), likelihood_words(f.probability),
                         percent(f.probability));
    case LevelJudged::acceptable:
      return fmt::format("pattern of {} ({}), level acceptable", words(f.cause),
                         percent(f.probability));
    case LevelJudged::no_limits:
      return fmt::format("pattern of {} ({}), level not judged (machine not given)", words(f.cause),
                         percent(f.probability));
    case LevelJudged::unknown:
      return fmt::format("pattern of {} ({}), level not known", words(f.cause),
                         percent(f.probability));
  }
  return {};
}

/// The level that the zone is of: the displacement of a slow machine where it is the worse one.
std::string deciding_level(const VelocityJudgement& v) {
  if (v.displacement && v.displacement_zone && *v.displacement_zone > v.velocity_zone)
    return displacement_words(*v.displacement, v.limits);
  return fmt::format("{:.1f} mm/s rms", in_mm_per_s_rms(*v.velocity));
}

/// The other faults and the zone: what stands behind the bearing in the headline.
std::string others_headline(const PointEvidence& e, const std::vector<OtherFault>& others) {
  std::string text;
  if (!others.empty()) text = fault_words(others.front());
  if (zone_at_least(e, Zone::c))
    add_part(text, fmt::format("vibration in zone {}{} ({})", words(*certain_zone(e)),
                               e.vibration.zone ? "" : " or worse for every machine class",
                               deciding_level(e.vibration)));
  return text;
}

Row damage_row(const PointEvidence& e) {
  if (e.verdict != Verdict::fault) return {};
  const bool sure = e.probability_of_damage >= order_from;
  if (sure && e.place == Place::another_bearing)
    return {Urgency::check, "within a week",
            "Find out which bearing it is: read the number on the old bearing or its box, and look "
            "at the bearing at the other end. Then diagnose again with the right one."};
  if (e.stage.stage == Stage::advanced)
    return sure ? Row{Urgency::act, "now",
                      "Change the bearing now. Stop the machine if it gets hot or loud."}
                : Row{Urgency::plan, "within a week",
                      "Record again to confirm the damage, and order the bearing."};
  if (!sure)
    return {Urgency::check, "within a week",
            "Record again to confirm the damage before you order parts."};
  if (e.stage.stage == Stage::developed)
    return {Urgency::plan, "within four weeks",
            "Change the bearing at the next stop. Measure weekly until then."};
  return {Urgency::plan, "within two weeks",
          "Order the bearing and plan its change. Measure again within two weeks."};
}

/// What is done first about too much vibration: the most probable fault that explains it.
std::string vibration_remedy(const std::vector<OtherFault>& others) {
  for (const OtherFault& f : others)
    if (f.level == LevelJudged::too_high) return std::string{remedy(f.cause)};
  return "Look for loose feet, misalignment, unbalance and resonance.";
}

Row zone_row(const PointEvidence& e, const std::vector<OtherFault>& others) {
  if (zone_at_least(e, Zone::d))
    return {Urgency::act, "now",
            "Stop the machine or find the cause of the vibration now. " + vibration_remedy(others)};
  if (zone_at_least(e, Zone::c))
    return {Urgency::plan, "within four weeks",
            "Find and correct the cause of the vibration at the next stop. " +
                vibration_remedy(others)};
  return {};
}

/// Whether a velocity without limits is high enough to look for them: beyond zone B of class II,
/// that of most motors. Source: [iso10816-1] table B.1, secondary; that it is "most" is common
/// practice
bool limits_needed(const PointEvidence& e) {
  return e.vibration.velocity && *e.vibration.velocity > class_limits(2).value().bc;
}

Row fault_row(const OtherFault& f, const PointEvidence& e) {
  if (f.probability < check_from) return {};
  switch (f.level) {
    case LevelJudged::independent:
      return {Urgency::check, "within a week", std::string{remedy(f.cause)}};
    case LevelJudged::no_limits:
      if (!limits_needed(e)) return {};
      return {Urgency::check, "within a week",
              fmt::format("Compare the velocity with the machine's limits (give a machine file "
                          "with its power or shaft height). {}",
                          remedy(f.cause))};
    case LevelJudged::too_high:    // the zone's row has its remedy
    case LevelJudged::acceptable:  // within the limits: nothing to do
    case LevelJudged::unknown:     // a pattern without a level asks for nothing
      return {};
  }
  return {};
}

Row observed_row(const Observation& o) {
  switch (o.state) {
    case ObservedState::danger:
      return {Urgency::act, "now", fmt::format("Stop the motor now: {}.", o.what)};
    case ObservedState::warning:
      return {Urgency::check, "today",
              fmt::format("Find the cause today: {}. {}", o.what, o.action)};
    case ObservedState::suspicion:
      return {Urgency::check, "within a week", o.action};
    case ObservedState::nothing:
      return {};
  }
  return {};
}

Row change_row(const PointEvidence& e) {
  if (e.damage_disappeared)
    return {Urgency::check, "within a week",
            e.disappeared_advice.empty()
                ? "Measure again within a week: damage does not heal. If the bearing was changed, "
                  "note it."
                : e.disappeared_advice};
  if (e.change == LevelChangeSeen::none || e.verdict == Verdict::fault) return {};
  return {Urgency::check, "within a week",
          "Listen and feel at the bearing, and measure again within a week: the levels changed."};
}

Row open_row(const PointEvidence& e) {
  if (e.verdict == Verdict::indeterminate || first_blocking(e.findings) != nullptr) {
    const Finding* why = first_blocking(e.findings);
    std::string how = e.how_to_record.empty() ? "Record again, longer and closer to the bearing."
                                              : e.how_to_record.front();
    if (why != nullptr && !why->advice.empty()) how = full_stop(capital(why->advice));
    return {Urgency::measure_again, "before the next survey", how};
  }
  return {};
}

/// Where nothing is found with a bearing, speed or rate that the recording contradicts, it may have
/// been looked for in the wrong place.
Row doubt_row(const PointEvidence& e) {
  if (e.verdict != Verdict::no_fault || contradiction(e) == nullptr) return {};
  return {Urgency::measure_again, "before the next survey",
          "Check the speed and the bearing that were given, then diagnose again."};
}

/// Whatever was found at such a speed: it may be another machine frequency taken for the shaft's.
Row speed_row(const PointEvidence& e) {
  if (implausible_speed(e) == nullptr) return {};
  return {Urgency::measure_again, "before the next survey",
          "Measure the speed and give it (--rpm or a machine file), then diagnose again."};
}

Row other_end_row(const PointEvidence& e) {
  if (e.other_end && e.other_end->verdict == Verdict::fault && e.verdict != Verdict::fault)
    return {Urgency::measure_again, "within a week",
            fmt::format("Measure at the {}: from here the bearing there ({}) shows damage ({}).",
                        words(e.other_end->end), e.other_end->bearing,
                        percent(e.other_end->probability_of_damage))};
  return {};
}

/// The rows that apply, most urgent first; `others` are those of other_faults(). Levels of a
/// recording that cannot be used ask for nothing but another recording.
std::vector<Row> rows_of(const PointEvidence& e, const std::vector<OtherFault>& others) {
  std::vector<Row> rows{damage_row(e), observed_row(e.observed)};
  const bool usable = first_blocking(e.findings) == nullptr;
  if (usable) rows.push_back(zone_row(e, others));
  for (const OtherFault& f : others) rows.push_back(fault_row(f, e));
  if (usable) rows.push_back(change_row(e));
  rows.push_back(other_end_row(e));
  rows.push_back(speed_row(e));
  rows.push_back(doubt_row(e));
  // Nobody records at a motor that has to be stopped.
  if (e.observed.state != ObservedState::danger) rows.push_back(open_row(e));
  std::erase_if(rows, [](const Row& r) { return r.urgency == Urgency::none; });
  std::stable_sort(rows.begin(), rows.end(),
                   [](const Row& a, const Row& b) { return a.urgency > b.urgency; });
  return rows;
}

/// What may turn the answer round, for the headline: "Doubt: ...", or empty.
std::string doubt_of(const PointEvidence& e) {
  const Finding* doubt = implausible_speed(e);
  if (doubt == nullptr) doubt = contradiction(e);
  if (doubt == nullptr)
    doubt = caution(e, {FindingKind::unit_disagrees, FindingKind::implausible_level});
  return doubt == nullptr ? std::string{} : fmt::format("Doubt: {}", full_stop(doubt->what));
}

std::vector<std::string> doubts_of(const PointEvidence& e) {
  std::vector<std::string> out;
  for (const Finding& f : e.findings) {
    if (f.weight == Weight::note) continue;
    std::string text = f.what;
    if (!f.consequence.empty()) text += ": " + f.consequence;
    if (std::find(out.begin(), out.end(), text) == out.end()) out.push_back(std::move(text));
  }
  return out;
}

std::string no_zone_without_machine(const Diagnosis& d) {
  if (const Finding* spoilt = spoils_levels(d.findings))
    return "the level cannot be judged: " + spoilt->what;
  if (measured_velocity(d).rms) return "the machine is not known, give its file with --machine";
  const bool no_unit = std::any_of(d.figures.begin(), d.figures.end(), [](const SignalFigures& f) {
    return f.unit == SampleUnit::uncalibrated || f.unit == SampleUnit::volt;
  });
  if (!no_unit) return "the recording is too short or its band too narrow for 10-1000 Hz";
  // Unit, sensitivity or full scale: which of them is missing only the finding tells.
  const auto missing = std::find_if(d.findings.begin(), d.findings.end(), [](const Finding& f) {
    return f.kind == FindingKind::uncalibrated && !f.what.empty();
  });
  return missing == d.findings.end() ? "the unit is not known, give --unit or --sensitivity"
                                     : missing->what;
}

}  // namespace

std::string_view token(Urgency urgency) noexcept {
  switch (urgency) {
    case Urgency::none:
      return "OK";
    case Urgency::measure_again:
      return "measure again";
    case Urgency::check:
      return "check";
    case Urgency::plan:
      return "plan";
    case Urgency::act:
      return "act now";
  }
  return "OK";
}

std::string_view token(ObservedState state) noexcept {
  switch (state) {
    case ObservedState::nothing:
      return "nothing";
    case ObservedState::suspicion:
      return "suspicion";
    case ObservedState::warning:
      return "warning";
    case ObservedState::danger:
      return "danger";
  }
  return "nothing";
}

double damage_likelihood_ratio(double probability, double calibrated_share) noexcept {
  return odds(std::clamp(probability, 1e-9, 1 - 1e-9)) / odds(calibrated_share);
}

std::string_view token(LevelJudged level) noexcept {
  switch (level) {
    case LevelJudged::unknown:
      return "unknown";
    case LevelJudged::no_limits:
      return "no limits";
    case LevelJudged::acceptable:
      return "acceptable";
    case LevelJudged::too_high:
      return "too high";
    case LevelJudged::independent:
      return "independent";
  }
  return "unknown";
}

std::string_view likelihood_words(double p) noexcept {
  if (p >= very_likely_from) return "very likely";
  if (p >= check_from) return "likely";
  return "possible";
}

std::string component_words(Place place, std::span<const Part> set) {
  if (place == Place::unclear && set.size() == 2)
    return fmt::format("{} or {}", words(set[0]), words(set[1]));
  switch (place) {
    case Place::outer_ring:
    case Place::inner_ring:
    case Place::rolling_element:
    case Place::cage:
      return std::string{words(place)};
    case Place::several:
      return "both rings";
    case Place::another_bearing:
      return "a bearing other than the one given";
    default:
      return {};
  }
}

std::string damaged_subject(Place place, std::span<const Part> set) {
  const std::string component = component_words(place, set);
  if (component.empty()) return "Bearing";
  return capital(component) + (place == Place::another_bearing ? "" : " of the bearing");
}

std::string healthy_words(const Assessment& a) {
  if (a.prior != default_prior || !a.remaining_if_suspected)
    return fmt::format("{} if {} of such bearings are damaged", percent(1 - *a.remaining_damage),
                       percent(a.prior));
  return fmt::format("{} on a routine survey, {} if you suspect it",
                     percent(1 - *a.remaining_damage), percent(1 - *a.remaining_if_suspected));
}

std::string level_words(const VelocityJudgement& v) {
  if (!v.velocity) return {};
  const double mm_s = in_mm_per_s_rms(*v.velocity);
  std::string text =
      fmt::format("{:.{}f} mm/s rms ({:g}-1000 Hz)", mm_s, mm_s < 1 ? 2 : 1, v.from.value());
  if (v.displacement) text += " and " + displacement_words(*v.displacement, v.limits);
  return text;
}

std::string vibration_words(const VelocityJudgement& v) {
  if (!v.velocity) return v.why_not.empty() ? "not measured" : "no velocity: " + v.why_not;
  const std::string level = level_words(v);
  if (!v.zone) return v.why_not.empty() ? level : fmt::format("{}; no zone: {}", level, v.why_not);
  return fmt::format("{}, zone {}: {}", level, words(*v.zone), meaning(*v.zone));
}

Assessment assess(const PointEvidence& e) {
  constexpr std::size_t max_actions = 3;
  Assessment a;
  a.verdict = e.verdict;
  a.stage = e.stage.stage;
  a.zone = certain_zone(e);
  a.prior = e.prior;
  if (e.verdict == Verdict::no_fault) {
    a.remaining_damage = for_prior(e, e.prior);
    a.remaining_if_suspected = for_prior(e, suspected_share);
    a.excluded_depth = e.excluded_depth;
  }
  a.others = other_faults(e);
  a.bearing = bearing_headline(e);
  if (e.verdict == Verdict::fault) a.component = component_words(e.place, e.place_set);
  std::string behind = others_headline(e, a.others);
  if (behind.empty() && e.damage_disappeared) behind = "earlier damage is no longer detected";
  if (behind.empty() && !e.why_changed.empty() && e.verdict != Verdict::fault)
    behind = e.why_changed.front();
  a.doubt = doubt_of(e);
  a.headline = full_stop(behind.empty() ? a.bearing : a.bearing + "; " + behind);
  if (!a.doubt.empty()) a.headline += " " + a.doubt;
  const auto rows = rows_of(e, a.others);
  if (!rows.empty()) {
    a.urgency = rows.front().urgency;
    a.deadline = rows.front().deadline;
  }
  for (const Row& row : rows)
    if (a.actions.size() < max_actions &&
        std::find(a.actions.begin(), a.actions.end(), row.action) == a.actions.end())
      a.actions.push_back(row.action);
  a.doubts = doubts_of(e);
  if (e.verdict == Verdict::fault)
    a.safety.emplace_back("If it gets hot, loud or rough, stop the motor.");
  if (a.urgency >= Urgency::check) a.safety.push_back(before_work());
  return a;
}

PointEvidence point_evidence(const Diagnosis& d) {
  PointEvidence e;
  e.verdict = d.verdict;
  e.place = d.place;
  e.place_set = d.place_set;
  e.probability_of_damage = d.probability_of_damage;
  e.probability_of_place = d.probability_of_place;
  e.prior = d.prior;
  e.calibrated_share = d.calibrated_share;
  e.excluded_depth = d.excluded_depth;
  e.bearing_known = d.orders.has_value();
  e.stage = judge_stage(stage_evidence(d));
  e.causes = d.other_causes;
  e.findings = d.findings;
  if (d.verdict == Verdict::indeterminate) e.cannot_tell = d.headline;
  e.how_to_record = d.advice;
  if (d.machine) {
    e.vibration = d.machine->vibration;
    e.other_end = d.machine->other_end;
  } else {
    e.vibration.velocity = measured_velocity(d).rms;
    e.vibration.why_not = no_zone_without_machine(d);
  }
  return e;
}

Assessment assess(const Diagnosis& diagnosis) { return assess(point_evidence(diagnosis)); }

MachineAssessment assess_machine(std::span<const Assessment* const> points) {
  if (points.empty()) throw std::invalid_argument{"assess_machine: no point"};
  MachineAssessment m;
  m.urgency = points.front()->urgency;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Assessment& a = *points[i];
    const Assessment& worst = *points[m.decided_by];
    if (a.urgency > worst.urgency || (a.urgency == worst.urgency && a.zone > worst.zone))
      m.decided_by = i;
    m.urgency = std::max(m.urgency, a.urgency);
    m.zone = std::max(m.zone, a.zone);
  }
  return m;
}

}  // namespace bearingdsp
