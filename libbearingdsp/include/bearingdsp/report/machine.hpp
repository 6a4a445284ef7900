#pragma once
/// What was understood of a machine file.
#include <string>
#include <vector>

#include "bearingdsp/machine/machine.hpp"
#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// One machine as a person reads it: nameplate, bearings with their defect frequencies at rated
/// speed, measuring points, and what is missing for a full diagnosis.
[[nodiscard]] Report machine_report(const Machine& machine);

/// All machines and errors of a file as JSON. Shape: {"machines": [...], "errors": [...]}, see
/// docs/machine-files.md
[[nodiscard]] std::string machine_check_json(const MachineCheck& check);

}  // namespace bearingdsp
