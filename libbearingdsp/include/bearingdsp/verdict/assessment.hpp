#pragma once
/// What the user reads about a measuring point or a machine. Every command, the JSON, the pages
/// and Python show this; none adds a judgement of its own.
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/token.hpp"
#include "bearingdsp/machine/limits.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "bearingdsp/verdict/stage.hpp"

namespace bearingdsp {

/// What has to be done, least urgent first. The table that decides it: docs/urgency.md
enum class Urgency : std::uint8_t {
  none,           ///< nothing before the next survey
  measure_again,  ///< the recording cannot tell
  check,          ///< look at the machine, or confirm by a second recording
  plan,           ///< plan the repair
  act,            ///< do not wait for the next survey
};
/// "OK", "measure again", "check", "plan", "act now"
[[nodiscard]] std::string_view token(Urgency urgency) noexcept;

/// Whether the vibration level makes another fault matter.
enum class LevelJudged : std::uint8_t {
  unknown,      ///< no unit: the spectrum has the pattern, how strong it is nobody can tell
  no_limits,    ///< the level is measured, but the machine's limits are not known
  acceptable,   ///< zone A or B
  too_high,     ///< zone C or D
  independent,  ///< the fault matters at any level: rotor bars, current through the bearing, grease
};
/// "unknown", "no limits", "acceptable", "too high", "independent"
[[nodiscard]] std::string_view token(LevelJudged level) noexcept;

/// Probability from which on a fault other than the bearing's is named. Ours, docs/urgency.md
inline constexpr double other_fault_from{0.5};

/// A fault other than bearing damage.
struct OtherFault {
  OtherCause cause{};
  double probability{0};
  LevelJudged level{LevelJudged::unknown};
  std::string why;  ///< the numbers behind it, in one sentence
};

/// How the levels moved against the point's own earlier readings.
enum class LevelChangeSeen : std::uint8_t { none, alert, alarm };

/// What people noticed at the machine without an instrument for vibration, least urgent first.
enum class ObservedState : std::uint8_t {
  nothing,
  suspicion,  ///< a fault is likely by what was heard, felt or seen
  warning,    ///< too hot, metallic grinding: it cannot wait for the next survey
  danger,     ///< smoke, sparks, an electric shock, a bearing above its trip temperature
};
/// "nothing", "suspicion", "warning", "danger"
[[nodiscard]] std::string_view token(ObservedState state) noexcept;

/// The worst of what was noticed.
struct Observation {
  ObservedState state{ObservedState::nothing};
  std::string what;    ///< "smoke", "DE bearing at 104 degC (alarm 100)"
  std::string action;  ///< what to do about a suspicion or a warning, a sentence
};

/// What is known of a measuring point when it is assessed: from one diagnosis, or from the latest
/// reading of its history and its trend.
struct PointEvidence {
  Verdict verdict{Verdict::indeterminate};
  Place place{Place::cannot_tell};
  std::vector<Part> place_set;
  double probability_of_damage{0.5};
  double probability_of_place{0};
  double prior{default_prior};
  double calibrated_share{JudgementModel{}.calibrated_share};  ///< as Diagnosis::calibrated_share
  std::optional<double> excluded_depth;                        ///< as Diagnosis::excluded_depth
  bool bearing_known{true};
  StageJudgement stage;
  std::vector<CauseEvidence> causes;
  VelocityJudgement vibration;
  Findings findings;
  std::string cannot_tell;                 ///< headline of a diagnosis that cannot tell
  std::vector<std::string> how_to_record;  ///< its advice
  std::optional<OtherEnd> other_end;       ///< what is seen of the bearing at the other end
  LevelChangeSeen change{};                ///< of the levels against the baseline
  std::vector<std::string> why_changed;    ///< a sentence for each alert or alarm
  bool damage_disappeared{false};          ///< called in earlier readings, not in this one
  std::string disappeared_advice;          ///< how to note a bearing change
  Observation observed;                    ///< at the machine, without a recording
};

/// What the user reads about one measuring point.
struct Assessment {
  Urgency urgency{Urgency::none};
  std::string headline;              ///< one sentence: the bearing, then other faults and the zone
  std::string bearing;               ///< its first part: the bearing alone, with the probability
  std::string component;             ///< damaged one in words, as component_words()
  std::string deadline;              ///< "now", "within a week" ...; empty where nothing is to do
  std::vector<std::string> actions;  ///< at most three, most urgent first
  std::vector<OtherFault> others;    ///< from other_fault_from on, most probable first
  std::vector<std::string> doubts;   ///< what may be wrong with this answer
  std::string doubt;                 ///< "Doubt: ..." of the headline: it may reverse the answer
  std::vector<std::string> safety;   ///< cautions before hands go to the machine
  Verdict verdict{Verdict::indeterminate};
  Stage stage{Stage::unknown};
  /// Only where no fault is found: how probable damage remains, for the prior, and
  /// Diagnosis::excluded_depth (1 is 100 %).
  std::optional<double> remaining_damage, excluded_depth;
  /// The same where every second bearing is damaged: of one that is suspected.
  std::optional<double> remaining_if_suspected;
  double prior{default_prior};
  /// The machine's zone; without its size the zone that holds for every class of machines, if any.
  std::optional<Zone> zone;
};

/// Assesses a point by the table of docs/urgency.md: the worst row that applies decides, and all
/// that apply are named. Pure.
/// Errors: none.
/// Source: zones [iso20816-1] clause 6; the other rows are common practice, no source
[[nodiscard]] Assessment assess(const PointEvidence& evidence);
/// The same from one diagnosis alone, without a history.
[[nodiscard]] Assessment assess(const Diagnosis& diagnosis);
/// What assess(const Diagnosis&) starts from.
[[nodiscard]] PointEvidence point_evidence(const Diagnosis& diagnosis);

/// How many times more likely the recording is with a damaged bearing than with a healthy one: the
/// probability of a diagnosis without the share of damaged ones that it was fitted on.
/// Units: probability 0 .. 1, taken as 1e-9 .. 1 - 1e-9; calibrated_share: that share, a fraction
/// between 0 and 1, neither included.
/// Errors: none
/// Source: Bayes' rule, Diagnosis::probability_of_damage
[[nodiscard]] double damage_likelihood_ratio(
    double probability_of_damage,
    double calibrated_share = JudgementModel{}.calibrated_share) noexcept;

/// What the user reads about a whole machine.
struct MachineAssessment {
  Urgency urgency{Urgency::none};
  std::size_t decided_by{0};  ///< index of the point that decides
  std::optional<Zone> zone;   ///< the worst of its points
};
/// The most urgent point decides; of several alike the one in the worst zone. Pure.
/// Shape: points [n], n >= 1; pointers that are not null.
/// Errors: std::invalid_argument for n = 0
[[nodiscard]] MachineAssessment assess_machine(std::span<const Assessment* const> points);

/// The damaged component in words: "inner ring", "rolling element or cage", "both rings",
/// "a bearing other than the one given"; empty where it is not identified.
/// Shape: place_set [0] or [2], likelier one first.
/// Errors: none
[[nodiscard]] std::string component_words(Place place, std::span<const Part> place_set);

/// What is damaged, as the subject of a sentence: "Inner ring of the bearing", "Bearing" where the
/// component is not identified, "A bearing other than the one given".
/// Shape: as component_words().
/// Errors: none
[[nodiscard]] std::string damaged_subject(Place place, std::span<const Part> place_set);
/// The headline of a bearing without a finding, without its full stop.
inline constexpr std::string_view nothing_found = "No bearing fault found";
/// How probable it is that a bearing without a finding is healthy: on a survey and if suspected, or
/// for a prior of one's own.
/// Shape: remaining_damage has a value
[[nodiscard]] std::string healthy_words(const Assessment& assessment);
/// The scale of words for a probability, 0 .. 1: "very likely" from 0.9, "likely" from 0.7,
/// "possible" below.
[[nodiscard]] std::string_view likelihood_words(double probability) noexcept;
/// "1.2 mm/s rms, zone B: acceptable for long-term operation", or why there is no zone.
/// Errors: none.
/// Source: zones [iso20816-1] clause 6
[[nodiscard]] std::string vibration_words(const VelocityJudgement& vibration);
/// The level alone: "3.1 mm/s rms (2-1000 Hz) and 95 µm rms"; empty without a velocity.
[[nodiscard]] std::string level_words(const VelocityJudgement& vibration);

}  // namespace bearingdsp
