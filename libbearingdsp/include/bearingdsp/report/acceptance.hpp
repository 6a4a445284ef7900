#pragma once
/// The acceptance of a motor as a report and as JSON.
#include <string>
#include <string_view>

#include "bearingdsp/comparison/acceptance.hpp"
#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// Pass, fail or repeat; what to do next; every criterion with its limit. `source` names the
/// motor or the recording. Of the `recordings` the one with the highest vibration, a damaged one before all
/// others, is drawn if it kept its spectra; that is said where there are several.
[[nodiscard]] Report acceptance_report(const AcceptanceResult& result, std::string_view source,
                                       const Side& recordings = {});
/// "bearingdsp.acceptance/1"
[[nodiscard]] std::string acceptance_json(const AcceptanceResult& result, std::string_view source,
                                          const JsonOptions& options = {});

}  // namespace bearingdsp
