#include "bearingdsp/verdict/ends.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "bearingdsp/core/percent.hpp"
#include "verdict/words.hpp"

namespace bearingdsp {
namespace {

// Frequencies closer than elements slip are one family.
constexpr double slip_reach = SlipModel{}.reach;
// Common practice, no source: a quarter in strength or 6 dB in level is more than two mountings of
// a sensor differ by.
constexpr double clear_ratio = 1.25;
constexpr double clear_db = 6;
// A level that is evidence against the strength by more than this is a contradiction.
constexpr double against_db = 3;

double frequency(const FamilyEvidence& f, const Diagnosis& d) {
  return at_speed(f.part == Part::rolling_element ? 2 * f.fitted : f.fitted, d.speed.rate).value();
}

/// Whether the strongest family here is among those present there.
bool heard(const Diagnosis& here, const Diagnosis& there) {
  constexpr double detected = 0.1;
  const auto* f = wording::strongest(here);
  if (f == nullptr) return false;
  return std::any_of(there.families.begin(), there.families.end(), [&](const FamilyEvidence& g) {
    const double hz = frequency(*f, here);
    return g.strength >= detected && std::abs(frequency(g, there) - hz) <= slip_reach * hz;
  });
}

std::optional<double> level_db(const Diagnosis& de, const Diagnosis& nde) {
  if (de.figures.empty() || nde.figures.empty() || de.figures[0].unit != nde.figures[0].unit)
    return std::nullopt;
  const auto loudest = [](const Diagnosis& d) {
    double most = 0;
    for (const auto& f : d.figures) most = std::max(most, f.envelope_rms.value_or(0));
    return most;
  };
  const double a = loudest(de);
  const double b = loudest(nde);
  return a > 0 && b > 0 ? std::optional{20 * std::log10(a / b)} : std::nullopt;
}

std::string_view title(MachineEnd end) {
  return end == MachineEnd::drive_end ? "drive end (DE)" : "non-drive end (NDE)";
}

void one_end(EndsCompared& e, MachineEnd end, const Diagnosis& here, const Diagnosis& there) {
  e.carrier = end;
  e.headline = fmt::format("It is the bearing at the {}: {} (damaged {}).", title(end),
                           words(here.place), percent(here.probability_of_damage));
  if (there.verdict == Verdict::indeterminate)
    e.advice =
        "The other bearing cannot be judged while this one masks it: record again after the "
        "change.";
}

/// The same lines at both ends.
void one_source(EndsCompared& e, const Diagnosis& de, const Diagnosis& nde) {
  const double r = *e.strength_ratio;
  const double l = e.level_db.value_or(0);
  const bool at_de = std::abs(l) >= clear_db ? l > 0 : r > 1;
  const double ratio = at_de ? r : 1 / r;
  const double db = at_de ? l : -l;
  const bool agree = ratio > 1 / clear_ratio && db > -against_db;
  const std::string level =
      e.level_db ? fmt::format(", {:.0f} dB {}", std::abs(db), db >= 0 ? "louder" : "quieter") : "";
  if (agree && (ratio >= clear_ratio || db >= clear_db)) {
    const MachineEnd end = at_de ? MachineEnd::drive_end : MachineEnd::non_drive_end;
    const Diagnosis& d = at_de ? de : nde;
    e.carrier = end;
    e.headline = fmt::format(
        "It is the bearing at the {}: {}. The same lines are present at both ends, there {:.1f} "
        "times "
        "as clear{}.",
        title(end), words(d.place), ratio, level);
    e.advice =
        "Change that one. The impacts reach the other end through the frame: record there again "
        "after the change, before you change that bearing too.";
    return;
  }
  e.headline = fmt::format(
      "Cannot tell which end it is: the same lines are present at both, {:.1f} times as clear{} at "
      "the {}.",
      ratio, level, title(at_de ? MachineEnd::drive_end : MachineEnd::non_drive_end));
  e.advice =
      "Record both ends again with the same sensor and mounting, as close to the bearings as is "
      "safe, at the highest sample rate: high frequencies fade first.";
}

}  // namespace

EndsCompared compare_ends(const Diagnosis& de, const Diagnosis& nde) {
  EndsCompared e;
  e.level_db = level_db(de, nde);
  const bool at_de = de.verdict == Verdict::fault;
  const bool at_nde = nde.verdict == Verdict::fault;
  if (at_de != at_nde) {
    if (at_de)
      one_end(e, MachineEnd::drive_end, de, nde);
    else
      one_end(e, MachineEnd::non_drive_end, nde, de);
    return e;
  }
  if (!at_de) {
    const bool healthy = de.verdict == Verdict::no_fault && nde.verdict == Verdict::no_fault;
    e.headline = healthy ? "Neither end shows a bearing fault."
                         : fmt::format("No bearing fault found at both ends (DE: {}, NDE: {}).",
                                       words(de.verdict), words(nde.verdict));
    return e;
  }
  const auto* strong = wording::strongest(de);
  const auto* other = wording::strongest(nde);
  if (strong != nullptr && other != nullptr) e.strength_ratio = strong->strength / other->strength;
  if (e.strength_ratio && (heard(de, nde) || heard(nde, de))) {
    one_source(e, de, nde);
    return e;
  }
  e.both = true;
  e.headline = fmt::format(
      "Both bearings show damage of their own: {} at the drive end (DE), {} at the non-drive end "
      "(NDE).",
      words(de.place), words(nde.place));
  e.advice = "Change both, and record both ends again.";
  return e;
}

}  // namespace bearingdsp
