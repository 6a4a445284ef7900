#pragma once
/// Root causes of a failed bearing as a report and as JSON.
#include <span>
#include <string>

#include "bearingdsp/replacement/cause.hpp"
#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// The causes with what to change, most points first, each reason with its source.
[[nodiscard]] Report cause_report(const CauseInquiry& inquiry);
/// What to look for and the words for it: the question, before anything was seen.
[[nodiscard]] Report damage_modes_report();
/// A page with a drawing of each mode, state and trace, to hold beside the bearing; two sheets of
/// A4 when printed. `seen` are framed.
/// Shape: UTF-8 HTML without script that loads nothing
[[nodiscard]] std::string damage_pictures_html(std::span<const DamageMode> seen = {});
/// "bearingdsp.cause/1"
[[nodiscard]] std::string cause_json(const CauseInquiry& inquiry, const JsonOptions& options = {});
/// "bearingdsp.damage-modes/1"
[[nodiscard]] std::string damage_modes_json(const JsonOptions& options = {});

}  // namespace bearingdsp
