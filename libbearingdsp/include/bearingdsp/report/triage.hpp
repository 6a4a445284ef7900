#pragma once
/// Triage as a report and as JSON.
#include <string>

#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/model.hpp"
#include "bearingdsp/triage/triage.hpp"

namespace bearingdsp {

/// The ranked faults with reasons, what to do, what to record and where; a drawing of the motor.
/// Errors: none
[[nodiscard]] Report triage_report(const Triage& triage);
/// The questions with the words for the answers: before anything was said.
/// Errors: none
[[nodiscard]] Report triage_questions_report();
/// "bearingdsp.triage/1"
/// Errors: none
[[nodiscard]] std::string triage_json(const Triage& triage, const JsonOptions& options = {});
/// "bearingdsp.triage-questions/1"
/// Errors: none
[[nodiscard]] std::string triage_questions_json(const JsonOptions& options = {});

}  // namespace bearingdsp
