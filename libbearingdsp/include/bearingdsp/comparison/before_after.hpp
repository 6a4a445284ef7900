#pragma once
/// Did the work on the machine cure it? Recordings of one point before and after it: what changed,
/// whether that is more than random scatter does, and what it means. Rules and limits:
/// docs/compare.md
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "bearingdsp/comparison/recording.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/token.hpp"
#include "bearingdsp/history/record.hpp"
#include "bearingdsp/history/time.hpp"
#include "bearingdsp/verdict/assessment.hpp"
#include "bearingdsp/verdict/place.hpp"

namespace bearingdsp {

enum class Change : std::uint8_t {
  cured,           ///< the bearing was damaged and no longer is
  improved,        ///< less of it than before
  unchanged,       ///< the same damage, or the same cause of the shaft, is there as before
  no_change_seen,  ///< no damage on either side and nothing moved: what would have shown is said
  worse,           ///< more of it than before
  new_problem,     ///< something is there that was not before
  cannot_tell,     ///< a recording does not settle it
  not_comparable,  ///< the two sides are not alike enough
};
/// "cured", "improved", "unchanged", "no change seen", "worse", "new problem", "cannot tell", "not
/// comparable"
[[nodiscard]] std::string_view token(Change change) noexcept;

/// In which way the two sides were not recorded alike.
enum class DifferenceKind : std::uint8_t {
  speed,
  load,
  unit,
  sensor,
  fixing,
  range,
  rate,
  bandwidth,
  recording,  ///< none at all: one recording is on both sides
};
[[nodiscard]] std::string_view token(DifferenceKind kind) noexcept;

/// What a difference does to the comparison.
enum class Bar : std::uint8_t {
  noted,    ///< to know
  allowed,  ///< corrected, or paid for by a wider scatter
  levels,   ///< the levels are not comparable; lines, and shape of the signal, are
  blocks,   ///< not comparable
};
/// "noted", "allowed for", "levels not compared", "not comparable"
[[nodiscard]] std::string_view token(Bar bar) noexcept;

struct Difference {
  DifferenceKind kind{};
  Bar bar{Bar::noted};
  std::string what;  ///< one sentence with both values and what was made of it
};

/// Where the scatter of the levels is known from.
enum class ScatterSource : std::uint8_t {
  recordings,  ///< several recordings a side, drawn towards the usual repeatability
  pieces,      ///< pieces of single recordings, on top of the usual repeatability
  assumed,     ///< the usual repeatability alone
};
/// In words for a person.
[[nodiscard]] std::string_view token(ScatterSource source) noexcept;

/// One level on both sides.
struct LevelChange {
  std::string name;                    ///< "velocity", "high band", "1x" ...
  std::optional<Indicator> indicator;  ///< none for the shaft's harmonics
  std::optional<SampleUnit> unit;      ///< of before and after; none for a ratio
  /// Geometric means over the recordings; of readings that drift what they had come to at the end.
  double before{0}, after{0};
  double change_db{0};  ///< 20 lg(after / before)
  /// A steady rise (or fall) of the readings of a side over its time (drift_of): it is a trend, not
  /// scatter. 0: none.
  /// Shape: only of four readings or more with their times
  double before_drift_db{0}, after_drift_db{0};
  double scatter_db{0};  ///< standard deviation of that change
  double chance_db{0};   ///< so much chance does: 3 scatters, at least 1 dB
  bool beyond{false};    ///< more than random scatter
  bool counts{false};    ///< decides; the others are shown
  /// Up to here chance and the work itself move it without any damage: what a level says that no
  /// family and no verdict bears out counts only beyond it.
  double alone_db{0};
  [[nodiscard]] bool rose() const noexcept { return beyond && change_db > 0; }
  [[nodiscard]] bool fell() const noexcept { return beyond && change_db < 0; }
  [[nodiscard]] bool rose_alone() const noexcept { return change_db > alone_db; }
  [[nodiscard]] bool fell_alone() const noexcept { return change_db < -alone_db; }
};

enum class FamilyFate : std::uint8_t { absent, gone, reduced, still_there, grown, fresh };
/// "not there", "gone", "reduced", "still there", "grown", "new"
[[nodiscard]] std::string_view token(FamilyFate fate) noexcept;

/// The family of one part on both sides: medians over the recordings.
struct FamilyChange {
  Part part{Part::outer_ring};
  FamilyFate fate{FamilyFate::absent};
  PartReading before, after;
};

/// Sharp hits through most of a recording, whatever their rhythm.
struct HitsChange {
  /// Kurtosis that three in four of the pieces of a recording reach, the median of several
  /// recordings: a knock from outside does not move it, as it would that of the whole. Even noise
  /// has 3.
  /// Shape: four pieces or more
  double before{0}, after{0};
  FamilyFate fate{FamilyFate::absent};  ///< without degrees: kurtosis falls as damage spreads
};
/// From here on impacts are distinct from the noise: twice what random noise has.
inline constexpr double kurtosis_of_hits = 6;

/// What a pair that shows nothing would have shown.
struct Sensitivity {
  /// A part is called damaged from this strength on; the strongest family of either side.
  double strength{0}, before{0}, after{0};
  double level_db{0};  ///< largest change of a level that counts which chance can do
};

/// One side as a whole.
struct SideSummary {
  std::size_t recordings{0}, usable{0};
  Verdict verdict{Verdict::indeterminate};  ///< of most of the usable ones
  Place place{Place::cannot_tell};          ///< named by most of those that call a fault
  std::vector<Part> place_set;              ///< of these, as Diagnosis::place_set
  double probability_of_damage{0.5};        ///< mean over the usable ones
  std::optional<Rpm> speed;                 ///< mean
  std::vector<CauseEvidence> causes;        ///< mean probability, those of 0.5 and more
  std::vector<std::string> sources;         ///< files, or dates of readings
  /// Spectra of the usable recording whose level above 1 kHz is the median, for pictures; empty
  /// unless they were kept.
  std::vector<Curve> curves;
  std::string curves_of;               ///< its source
  std::optional<DefectOrders> orders;  ///< of the bearing
};

/// What may be behind a new problem, to be looked at in this order.
struct Suspicion {
  std::string what;   ///< "the bearing was dented in mounting"
  std::string why;    ///< what in the recordings is evidence for it
  std::string check;  ///< what tells
};

struct BeforeAfter {
  Change change{Change::cannot_tell};
  std::string headline;              ///< one sentence, plain words
  std::vector<std::string> reasons;  ///< strongest first
  std::vector<std::string> advice;   ///< what to do, in order
  SideSummary before, after;
  std::vector<Difference> differences;  ///< those that block first
  /// What decides a comparison and was not given for both sides: the answer holds if it was the
  /// same.
  std::vector<DifferenceKind> taken_alike;
  std::vector<LevelChange> levels;
  ScatterSource scatter{ScatterSource::assumed};
  std::vector<FamilyChange> families;  ///< by Part; empty where no bearing was given
  /// Of single captures; out of a history only with three readings or more on both sides.
  std::optional<HitsChange> hits;
  std::optional<Sensitivity> sensitivity;  ///< where no damage is named on either side
  std::vector<Suspicion> suspicions;       ///< of a new problem
  /// The latest recording after the work by itself, as diagnose tells it; none if none is usable.
  std::optional<Assessment> present;
};

struct CompareOptions {
  KnownLimits limits{{}, "the machine is not known"};  ///< of the vibration after the work
  double speed_tolerance{0.03};                        ///< alike up to this fraction
  double speed_correctable{0.10};  ///< paid for by scatter up to this, not comparable beyond
  double load_tolerance{15};       ///< percentage points; beyond it not comparable
  double repeatability_db{1.5};    ///< of a level between two visits, standard deviation
  double refitting_db{1.0};        ///< of taking the sensor off and putting it back
  /// Of opening the machine and fitting another bearing, standard deviation: common to all
  /// recordings after it, so that more of them do not lessen it. 0 where it stayed closed.
  double rebuilding_db{4.0};
  double sigmas{3};  ///< a change counts beyond so many standard deviations ...
  double min_db{1};  ///< ... and this much
};

/// One side: recordings of one point in one state of the machine.
using Side = std::vector<ComparedRecording>;

/// What follows from a comparison: the exit code of the command.
enum class FollowUp : std::uint8_t {
  nothing,      ///< nothing is to be done
  something,    ///< the bearing, or another cause that is likely after the work
  cannot_tell,  ///< the recordings do not settle it
};
/// What has to be done by the change and by the present state, whichever asks for more. Pure.
/// Errors: none.
/// Source: the urgencies of docs/urgency.md
[[nodiscard]] FollowUp follow_up(const BeforeAfter& result);

/// Compares two sides. Where a level that counts drifts over a side, its verdict, lines and causes
/// are those of its last three recordings. Pure.
/// Shape: one recording or more a side.
/// Errors: std::invalid_argument for an empty side
/// Source: limits are ours, measured in docs/validation/compare.md
[[nodiscard]] BeforeAfter compare_sides(const Side& before, const Side& after,
                                        const CompareOptions& options = {});

/// Captures of one side with what the analysis is given.
struct CapturedSide {
  std::vector<Capture> captures;
  DiagnoseOptions diagnosis;
  RecordingFacts facts;
  std::optional<KnownPoint> at{};  ///< where they were made, if the machine is known
};
/// Brings all captures to the lowest rate among them, measures and compares. A recording that is on
/// both sides is found by its samples (same_signal()).
/// Errors: those of diagnose(), with the file; bad_argument for an empty side
[[nodiscard]] Result<BeforeAfter> compare_captures(const CapturedSide& before,
                                                   const CapturedSide& after,
                                                   const std::vector<BearingCandidate>& bearings,
                                                   FftPlans& plans,
                                                   const CompareOptions& options = {});

/// The work that sides_of_event() would compare around.
/// Errors: not_found with what there is
[[nodiscard]] Result<Event> event_meant(const PointHistory& history,
                                        std::optional<UtcTime> when = {});
/// How sides around that work are to be compared: greasing leaves the machine closed.
[[nodiscard]] CompareOptions options_around(const Event& event);

/// The readings of a point around an event: up to five before and after it, none beyond the next
/// event of a kind that begins a baseline. `when` names the event by its time or day; without it
/// the latest "bearing replaced" counts, or where there is none the latest repair or greasing.
/// Readings at another load or speed than the others (the run at no load after the work) are left
/// out, as long as some remain on both sides.
/// Errors: not_found with what there is: no such event, no reading on one side of it
[[nodiscard]] Result<std::pair<Side, Side>> sides_of_event(const PointHistory& history,
                                                           std::optional<UtcTime> when = {});

}  // namespace bearingdsp
