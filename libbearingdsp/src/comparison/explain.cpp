#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/machine/cautions.hpp"
#include "comparison/parts.hpp"

namespace bearingdsp::comparing {
namespace {

std::string cause_words(const std::vector<CauseEvidence>& causes) {
  std::string text;
  for (const CauseEvidence& c : causes) add_part(text, words(c.cause), " and ");
  return text;
}

std::string with_article(Part part) {
  return (part == Part::rolling_element ? "a " : "the ") + std::string{words(part)};
}

/// "the outer ring", "a rolling element or the cage", "the bearing"
std::string damaged_thing(const SideSummary& s) {
  if (!s.place_set.empty()) {
    std::string text;
    for (const Part part : s.place_set) add_part(text, with_article(part), " or ");
    return text;
  }
  switch (s.place) {
    case Place::outer_ring:
    case Place::inner_ring:
      return "the " + std::string{words(s.place)};
    case Place::rolling_element:
      return "a rolling element";
    case Place::cage:
      return "the cage";
    case Place::several:
      return "several components of the bearing";
    case Place::another_bearing:
      return "a bearing other than the one given";
    default:
      return "the bearing";
  }
}

std::string verdict_words(const SideSummary& s) {
  if (s.usable == 0) return "no usable recording";
  if (s.verdict == Verdict::fault) return "damage to " + damaged_thing(s);
  return s.verdict == Verdict::no_fault ? "no damage found" : "cannot tell";
}

std::string why_blocked(const BeforeAfter& r) {
  for (const Difference& d : r.differences)
    if (d.bar == Bar::blocks) return d.what;
  return {};
}

std::string cured_headline(const BeforeAfter& r) {
  const auto lasting = lasting_causes(r);
  const std::string gone = "The damage to " + damaged_thing(r.before) + " is gone";
  if (lasting.empty()) return gone + ".";
  return fmt::format("{}; {} remains.", gone, cause_words(lasting));
}

std::string unchanged_headline(const BeforeAfter& r) {
  if (r.after.verdict == Verdict::fault)
    return levels_compared(r)
               ? fmt::format("The damage to {} is unchanged.", damaged_thing(r.after))
               : fmt::format(
                     "The damage to {} is still present; without levels it is not clear whether it "
                     "grew.",
                     damaged_thing(r.after));
  const auto lasting = lasting_causes(r);
  if (!levels_compared(r))
    return fmt::format("{} is likely after the work; the levels cannot be compared.",
                       capital(cause_words(lasting)));
  if (r.after.verdict == Verdict::no_fault && !lasting.empty())
    return fmt::format("The bearing does not look like the cause: {} is present as before.",
                       cause_words(lasting));
  return fmt::format("{} is present as before; it is not clear whether the bearing is damaged.",
                     capital(cause_words(lasting)));
}

std::string nothing_seen_headline(const BeforeAfter& r) {
  if (!levels_compared(r))
    return r.before.verdict == Verdict::no_fault && r.after.verdict == Verdict::no_fault
               ? "No bearing damage found before or after; the levels cannot be compared."
               : "It is not clear whether the bearing is damaged, and the levels cannot be "
                 "compared.";
  if (r.before.verdict == Verdict::no_fault && r.after.verdict == Verdict::no_fault)
    return "No bearing damage found before or after, and no level changed by more than the "
           "scatter.";
  return "No level changed by more than the scatter; it is not clear whether the bearing is "
         "damaged.";
}

std::string new_problem_headline(const BeforeAfter& r) {
  if (r.after.verdict == Verdict::fault) {
    const std::string now = fmt::format("Damage to {}", damaged_thing(r.after));
    if (r.before.verdict == Verdict::fault)
      return fmt::format("{} is new; that to {} is gone.", now, damaged_thing(r.before));
    return now + " is new.";
  }
  const std::string before = r.before.verdict == Verdict::fault
                                 ? "The damage to " + damaged_thing(r.before) + " is gone, but "
                                 : "";
  const auto fresh = fresh_causes(r);
  std::string text = !fresh.empty() ? cause_words(fresh) + " is new."
                     : hits_came(r)
                         ? "sharp impacts are new, at none of the bearing's frequencies."
                         : "the bearing is noisier than before, without a sign of damage.";
  return before.empty() ? capital(std::move(text)) : before + text;
}

std::string worse_headline(const BeforeAfter& r) {
  if (r.after.verdict == Verdict::fault)
    return fmt::format("The damage to {} has grown.", damaged_thing(r.after));
  if (r.before.verdict == Verdict::fault && hits_came(r))
    return "Sharp impacts are new; it is not clear whether the damage is still present.";
  if (signs_say_more(r))
    return "Stronger impacts than before, and stronger at the bearing's frequencies; still too "
           "weak to call it damaged.";
  if (impacts_rose(r)) return "The impacts and the noise above 1 kHz have risen.";
  return "The vibration of the shaft and the structure has risen; the bearing shows no damage.";
}

std::string improved_headline(const BeforeAfter& r) {
  if (r.after.verdict == Verdict::fault)
    return fmt::format("Less than before, but {} is still damaged.", damaged_thing(r.after));
  if (r.before.verdict == Verdict::fault)
    return fmt::format(
        "The signs of damage to {} are much weaker; it is not clear whether it is gone.",
        damaged_thing(r.before));
  if (hits_went(r))
    return "The sharp impacts from before are gone; they were not assigned to a component.";
  if (signs_say_less(r))
    return "Weaker impacts than before, also at the bearing's frequencies; no damage was found "
           "before.";
  if (shaft_signs_say_less(r))
    return "The vibration of the shaft and the structure has fallen; the bearing shows no damage.";
  return "The machine is quieter than before; no damage was found before.";
}

/// The level above 1 kHz if it moved, else that of the whole machine.
bool moved_up(const BeforeAfter& r) {
  for (const Indicator i : {Indicator::envelope, Indicator::high_band, Indicator::floor})
    if (rose(r, i) || fell(r, i)) return rose(r, i);
  return rose(r, whole_machine(r));
}

std::string cannot_headline(const BeforeAfter& r) {
  if (r.before.usable == 0 || r.after.usable == 0)
    return fmt::format("No recording {} is good enough to compare.",
                       r.before.usable == 0 ? "before" : "after");
  if (r.before.verdict != Verdict::indeterminate && r.before.verdict == r.after.verdict)
    return fmt::format(
        "The machine is {}, and nothing else has changed: opening it and fitting another bearing "
        "can do that.",
        moved_up(r) ? "louder" : "quieter");
  const bool flipped =
      r.before.verdict != Verdict::indeterminate && r.after.verdict != Verdict::indeterminate;
  return fmt::format("Before: {}; after: {}. {}", verdict_words(r.before), verdict_words(r.after),
                     flipped ? "But neither the levels nor the harmonic series changed clearly: "
                               "this may be scatter."
                             : "It is not clear whether anything changed.");
}

std::string headline_of(const BeforeAfter& r) {
  switch (r.change) {
    case Change::cured:
      return cured_headline(r);
    case Change::improved:
      return improved_headline(r);
    case Change::unchanged:
      return unchanged_headline(r);
    case Change::no_change_seen:
      return nothing_seen_headline(r);
    case Change::worse:
      return worse_headline(r);
    case Change::new_problem:
      return new_problem_headline(r);
    case Change::cannot_tell:
      return cannot_headline(r);
    case Change::not_comparable:
      return "The two sides cannot be compared: " + why_blocked(r);
  }
  return {};
}

std::string_view level_subject(const LevelChange& c) {
  return c.indicator == Indicator::floor       ? "The noise between the impacts"
         : c.indicator == Indicator::high_band ? "The level above 1 kHz"
         : c.indicator == Indicator::envelope  ? "The impacts (envelope above 1 kHz)"
         : c.indicator == Indicator::velocity  ? "The velocity"
                                               : "The level of the whole signal";
}

std::string level_words(const LevelChange& c) {
  const double ratio = std::pow(10, c.change_db / 20);
  return fmt::format(
      "{} {} by {:.1f} dB, {}; the scatter is ±{:.1f} dB.", level_subject(c),
      c.change_db > 0 ? "rose" : "fell", std::abs(c.change_db),
      ratio > 1 ? fmt::format("to {:.1f} times", ratio) : fmt::format("to {:.0f} %", 100 * ratio),
      c.chance_db);
}

std::string hits_words(const HitsChange& hits) {
  return fmt::format(
      "Sharp impacts through most of the recording {}: the lower quartile of the kurtosis of its "
      "pieces is {:.1f} before and {:.1f} after (random noise has 3; from {:.0f} on impacts are "
      "distinct).",
      hits.fate == FamilyFate::fresh  ? "are new"
      : hits.fate == FamilyFate::gone ? "are gone"
                                      : "are there on both sides",
      hits.before, hits.after, kurtosis_of_hits);
}

std::string rhythm_words(const BeforeAfter& r) {
  return fmt::format(
      "At the bearing's frequencies the strength is at most {:.2f} before and {:.2f} after: too "
      "little to be called by itself, but a factor of two or more, and the impacts changed in the "
      "same direction.",
      strongest(r, &FamilyChange::before), strongest(r, &FamilyChange::after));
}

/// The level that drifts most over a side.
std::string drift_words(const BeforeAfter& r) {
  const LevelChange* found = nullptr;
  double db = 0;
  for (const LevelChange& c : r.levels)
    for (const double drift : {c.before_drift_db, c.after_drift_db})
      if (c.counts && std::abs(drift) > std::abs(db)) {
        found = &c;
        db = drift;
      }
  if (found == nullptr) return {};
  const bool before = db == found->before_drift_db;
  return fmt::format(
      "The readings {} do not scatter about one level: the {} {} steadily by {:.0f} dB. They are "
      "compared by the last of them.",
      before ? "before" : "after", found->name, db > 0 ? "rose" : "fell", std::abs(db));
}

/// The shaft's small lines move by themselves: said, because the table shows it.
std::string small_lines_words(const BeforeAfter& r) {
  std::vector<std::string> moved;
  for (const LevelChange& c : r.levels)
    if (!c.indicator && c.beyond)
      moved.push_back(fmt::format("{} {} by {:.0f} dB", c.name, c.change_db > 0 ? "rose" : "fell",
                                  std::abs(c.change_db)));
  if (moved.empty()) return {};
  return fmt::format(
      "Shaft harmonics: {}. Small ones vary by themselves and decide nothing; if one keeps "
      "growing, check alignment, balance and fastening.",
      fmt::join(moved, " and "));
}

std::string sensitivity_words(const Sensitivity& s) {
  const std::string level =
      s.level_db > 0 ? fmt::format("; a level that changes by more than {:.1f} dB", s.level_db)
                     : "";
  return fmt::format(
      "What would have been found: damage with a modulation depth of {:.0f} % or more (found: "
      "{:.0f} % before, {:.0f} % after){}. Smaller damage can stay hidden: on test rigs about one "
      "damaged bearing in seven shows no more.",
      100 * s.strength, 100 * s.before, 100 * s.after, level);
}

/// Where a level moved that says nothing by itself: what the work may do to it, dB.
std::optional<double> done_by_the_work(const BeforeAfter& r) {
  if (r.change != Change::cured && !(r.change == Change::cannot_tell && only_louder_or_quieter(r)))
    return std::nullopt;
  std::optional<double> db;
  for (const Indicator i :
       {Indicator::envelope, Indicator::high_band, Indicator::floor, whole_machine(r)}) {
    const LevelChange* c = find_level(r, i);
    if (c != nullptr && (r.change == Change::cured ? c->rose() : c->beyond))
      db = std::max(db.value_or(0), c->alone_db);
  }
  return db;
}

std::vector<std::string> reasons_of(const BeforeAfter& r) {
  std::vector<std::string> out;
  if (r.before.usable > 0 && r.after.usable > 0)
    out.push_back(
        fmt::format("Before: {}; after: {}.", verdict_words(r.before), verdict_words(r.after)));
  for (const FamilyChange& f : r.families)
    if (f.fate != FamilyFate::absent)
      out.push_back(
          fmt::format("The harmonic series of the {} {} {}: strength {:.2f} before, {:.2f} after "
                      "(healthy bearings stay below about 0.2).",
                      words(f.part), f.fate == FamilyFate::grown ? "has" : "is", words(f.fate),
                      f.before.strength, f.after.strength));
  if (r.hits && r.hits->fate != FamilyFate::absent) out.push_back(hits_words(*r.hits));
  if (r.before.verdict != Verdict::fault && r.after.verdict != Verdict::fault &&
      (signs_say_more(r) || signs_say_less(r)))
    out.push_back(rhythm_words(r));
  bool moved = false;
  for (const Indicator i :
       {Indicator::envelope, Indicator::high_band, Indicator::floor, whole_machine(r)})
    if (const LevelChange* c = find_level(r, i); c != nullptr && c->beyond) {
      out.push_back(level_words(*c));
      moved = true;
    }
  if (const auto db = done_by_the_work(r))
    out.push_back(fmt::format(
        "Opening the machine and fitting another bearing can move such a level by {:.0f} dB "
        "without any damage.",
        *db));
  if (std::string drift = drift_words(r); !drift.empty()) out.push_back(std::move(drift));
  if (!moved && levels_compared(r))
    out.emplace_back(
        "No level that counts (velocity, high band, envelope, noise floor) changed "
        "by more than the scatter.");
  if (r.change == Change::no_change_seen ||
      (r.change == Change::unchanged && r.after.verdict != Verdict::fault)) {
    if (std::string lines = small_lines_words(r); !lines.empty()) out.push_back(std::move(lines));
    if (r.sensitivity) out.push_back(sensitivity_words(*r.sensitivity));
  }
  return out;
}

using Advice = std::vector<std::string>;

void nothing_seen_advice(Advice& out, const BeforeAfter& r) {
  if (r.before.verdict == Verdict::no_fault && r.after.verdict == Verdict::no_fault)
    out.emplace_back(
        "If the bearing was changed because of something heard, felt or measured, these recordings "
        "neither confirm nor clear it: look at the old bearing (bearingdsp cause) and trust what "
        "is seen on it.");
  out.emplace_back(
      "To see smaller changes: three or more recordings before and after, 10 s or more each, at "
      "full load, with the sensor on the bearing housing itself.");
}

void grows_advice(Advice& out) {
  out.emplace_back(
      "Record it again within days, several times. If it stays or grows, listen and feel for what "
      "changed: the bearing (noise, heat), alignment, balance, mounting.");
}

void settle(Advice& out) {
  out.emplace_back(
      "Measure again after 24 to 48 running hours, warm and at the usual load: then the grease has "
      "settled and the reading can serve as the new baseline.");
}

void still_damaged_advice(Advice& out, const BeforeAfter& r) {
  if (r.change == Change::new_problem) {
    out.push_back(
        "Do not take it as run-in: damage does not bed in. " +
        cautioned(StepKind::work, "Then look at the bearing; possible causes are listed below."));
    return;
  }
  out.emplace_back(
      "If the bearing was changed: was it the right one? Record the other end of the motor and the "
      "driven machine too, and check that the number of the bearing given here is the one fitted.");
  out.emplace_back(r.change == Change::worse
                       ? "Plan its change at the next stop and measure more often until then."
                       : "If it was not changed yet, plan its change.");
}

void cannot_advice(Advice& out, const BeforeAfter& r) {
  if (r.change == Change::not_comparable) {
    out.emplace_back(
        "Record again in the same way as the other side: same point, sensor, fixing, range and "
        "rate, the same speed and load, warm. The differences are listed below.");
    return;
  }
  if (only_louder_or_quieter(r) && r.after.verdict == Verdict::no_fault) {
    out.emplace_back(
        "Record it again on other days. If it stays, listen and feel: noise above 1 kHz comes from "
        "the grease or too little clearance, the rest from mounting, alignment and balance.");
    return;
  }
  out.emplace_back(
      "Record the unclear side again, 10 s or more at steady speed; several recordings before "
      "and after make small changes visible.");
}

/// Whether the level bears a fault out that the spectrum has the pattern of.
bool matters(const BeforeAfter& r, OtherCause cause) {
  return r.present &&
         std::any_of(r.present->others.begin(), r.present->others.end(), [&](const OtherFault& f) {
           return f.cause == cause &&
                  (f.level == LevelJudged::too_high || f.level == LevelJudged::independent);
         });
}

Advice advice_of(const BeforeAfter& r) {
  Advice out;
  if (r.change == Change::not_comparable || r.change == Change::cannot_tell)
    cannot_advice(out, r);
  else if (r.after.verdict == Verdict::fault)
    still_damaged_advice(out, r);
  else if (r.change == Change::no_change_seen)
    nothing_seen_advice(out, r);
  else if (r.change == Change::worse)
    grows_advice(out);
  else if (r.change == Change::new_problem)
    out.emplace_back("Check the possible causes listed below, in that order.");
  if (r.change == Change::cured)
    for (const Indicator i :
         {Indicator::envelope, Indicator::high_band, Indicator::floor, whole_machine(r)})
      if (const LevelChange* c = find_level(r, i); c != nullptr && c->rose()) {
        out.push_back(fmt::format(
            "{} rose, which the work alone can cause: listen, feel how warm the bearing gets, and "
            "compare again with later readings.",
            level_subject(*c)));
        break;
      }
  if (r.change == Change::cured) settle(out);
  if (r.change == Change::new_problem && r.after.verdict != Verdict::fault &&
      rose(r, Indicator::floor))
    settle(out);
  if (r.change != Change::not_comparable)
    for (const CauseEvidence& c : lasting_causes(r))
      if (matters(r, c.cause)) out.emplace_back(remedy(c.cause));
  if (r.change == Change::improved && r.after.verdict != Verdict::fault) settle(out);
  if (out.empty() && (!r.present || r.present->urgency == Urgency::none))
    out.emplace_back("Nothing for now; measure at the next survey.");
  return out;
}

}  // namespace

void explain(BeforeAfter& r) {
  r.headline = headline_of(r);
  r.reasons = reasons_of(r);
  r.advice = advice_of(r);
}

}  // namespace bearingdsp::comparing
