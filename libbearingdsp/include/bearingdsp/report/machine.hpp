#pragma once
/// What was understood of a machine file.
#include <string>
#include <vector>

#include "bearingdsp/machine/machine.hpp"
#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// One machine as a person reads it: nameplate, bearings with their defect frequencies at rated
/// speed, measuring points, and what is missing for a full diagnosis.
[[nodiscard]] Report machine_report(const Machine& machine);

/// A row a machine: speed, power, bearings, number of points. `title` names the plant.
[[nodiscard]] Report machine_list_report(const std::vector<Machine>& machines,
                                         const std::string& title);

/// "bearingdsp.machine-check/1": every machine that is right, and every error of the file.
[[nodiscard]] std::string machine_check_json(const MachineCheck& check,
                                             const JsonOptions& options = {});

}  // namespace bearingdsp
