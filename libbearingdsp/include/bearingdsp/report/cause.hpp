#pragma once
/// Root causes of a failed bearing as a report and as JSON.
#include <string>

#include "bearingdsp/replacement/cause.hpp"
#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// The causes with what to change, most points first, each reason with its source.
[[nodiscard]] Report cause_report(const CauseInquiry& inquiry);
/// What to look for and the words for it: the question, before anything was seen.
[[nodiscard]] Report damage_modes_report();
/// "bearingdsp.cause/1"
[[nodiscard]] std::string cause_json(const CauseInquiry& inquiry, const JsonOptions& options = {});
/// "bearingdsp.damage-modes/1"
[[nodiscard]] std::string damage_modes_json(const JsonOptions& options = {});

}  // namespace bearingdsp
