#pragma once
/// The parts of a replacement plan. Each adds its advice and fills its fields.
#include "bearingdsp/replacement/plan.hpp"

namespace bearingdsp {

void advise_on_choice(ReplacementPlan& plan);  ///< speed, sides, thrust, current, clearance
void advise_on_temperature(ReplacementPlan& plan);
void advise_on_loads(ReplacementPlan& plan);     ///< belt pull, least load, rating life
void advise_on_mounting(ReplacementPlan& plan);  ///< fits and heating
void advise_on_grease(ReplacementPlan& plan);    ///< amount, interval, oil film, mixing

/// Of the advice: what is not judged, in words that say why and what to do.
[[nodiscard]] Advice not_judged(std::string topic, std::string why, std::string source);

}  // namespace bearingdsp
