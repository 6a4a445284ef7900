#pragma once
/// Ranges of a plan; errors name the field.
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/simulate/simulation.hpp"

namespace bearingdsp::simulation {

class Motion;

/// What can be seen without simulating.
[[nodiscard]] Result<void> check(const SimulationPlan& plan);
/// What needs the speed over the recording: it stays above 0, and no line is above half the
/// rate.
[[nodiscard]] Result<void> check_speed(const SimulationPlan& plan, const Motion& motion);

}  // namespace bearingdsp::simulation
