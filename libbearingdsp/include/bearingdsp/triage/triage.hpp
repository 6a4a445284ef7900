#pragma once
/// What is probably wrong with a motor, from the answers of people and, where there is one, from a
/// recording: one ranked list of faults in which all evidence multiplies.
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/token.hpp"
#include "bearingdsp/triage/answers.hpp"
#include "bearingdsp/verdict/assessment.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

/// A place at the motor for the sensor.
enum class MotorPlace : std::uint8_t {
  de_horizontal,
  de_vertical,
  de_axial,
  nde_horizontal,
  nde_vertical,
  nde_axial,
  frame,
  feet,
  base,
};
inline constexpr std::size_t motor_place_count = 9;
/// "DE horizontal" ... as points are named in a machine file; "frame", "feet", "base"
[[nodiscard]] std::string_view token(MotorPlace place) noexcept;
/// Where exactly it is and what it is good for, in a sentence.
/// Source: common practice
[[nodiscard]] std::string_view place_words(MotorPlace place) noexcept;

/// One reason for or against a fault.
struct TriageReason {
  std::string answer;  ///< or "recording"
  double points{0};    ///< that it counts: each doubles the odds, a negative one halves them
  std::string why;
  std::string source;
};

struct TriageFault {
  std::string name;
  double share{0};                    ///< of such motors before any answer, 0 .. 1
  double points{0};                   ///< sum over the reasons
  double probability{0};              ///< if exactly one of the faults explains everything, 0 .. 1
  std::vector<TriageReason> reasons;  ///< strongest first, those against last
  std::string confirm;                ///< what to do first, a sentence
  std::vector<Caution> cautions;      ///< of that step
  std::string remedy;
  std::string record;              ///< what to record next
  std::vector<MotorPlace> places;  ///< where to put the sensor, best first
};

/// Two answers that cannot both be true.
struct TriageConflict {
  std::string one, other;
  std::string why;
};

struct TriageInquiry {
  std::vector<TriageAnswer> answers;
  std::optional<MachineEnd> end;  ///< that is noisy or hot, if one is
};

struct Triage {
  TriageInquiry inquiry;
  std::vector<TriageFault> faults;  ///< all, most probable first; probabilities sum to 1
  std::vector<TriageConflict> conflicts;
  double damage_by_answers{0};  ///< probability of bearing damage from the answers alone
  bool recorded{false};         ///< a recording counts too
  std::string recording;        ///< its name and what it says, in a sentence; empty without one
  Assessment assessment;        ///< urgency and actions, by the table of docs/urgency.md
};

/// Ranks the faults: share x 2^points, normalised. The recording adds points by Bayes' rule:
/// damage by damage_likelihood_ratio(), other faults by their odds over the neutral ones of
/// data/triage_limits.csv, each limited there. The assessment is assess() of the recording, with
/// the share of damage by the answers as prior, and of what was noticed. Pure.
/// Errors: bad_argument without any answer and without a recording
/// Sources: data/triage_rules.csv, triage_faults.csv, each row with its own; docs/triage.md
[[nodiscard]] Result<Triage> triage(const TriageInquiry& inquiry,
                                    const Diagnosis* recording = nullptr);

/// Number of rules, for documents and tests.
/// Errors: none
[[nodiscard]] std::size_t triage_rule_count();
/// The words for the source of a rule or limit: "common practice, no source", "follows from
/// how it works" or "workshop practice T1", which docs/sources.md describes.
/// Errors: none
[[nodiscard]] std::string triage_source_words(std::string_view key);

}  // namespace bearingdsp
