#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <optional>
#include <string>

#include "comparison/parts.hpp"

namespace bearingdsp::comparing {
namespace {

std::string cause_words(const std::vector<CauseEvidence>& causes) {
  std::vector<std::string_view> words;
  words.reserve(causes.size());
  for (const CauseEvidence& c : causes) words.push_back(name(c.cause));
  return fmt::format("{}", fmt::join(words, " and "));
}

/// "the outer ring", "the bearing"
std::string damaged_thing(const SideSummary& s) {
  switch (s.place) {
    case Place::outer_ring:
    case Place::inner_ring:
      return "the " + std::string{name(s.place)};
    case Place::rolling_element:
      return "a rolling element";
    case Place::cage:
      return "the cage";
    case Place::several:
      return "several parts of the bearing";
    default:
      return "the bearing";
  }
}

std::string verdict_words(const SideSummary& s) {
  if (s.usable == 0) return "no usable recording";
  if (s.verdict == Verdict::fault) return "damage of " + damaged_thing(s);
  return s.verdict == Verdict::no_fault ? "no damage found" : "cannot tell";
}

std::string why_blocked(const BeforeAfter& r) {
  for (const Difference& d : r.differences)
    if (d.bar == Bar::blocks) return d.what;
  return {};
}

std::string cured_headline(const BeforeAfter& r) {
  const auto lasting = lasting_causes(r);
  const std::string gone = "The damage of " + damaged_thing(r.before) + " is gone";
  if (lasting.empty()) return gone + ".";
  return fmt::format("{}; what remains is {}.", gone, cause_words(lasting));
}

std::string unchanged_headline(const BeforeAfter& r) {
  if (r.after.verdict == Verdict::fault)
    return fmt::format("The damage of {} is still there, as before.", damaged_thing(r.after));
  const auto lasting = lasting_causes(r);
  if (r.after.verdict == Verdict::no_fault && !lasting.empty())
    return fmt::format("The bearing was not the cause: {} is there as before.",
                       cause_words(lasting));
  if (r.after.verdict == Verdict::no_fault)
    return "Nothing moved by more than the scatter; no damage was found before or after.";
  return "Nothing moved by more than the scatter; whether the bearing is damaged stays open.";
}

std::string new_problem_headline(const BeforeAfter& r) {
  if (r.after.verdict == Verdict::fault) {
    const std::string now = fmt::format("Damage of {}", damaged_thing(r.after));
    if (r.before.verdict == Verdict::fault)
      return fmt::format("{} is new; that of {} is {}.", now, damaged_thing(r.before), "gone");
    return now + " is there that was not there before.";
  }
  const std::string before = r.before.verdict == Verdict::fault
                                 ? "The damage of " + damaged_thing(r.before) + " is gone, but "
                                 : "";
  const auto fresh = fresh_causes(r);
  std::string text = !fresh.empty() ? cause_words(fresh) + " is new."
                                    : "the bearing runs noisier than before, without damage that "
                                      "can be named.";
  if (before.empty()) text.front() = static_cast<char>(std::toupper(text.front()));
  return before + text;
}

std::string worse_headline(const BeforeAfter& r) {
  if (r.after.verdict == Verdict::fault)
    return fmt::format("Damage of {}, and more of it than before.", damaged_thing(r.after));
  if (impacts_rose(r)) return "The impacts and the noise above 1 kHz have risen.";
  return "The vibration of the shaft and the structure has risen; the bearing shows no damage.";
}

std::string improved_headline(const BeforeAfter& r) {
  if (r.after.verdict == Verdict::fault)
    return fmt::format("Less than before, but {} is still damaged.", damaged_thing(r.after));
  if (r.before.verdict == Verdict::fault)
    return fmt::format(
        "Much less of the damage of {}; that it is gone altogether the recording "
        "cannot say.",
        damaged_thing(r.before));
  return "It runs quieter than before; no damage was named before it.";
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
        "It runs {}, and nothing else has changed: opening a machine and fitting another bearing "
        "can do that.",
        moved_up(r) ? "louder" : "quieter");
  const bool flipped =
      r.before.verdict != Verdict::indeterminate && r.after.verdict != Verdict::indeterminate;
  return fmt::format("Before: {}; after: {}. {}", verdict_words(r.before), verdict_words(r.after),
                     flipped
                         ? "But neither the levels nor the families moved clearly, so that this "
                           "may be chance."
                         : "Whether that is a change cannot be told.");
}

std::string headline_of(const BeforeAfter& r) {
  switch (r.change) {
    case Change::cured:
      return cured_headline(r);
    case Change::improved:
      return improved_headline(r);
    case Change::unchanged:
      return unchanged_headline(r);
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

std::string level_words(const LevelChange& c) {
  return fmt::format("{} {} by {:.1f} dB; chance would do up to {:.1f} dB.",
                     c.indicator == Indicator::floor       ? "The noise between the impacts"
                     : c.indicator == Indicator::high_band ? "The level above 1 kHz"
                     : c.indicator == Indicator::envelope  ? "The impacts (envelope above 1 kHz)"
                     : c.indicator == Indicator::velocity  ? "The velocity"
                                                           : "The level of the whole signal",
                     c.change_db > 0 ? "rose" : "fell", std::abs(c.change_db),
                     std::max(1.0, 3 * c.scatter_db));
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
          fmt::format("The family of the {} is {}: strength {:.2f} before, {:.2f} after "
                      "(sound bearings stay below about 0.2).",
                      name(f.part), name(f.fate), f.before.strength, f.after.strength));
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
  if (!moved && !r.levels.empty())
    out.emplace_back(
        "No level that is compared (velocity, high band, envelope, noise floor) moved by more than "
        "chance does.");
  return out;
}

using Advice = std::vector<std::string>;

void settle(Advice& out) {
  out.emplace_back(
      "Measure again after 24 to 48 running hours, warm and at the usual load: then the grease has "
      "settled and the reading can serve as the new baseline.");
}

void still_damaged_advice(Advice& out, const BeforeAfter& r) {
  if (r.change == Change::new_problem) {
    out.emplace_back(
        "Do not take it as run-in: damage does not run in. Stop the motor when you can, isolate "
        "and lock out, and look at the bearing; what may be behind it is listed below.");
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
        "rate, the same speed and load, warm. Differences below says what is unlike.");
    return;
  }
  if (only_louder_or_quieter(r) && r.after.verdict == Verdict::no_fault) {
    out.emplace_back(
        "Record it again on other days. If it stays, listen and feel: noise above 1 kHz is grease "
        "or "
        "too little play, the rest is how the machine stands, its alignment and balance.");
    return;
  }
  out.emplace_back(
      "Record the open side again, 10 s or more at steady speed; several recordings a side make "
      "small changes visible.");
}

Advice advice_of(const BeforeAfter& r) {
  Advice out;
  if (r.change == Change::not_comparable || r.change == Change::cannot_tell)
    cannot_advice(out, r);
  else if (r.after.verdict == Verdict::fault)
    still_damaged_advice(out, r);
  else if (r.change == Change::new_problem)
    out.emplace_back("Go through what may be behind it, listed below, the first one first.");
  if (r.change == Change::cured && done_by_the_work(r))
    out.emplace_back(
        "It runs louder than before, which the work alone can do: listen, feel how warm the "
        "bearing "
        "gets, and compare again with later readings.");
  if (r.change == Change::cured) settle(out);
  if (r.change == Change::new_problem && r.after.verdict != Verdict::fault &&
      rose(r, Indicator::floor))
    settle(out);
  if (r.change != Change::not_comparable)
    for (const CauseEvidence& c : lasting_causes(r)) out.emplace_back(remedy(c.cause));
  if (r.change == Change::improved && r.after.verdict != Verdict::fault) settle(out);
  if (out.empty()) out.emplace_back("Nothing for now; measure at the next round.");
  return out;
}

}  // namespace

void explain(BeforeAfter& r) {
  r.headline = headline_of(r);
  r.reasons = reasons_of(r);
  r.advice = advice_of(r);
}

}  // namespace bearingdsp::comparing
