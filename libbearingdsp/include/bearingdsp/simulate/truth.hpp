#pragma once
/// Plans and truths as JSON text; docs/simulation.md lists the keys.
#include <string>
#include <string_view>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/simulate/simulation.hpp"

namespace bearingdsp {

/// Reads a plan. Every key may be left out and then has the default of SimulationPlan; units are
/// part of the key names. A bearing is given as sizes, as orders, or as a designation that means
/// one thing only in the built-in catalogue. `where` names the text in errors, usually its path.
/// Errors: bad_argument, one line with the path of the key: no JSON, an unknown key (with near
///         misses), a key given twice, a value of the wrong kind; geometry that is refused; a
///         designation that is unknown or ambiguous. Ranges are checked by simulate().
[[nodiscard]] Result<SimulationPlan> plan_from_json(std::string_view text, std::string_view where);

/// All keys of a plan, so that plan_from_json() gives the same plan again (bearings as orders).
[[nodiscard]] std::string to_json(const SimulationPlan& plan);

/// What is true of a simulated recording, with the plan in full. A level without defect or without
/// anything else is null.
[[nodiscard]] std::string to_json(const SimulationTruth& truth);

}  // namespace bearingdsp
