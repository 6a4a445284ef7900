#include "bearingdsp/verdict/stage.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/verdict/judgement.hpp"

namespace bearingdsp {
namespace {

// A resonance is a small part of the range; a series that is strongest in a third of it or more
// excites several at once.
constexpr double wide_share = 0.3;
// Depth 1 is what impacts reach that carry the whole envelope; with several harmonics.
constexpr double full_depth = 1.5;
constexpr int several_harmonics = 3;
// The noise between impacts: tenfold power.
constexpr double raised_floor_db = 10;

std::string where_energy_sits(const StageEvidence& e) {
  return e.share >= wide_share
             ? fmt::format("the impacts carry energy over {:.0f} % of the recorded range",
                           100 * e.share)
             : fmt::format("the impacts excite one part of the range, {:.0f}-{:.0f} Hz",
                           e.band.low.value(), e.band.high.value());
}

std::string detected_lines(const StageEvidence& e) {
  std::string text = counted(e.harmonics, "harmonic");
  if (e.sidebands > 0) text += " and " + counted(e.sidebands, "sideband");
  return fmt::format("{} detected, modulation depth {:.0f} %", text, 100 * e.depth);
}

}  // namespace

std::string_view token(Stage stage) noexcept {
  switch (stage) {
    case Stage::unknown:
      return "cannot tell";
    case Stage::none:
      return "none";
    case Stage::early:
      return "early";
    case Stage::developed:
      return "developed";
    case Stage::advanced:
      return "advanced";
  }
  return "cannot tell";
}

StageEvidence stage_evidence(const Diagnosis& d) {
  StageEvidence e;
  e.verdict = d.verdict;
  for (const FamilyEvidence& f : d.families)
    if (f.strength > JudgementModel{}.even_strength) ++e.parts;
  // Two families on the same lines are one part: only the verdict knows whether both are damaged.
  if (d.place != Place::several) e.parts = std::min(e.parts, 1);
  if (d.families.empty()) return e;
  const FamilyEvidence& strongest = d.families.front();
  e.harmonics = strongest.harmonics_detected;
  e.sidebands = strongest.sidebands_detected;
  e.depth = strongest.depth;
  e.band = strongest.band;
  for (const BandEvidence& b : d.bands)
    if (b.band.low == e.band.low && b.band.high == e.band.high) e.share = b.share;
  return e;
}

StageJudgement judge_stage(const StageEvidence& e, std::optional<double> floor_rise_db) {
  if (e.verdict == Verdict::indeterminate)
    return {Stage::unknown, "the recording does not show the state of the bearing"};
  if (e.verdict == Verdict::no_fault)
    return {Stage::none, "no harmonic series of the bearing beyond what healthy bearings show"};
  if (e.harmonics == 0)
    return {Stage::unknown, "no harmonic series of the bearing given shows how far the damage is"};
  const std::string seen = detected_lines(e) + "; " + where_energy_sits(e);
  const bool wide = e.share >= wide_share;
  const bool full = e.depth >= full_depth && e.harmonics >= several_harmonics;
  if (e.parts > 1)
    return {Stage::advanced,
            fmt::format("{} components of the bearing are damaged; {}", e.parts, seen)};
  if (floor_rise_db && *floor_rise_db >= raised_floor_db && (wide || full))
    return {Stage::advanced, fmt::format("the noise between the impacts has risen by {:.0f} dB; {}",
                                         *floor_rise_db, seen)};
  if (!wide && !full) return {Stage::early, seen};
  return {Stage::developed,
          floor_rise_db ? fmt::format("{}; the noise between the impacts has changed by {:+.0f} dB",
                                      seen, *floor_rise_db)
                        : seen +
                              "; whether the noise between the impacts has risen too needs "
                              "earlier recordings"};
}

}  // namespace bearingdsp
