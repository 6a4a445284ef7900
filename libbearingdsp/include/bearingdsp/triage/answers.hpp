#pragma once
/// What people hear, feel, smell, see and measure at a motor without an accelerometer: the
/// questions, the words for the answers, and answers that follow from temperatures and currents.
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/machine/cautions.hpp"
#include "bearingdsp/machine/machine.hpp"
#include "bearingdsp/verdict/assessment.hpp"

namespace bearingdsp {

struct TriageAnswer {
  std::string question;                         ///< name of its question
  std::string name;                             ///< "growl"; unique over all questions
  std::vector<std::string> also;                ///< other words for it within its question
  ObservedState state{ObservedState::nothing};  ///< what it means at once, whatever its cause
  std::string meaning;                          ///< how to know it, or the numbers; may be empty
};

/// How answers of one question count together.
enum class AnswerKind : std::uint8_t {
  single,       ///< one answer
  independent,  ///< several, each counts
  alike,        ///< several that overlap: the strongest counts, the others together one point
};

struct TriageQuestion {
  std::string name;    ///< "heard"
  std::string option;  ///< of the command line; empty where numbers answer it
  std::string ask;     ///< the question, a sentence
  AnswerKind kind{AnswerKind::single};
  std::vector<Caution> cautions;      ///< of the step that finds the answer
  std::vector<TriageAnswer> answers;  ///< in the order in which they are shown
};
/// In the order in which they are asked.
/// Source: data/triage_questions.csv, triage_answers.csv
[[nodiscard]] const std::vector<TriageQuestion>& triage_questions();
/// The question of that name.
/// Errors: std::invalid_argument for another name
[[nodiscard]] const TriageQuestion& triage_question(std::string_view name);

/// The answer that a word means to a question, in any case, by its name or another word.
/// Errors: not_found with what was probably meant
[[nodiscard]] Result<TriageAnswer> triage_answer(std::string_view question, std::string_view word);

/// What a thermometer and a clamp meter read.
struct HandReadings {
  std::optional<Celsius> drive_end, non_drive_end;  ///< at the bearing caps, after an hour of load
  std::optional<Celsius> frame, ambient;
  std::vector<double> currents_a;  ///< of the three phases, A; empty or [3]
};
/// Answers that follow from the readings by the limits of data/triage_limits.csv; a meaning has the
/// numbers.
/// Errors: bad_argument for currents that are not three numbers above 0, or temperatures outside
/// -60 to 400 degC
[[nodiscard]] Result<std::vector<TriageAnswer>> answers_of_readings(const HandReadings& readings);
/// The end whose bearing is clearly hotter, if one is. Limit: end_difference of the same file
[[nodiscard]] std::optional<MachineEnd> hotter_end(const HandReadings& readings);

/// A limit that triage uses.
struct TriageLimit {
  std::string name;
  double value{0};
  std::string unit;
  std::string meaning;
  std::string source;
  std::string status;  ///< "confirmed", "memory", "derived", "ours"
};
/// All of them.
/// Source: data/triage_limits.csv
[[nodiscard]] const std::vector<TriageLimit>& triage_limits();

}  // namespace bearingdsp
