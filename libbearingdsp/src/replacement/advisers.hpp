#pragma once
/// The parts of a replacement plan. Each adds its advice and fills its fields.
#include "bearingdsp/replacement/plan.hpp"

namespace bearingdsp {

void advise_on_choice(ReplacementPlan& plan);    ///< speed, sides, thrust, current, clearance
void advise_on_mounting(ReplacementPlan& plan);  ///< fits and heating
void advise_on_grease(ReplacementPlan& plan);
void advise_on_life(ReplacementPlan& plan);

}  // namespace bearingdsp
