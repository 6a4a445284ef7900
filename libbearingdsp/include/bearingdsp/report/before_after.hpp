#pragma once
/// The comparison of before and after as a report and as JSON.
#include <string>

#include "bearingdsp/comparison/before_after.hpp"
#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// The verdict, what to do, why, what may be behind a new problem, then the evidence: families,
/// levels side by side, differences in how it was recorded.
[[nodiscard]] Report before_after_report(const BeforeAfter& result);
/// "bearingdsp.comparison/1"
[[nodiscard]] std::string before_after_json(const BeforeAfter& result,
                                            const JsonOptions& options = {});

}  // namespace bearingdsp
