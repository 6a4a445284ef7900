#pragma once
/// The outcome of a validation as a report.
#include <string>
#include <vector>

#include "bearingdsp/dataset/outcome.hpp"
#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// Per dataset and in total: every grade with its 95 % interval and the Brier score. Over all
/// recordings: the reliability of the probabilities, what was named as what, detection against
/// false alarms, the time a recording takes (where it was measured). Plots: detection against false
/// alarms over every threshold, and reliability.
[[nodiscard]] Report validation_report(const std::vector<Outcome>& outcomes);
/// "bearingdsp.validation/1": the same and every recording.
[[nodiscard]] std::string validation_json(const std::vector<Outcome>& outcomes,
                                          const JsonOptions& options = {});
/// What changed between two runs.
[[nodiscard]] Report comparison_report(const std::vector<OutcomeChange>& changes);

}  // namespace bearingdsp
