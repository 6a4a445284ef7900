#include <algorithm>
#include <cmath>

#include "bearingdsp/verdict/judgement.hpp"
#include "comparison/parts.hpp"

namespace bearingdsp {
namespace comparing {
namespace {

constexpr double clearly = 2;  // 6 dB of strength

/// Too weak to be called, and still more than most healthy bearings show.
constexpr double weak_family = JudgementModel{}.even_strength / 2;

bool families_grew(const BeforeAfter& r) {
  return !r.families.empty() &&
         strongest(r, &FamilyChange::after) >= clearly * strongest(r, &FamilyChange::before);
}

bool families_shrank(const BeforeAfter& r) {
  return !r.families.empty() &&
         strongest(r, &FamilyChange::before) >= clearly * strongest(r, &FamilyChange::after);
}

/// Another part than before is named, and it did not stand before.
bool another_part(const BeforeAfter& r) {
  const auto now = part_of(r.after.place);
  if (!now || !part_of(r.before.place) || r.before.place == r.after.place) return false;
  return std::any_of(r.families.begin(), r.families.end(), [&](const FamilyChange& f) {
    return f.fate == FamilyFate::fresh && f.part == *now;
  });
}

/// A verdict that flips at its threshold while nothing else moves is no change.
bool more_damage(const BeforeAfter& r) {
  return impacts_rose(r) || families_grew(r) || hits_came(r);
}
bool less_damage(const BeforeAfter& r) {
  return impacts_fell(r) || families_shrank(r) || hits_went(r);
}

bool shaft_rose(const BeforeAfter& r) {
  return rose(r, whole_machine(r)) ||
         std::any_of(r.levels.begin(), r.levels.end(),
                     [](const LevelChange& c) { return !c.indicator && c.rose(); });
}

/// Likely after and not before, and a level that would carry it rose. Without such a rise it was
/// there before as well, hidden by the damage that is gone.
bool is_fresh(const BeforeAfter& r, const CauseEvidence& cause) {
  if (std::any_of(r.before.causes.begin(), r.before.causes.end(),
                  [&](const CauseEvidence& b) { return b.cause == cause.cause; }))
    return false;
  if (cause.cause == OtherCause::poor_lubrication) return rose(r, Indicator::floor);
  if (cause.cause == OtherCause::electrical_erosion) return impacts_rose(r);
  return shaft_rose(r);
}

Change still_damaged(const BeforeAfter& r) {
  if (r.before.verdict == Verdict::no_fault)
    return more_damage(r) ? Change::new_problem : Change::cannot_tell;
  // A recording that could not be judged has no families either: only levels speak then.
  if (r.before.verdict == Verdict::indeterminate)
    return impacts_rose_alone(r) ? Change::worse : Change::cannot_tell;
  if (another_part(r)) return Change::new_problem;
  if (!levels_compared(r)) {
    if (families_grew(r)) return Change::worse;
    return families_shrank(r) ? Change::improved : Change::unchanged;
  }
  if (impacts_rose(r)) return Change::worse;
  return impacts_fell(r) ? Change::improved : Change::unchanged;
}

/// What a bearing without a family can still bring with it: hits, noise of the grease, or trouble
/// of the shaft. Two healthy bearings differ in noise by themselves.
bool trouble_without_damage(const BeforeAfter& r) {
  return hits_came(r) || impacts_rose_alone(r) || rose_alone(r, Indicator::floor) ||
         !fresh_causes(r).empty();
}

Change now_sound(const BeforeAfter& r) {
  if (trouble_without_damage(r)) return Change::new_problem;
  if (r.before.verdict == Verdict::fault)
    return less_damage(r) ? Change::cured : Change::cannot_tell;
  if (signs_say_more(r) || rose(r, whole_machine(r))) return Change::worse;
  if (impacts_rose(r) || rose(r, Indicator::floor)) return Change::cannot_tell;
  const bool less =
      hits_went(r) || impacts_fell(r) || fell(r, whole_machine(r)) || fell(r, Indicator::floor);
  return less ? Change::improved : Change::unchanged;
}

Change not_settled(const BeforeAfter& r) {
  if (r.before.verdict == Verdict::fault) {
    if (hits_came(r) || impacts_rose_alone(r)) return Change::worse;
    return impacts_fell(r) && families_shrank(r) ? Change::improved : Change::cannot_tell;
  }
  if (hits_came(r)) return Change::new_problem;
  if (impacts_rose(r)) return Change::worse;
  if (rose(r, Indicator::floor)) return Change::new_problem;
  if (r.before.verdict == Verdict::no_fault) return Change::cannot_tell;
  return hits_went(r) || impacts_fell(r) ? Change::improved : Change::unchanged;
}

Change by_verdicts(const BeforeAfter& r) {
  if (r.after.verdict == Verdict::fault) return still_damaged(r);
  return r.after.verdict == Verdict::no_fault ? now_sound(r) : not_settled(r);
}

bool cause_of_the_shaft(const SideSummary& side) {
  return std::any_of(side.causes.begin(), side.causes.end(), [](const CauseEvidence& c) {
    return c.cause == OtherCause::unbalance || c.cause == OtherCause::misalignment_or_bent_shaft ||
           c.cause == OtherCause::looseness;
  });
}

}  // namespace

double strongest(const BeforeAfter& r, PartReading FamilyChange::*side) noexcept {
  double s = 0;
  for (const FamilyChange& f : r.families) s = std::max(s, (f.*side).strength);
  return s;
}

bool shaft_signs_say_more(const BeforeAfter& r) noexcept {
  return cause_of_the_shaft(r.after) && rose(r, whole_machine(r)) &&
         std::any_of(r.levels.begin(), r.levels.end(),
                     [](const LevelChange& c) { return !c.indicator && c.rose(); });
}

bool shaft_signs_say_less(const BeforeAfter& r) noexcept {
  return cause_of_the_shaft(r.before) && fell(r, whole_machine(r)) &&
         std::any_of(r.levels.begin(), r.levels.end(),
                     [](const LevelChange& c) { return !c.indicator && c.fell(); });
}

bool signs_say_more(const BeforeAfter& r) noexcept {
  return strongest(r, &FamilyChange::after) >= weak_family && families_grew(r) && impacts_rose(r);
}

bool signs_say_less(const BeforeAfter& r) noexcept {
  return strongest(r, &FamilyChange::before) >= weak_family && families_shrank(r) &&
         impacts_fell(r);
}

bool only_louder_or_quieter(const BeforeAfter& r) {
  if (r.before.verdict == Verdict::fault || r.after.verdict == Verdict::fault) return false;
  if (std::any_of(r.families.begin(), r.families.end(),
                  [](const FamilyChange& f) { return f.fate != FamilyFate::absent; }) ||
      !fresh_causes(r).empty())
    return false;
  if (hits_came(r) || hits_went(r) || signs_say_more(r) || signs_say_less(r) ||
      shaft_signs_say_more(r) || shaft_signs_say_less(r))
    return false;
  return std::none_of(r.levels.begin(), r.levels.end(), [&](const LevelChange& c) {
    return c.counts && (c.rose_alone() || c.fell_alone());
  });
}

Change decide(const BeforeAfter& r) {
  if (r.before.usable == 0 || r.after.usable == 0) return Change::cannot_tell;
  if (blocked(r)) return Change::not_comparable;
  const Change change = by_verdicts(r);
  if (change == Change::unchanged)
    return r.after.verdict == Verdict::fault || !lasting_causes(r).empty() ? change
                                                                           : Change::no_change_seen;
  return only_louder_or_quieter(r) ? Change::cannot_tell : change;
}

}  // namespace comparing

FollowUp follow_up(const BeforeAfter& r) {
  if (r.present && r.present->urgency >= Urgency::check) return FollowUp::something;
  switch (r.change) {
    case Change::cannot_tell:
    case Change::not_comparable:
      return FollowUp::cannot_tell;
    case Change::worse:
    case Change::new_problem:
      return FollowUp::something;
    default:
      break;
  }
  if (r.after.verdict == Verdict::fault) return FollowUp::something;
  if (r.after.verdict == Verdict::indeterminate) return FollowUp::cannot_tell;
  if (!r.present || r.present->urgency == Urgency::none) return FollowUp::nothing;
  return r.present->urgency >= Urgency::check ? FollowUp::something : FollowUp::cannot_tell;
}

namespace comparing {

Indicator whole_machine(const BeforeAfter& r) noexcept {
  return find_level(r, Indicator::velocity) != nullptr ? Indicator::velocity : Indicator::overall;
}

std::vector<CauseEvidence> fresh_causes(const BeforeAfter& r) {
  std::vector<CauseEvidence> fresh;
  for (const CauseEvidence& c : r.after.causes)
    if (is_fresh(r, c)) fresh.push_back(c);
  return fresh;
}

std::vector<CauseEvidence> lasting_causes(const BeforeAfter& r) {
  std::vector<CauseEvidence> lasting;
  for (const CauseEvidence& c : r.after.causes)
    if (!is_fresh(r, c)) lasting.push_back(c);
  return lasting;
}

}  // namespace comparing
}  // namespace bearingdsp
