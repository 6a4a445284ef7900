#pragma once
/// What the reports of balancing share: words of weights, cautions, the drawing of a plane.
#include <string>
#include <vector>

#include "bearingdsp/balancing/job.hpp"
#include "bearingdsp/report/model.hpp"
#include "report/json_parts.hpp"

namespace bearingdsp::balance_parts {

/// "19.5 g at 43.5°"
[[nodiscard]] std::string weight_words(const BalanceWeight& weight);
/// "12.3 g at blade or hole 2 (45.0°) and 7.4 g at 3 (90.0°)"
[[nodiscard]] std::string split_words(const WeightSplit& split);
[[nodiscard]] std::string degrees_words(Degrees angle);
/// What to check before unbalance is believed.
/// Source: common practice
[[nodiscard]] ReportSection first_checks();
/// The cautions of runs and weights; `force` is that of the heaviest weight, where known.
/// Source: common practice; local rules go before
[[nodiscard]] ReportSection cautions(const std::string& force);
/// From where and in which direction angles count.
[[nodiscard]] ReportSection angle_section(AngleSense sense);
/// One plane: the mark, the rotation, positions, the trial weights and the answer.
[[nodiscard]] ReportPolar plane_drawing(const std::string& title, AngleSense sense,
                                        const std::vector<BalanceWeight>& trial,
                                        const BalanceWeight& answer,
                                        const std::optional<Positions>& positions,
                                        const std::optional<WeightSplit>& split);
[[nodiscard]] Json weight_json(const BalanceWeight& weight);
[[nodiscard]] Json split_json(const WeightSplit& split);

}  // namespace bearingdsp::balance_parts
