#pragma once
/// The outcome of a validation as a report.
#include <string>
#include <vector>

#include "bearingdsp/dataset/outcome.hpp"
#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// Per dataset and in total: every grade with its 95 % interval, Brier score, and the reliability
/// of the probabilities over all records.
[[nodiscard]] Report validation_report(const std::vector<Outcome>& outcomes);
/// What changed between two runs.
[[nodiscard]] Report comparison_report(const std::vector<OutcomeChange>& changes);

}  // namespace bearingdsp
