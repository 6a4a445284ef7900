#pragma once
/// Simulation plans and truths as JSON, described in docs/json-schema.md.
#include <string>
#include <string_view>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/simulate/simulation.hpp"

namespace bearingdsp {

/// "bearingdsp.plan/1": every field of a plan, units in the key names. Ends without a newline.
[[nodiscard]] std::string plan_json(const SimulationPlan& plan);
/// Reads a plan; a field left out keeps its default. `where` names the text in errors.
/// Errors: corrupt_file: not JSON, another schema, an unknown key or a value of the wrong kind,
/// named
[[nodiscard]] Result<SimulationPlan> parse_plan(std::string_view json, std::string_view where);
/// "bearingdsp.truth/1": what is damaged in a made capture, with the plan that made it.
[[nodiscard]] std::string truth_json(const SimulationTruth& truth);

}  // namespace bearingdsp
