#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "bearingdsp/dsp/statistics.hpp"
#include "bearingdsp/verdict/judgement.hpp"
#include "comparison/parts.hpp"

namespace bearingdsp::comparing {
namespace {

constexpr double likely = 0.5;
// A family far weaker than the strongest one may share lines with it.
constexpr double beside_strongest = 1.0 / 3;
constexpr double grown_ratio = 2;  // 6 dB

Verdict majority_verdict(const Side& side) {
  std::size_t fault = 0;
  std::size_t sound = 0;
  for (const ComparedRecording& r : side) {
    fault += r.reading.verdict == Verdict::fault ? 1U : 0U;
    sound += r.reading.verdict == Verdict::no_fault ? 1U : 0U;
  }
  if (2 * fault > side.size()) return Verdict::fault;
  return 2 * sound > side.size() ? Verdict::no_fault : Verdict::indeterminate;
}

using Named = std::pair<Place, std::vector<Part>>;

Named majority_place(const Side& side, Verdict verdict) {
  if (verdict == Verdict::no_fault) return {Place::none, {}};
  if (verdict == Verdict::indeterminate) return {Place::cannot_tell, {}};
  std::map<Named, std::size_t> votes;
  for (const ComparedRecording& r : side) {
    if (r.reading.verdict != Verdict::fault) continue;
    // "Element or cage" and "cage or element" are one set.
    Named named{r.reading.place, r.reading.place_set};
    std::sort(named.second.begin(), named.second.end());
    ++votes[named];
  }
  return std::max_element(votes.begin(), votes.end(),
                          [](const auto& a, const auto& b) { return a.second < b.second; })
      ->first;
}

/// Mean probability of every cause over the side; where a recording does not name one it is 0.
std::vector<CauseEvidence> likely_causes(const Side& side) {
  std::vector<CauseEvidence> causes;
  for (const ComparedRecording& r : side)
    for (const CauseEvidence& c : r.reading.causes) {
      const double share = c.probability / static_cast<double>(side.size());
      const auto at = std::find_if(causes.begin(), causes.end(),
                                   [&](const CauseEvidence& k) { return k.cause == c.cause; });
      if (at == causes.end())
        causes.push_back({c.cause, share, c.why});
      else
        at->probability += share;
    }
  causes.erase(std::remove_if(causes.begin(), causes.end(),
                              [](const CauseEvidence& c) { return c.probability < likely; }),
               causes.end());
  std::sort(causes.begin(), causes.end(), [](const CauseEvidence& a, const CauseEvidence& b) {
    return a.probability > b.probability;
  });
  return causes;
}

std::optional<Rpm> mean_speed(const Side& side) {
  double sum = 0;
  double n = 0;
  for (const ComparedRecording& r : side)
    if (r.reading.speed) {
      sum += r.reading.speed->value();
      ++n;
    }
  return n > 0 ? std::optional{Rpm{sum / n}} : std::nullopt;
}

PartReading median_part(const Side& side, std::size_t part) {
  std::vector<double> strength;
  std::vector<double> depth;
  std::vector<double> harmonics;
  std::vector<double> sidebands;
  for (const ComparedRecording& r : side) {
    const PartReading& p = r.reading.parts.at(part);
    strength.push_back(p.strength);
    depth.push_back(p.depth);
    harmonics.push_back(p.harmonics);
    sidebands.push_back(p.sidebands);
  }
  return {median(strength), median(depth), static_cast<int>(std::lround(median(harmonics))),
          static_cast<int>(std::lround(median(sidebands)))};
}

using Parts = std::array<PartReading, part_count>;

bool detected(const Parts& parts, std::size_t part) {
  double strongest = 0;
  for (const PartReading& p : parts) strongest = std::max(strongest, p.strength);
  const double strength = parts.at(part).strength;
  return strength >= JudgementModel{}.even_strength && strength >= beside_strongest * strongest;
}

FamilyFate fate_of(bool before, bool after, double ratio) {
  if (!before && !after) return FamilyFate::absent;
  if (!after) return FamilyFate::gone;
  if (!before) return FamilyFate::fresh;
  if (ratio >= grown_ratio) return FamilyFate::grown;
  return ratio <= 1 / grown_ratio ? FamilyFate::reduced : FamilyFate::still_there;
}

/// The recording in the middle by its level above 1 kHz; without that level the first.
const ComparedRecording& middle_of(const Side& side) {
  std::vector<const ComparedRecording*> by_level;
  for (const ComparedRecording& r : side)
    if (r.reading.levels.at(Indicator::high_band)) by_level.push_back(&r);
  if (by_level.empty()) return side.front();
  std::stable_sort(by_level.begin(), by_level.end(),
                   [](const ComparedRecording* a, const ComparedRecording* b) {
                     return *a->reading.levels.at(Indicator::high_band) <
                            *b->reading.levels.at(Indicator::high_band);
                   });
  return *by_level[(by_level.size() - 1) / 2];
}

}  // namespace

Side usable_of(const Side& side) {
  Side out;
  for (const ComparedRecording& r : side)
    if (usable(r)) out.push_back(r);
  return out;
}

void set_state(SideSummary& s, const Side& good) {
  s.verdict = majority_verdict(good);
  std::tie(s.place, s.place_set) = majority_place(good, s.verdict);
  s.probability_of_damage = 0;
  for (const ComparedRecording& r : good)
    s.probability_of_damage += r.reading.probability_of_damage / static_cast<double>(good.size());
  s.causes = likely_causes(good);
}

Side latest_state(const Side& side, const BeforeAfter& r, double LevelChange::*drift_db) {
  constexpr std::size_t latest = 3;
  const bool drifts = std::any_of(r.levels.begin(), r.levels.end(), [&](const LevelChange& c) {
    return c.counts && c.*drift_db != 0;
  });
  if (!drifts || side.size() <= latest) return side;
  return {side.end() - latest, side.end()};
}

SideSummary summary_of(const Side& side) {
  SideSummary s;
  s.recordings = side.size();
  for (const ComparedRecording& r : side) s.sources.push_back(r.reading.path);
  const Side good = usable_of(side);
  s.usable = good.size();
  if (good.empty()) return s;
  set_state(s, good);
  s.speed = mean_speed(good);
  const ComparedRecording& middle = middle_of(good);
  s.curves = middle.curves;
  s.curves_of = middle.reading.path;
  s.orders = middle.orders;
  return s;
}

std::vector<FamilyChange> family_changes(const Side& before, const Side& after) {
  Parts b;
  Parts a;
  for (std::size_t i = 0; i < b.size(); ++i) {
    b.at(i) = median_part(before, i);
    a.at(i) = median_part(after, i);
  }
  std::vector<FamilyChange> changes;
  for (std::size_t i = 0; i < b.size(); ++i) {
    const double was = b.at(i).strength;
    const double ratio = was > 0 ? a.at(i).strength / was : grown_ratio;
    changes.push_back(
        {static_cast<Part>(i), fate_of(detected(b, i), detected(a, i), ratio), b.at(i), a.at(i)});
  }
  return changes;
}

}  // namespace bearingdsp::comparing
