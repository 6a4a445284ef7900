#pragma once
/// The steps of compare_sides(), each on its own.
#include <optional>
#include <vector>

#include "bearingdsp/comparison/before_after.hpp"

namespace bearingdsp::comparing {

/// The recordings that can be compared.
[[nodiscard]] Side usable_of(const Side& side);

[[nodiscard]] SideSummary summary_of(const Side& side);
/// Verdict, component and causes of these recordings, usable ones.
void set_state(SideSummary& summary, const Side& usable);
/// The last three recordings of a side over which a level that counts drifts, else all of it.
[[nodiscard]] Side latest_state(const Side& side, const BeforeAfter& levels,
                                double LevelChange::*drift_db);
[[nodiscard]] std::vector<Difference> differences_of(const Side& before, const Side& after,
                                                     const CompareOptions& options);
[[nodiscard]] std::vector<DifferenceKind> taken_alike(const Side& before, const Side& after);
/// Fills levels and scatter. Sides hold usable recordings only; speeds from the summaries.
void compare_levels(BeforeAfter& result, const Side& before, const Side& after,
                    const CompareOptions& options);
[[nodiscard]] std::vector<FamilyChange> family_changes(const Side& before, const Side& after);
[[nodiscard]] std::optional<HitsChange> hits_change(const Side& before, const Side& after);
/// None where a side has damage, or nothing could be compared.
[[nodiscard]] std::optional<Sensitivity> sensitivity_of(const BeforeAfter& result);

/// From everything else: the change.
[[nodiscard]] Change decide(const BeforeAfter& result);
/// No damage and no family on either side, and no level moved by more than random scatter and the
/// work together do (LevelChange::alone_db).
[[nodiscard]] bool only_louder_or_quieter(const BeforeAfter& result);
/// What may be behind a new problem.
[[nodiscard]] std::vector<Suspicion> suspicions_of(const BeforeAfter& result);
/// Headline, reasons and advice.
void explain(BeforeAfter& result);

[[nodiscard]] const LevelChange* find_level(const BeforeAfter& r, Indicator indicator) noexcept;
[[nodiscard]] bool blocked(const BeforeAfter& r) noexcept;
/// Whether any level that counts could be compared.
[[nodiscard]] bool levels_compared(const BeforeAfter& r) noexcept;
/// Impacts and noise above 1 kHz: whether the envelope or the high band moved beyond the scatter,
/// and neither of them the other way.
[[nodiscard]] bool impacts_rose(const BeforeAfter& r) noexcept;
[[nodiscard]] bool impacts_fell(const BeforeAfter& r) noexcept;
/// The same by so much that it counts without a family or verdict that bears it out.
[[nodiscard]] bool impacts_rose_alone(const BeforeAfter& r) noexcept;
[[nodiscard]] bool rose_alone(const BeforeAfter& r, Indicator indicator) noexcept;
[[nodiscard]] bool rose(const BeforeAfter& r, Indicator indicator) noexcept;
[[nodiscard]] bool fell(const BeforeAfter& r, Indicator indicator) noexcept;
/// Sharp hits of any rhythm that are on one side only.
[[nodiscard]] bool hits_came(const BeforeAfter& r) noexcept;
[[nodiscard]] bool hits_went(const BeforeAfter& r) noexcept;
/// Rhythm and loudness agree: the bearing's strongest family, though too weak to be called, is
/// twice that of the other side, and the impacts moved the same way beyond the scatter. The rhythm
/// is read on flattened spectra, so that neither follows from the other.
[[nodiscard]] bool signs_say_more(const BeforeAfter& r) noexcept;
[[nodiscard]] bool signs_say_less(const BeforeAfter& r) noexcept;
/// A cause of the shaft is likely, and both the vibration of the whole and one of the shaft's lines
/// moved beyond the scatter.
[[nodiscard]] bool shaft_signs_say_more(const BeforeAfter& r) noexcept;
[[nodiscard]] bool shaft_signs_say_less(const BeforeAfter& r) noexcept;
/// Strength of the strongest family of a side.
[[nodiscard]] double strongest(const BeforeAfter& r, PartReading FamilyChange::*side) noexcept;
/// The level that stands for shaft and structure: velocity, or without a unit the overall level.
[[nodiscard]] Indicator whole_machine(const BeforeAfter& r) noexcept;
/// Causes other than the bearing that are likely after it (0.5 or more): those that came, and those
/// that were there before.
[[nodiscard]] std::vector<CauseEvidence> fresh_causes(const BeforeAfter& r);
[[nodiscard]] std::vector<CauseEvidence> lasting_causes(const BeforeAfter& r);

}  // namespace bearingdsp::comparing
