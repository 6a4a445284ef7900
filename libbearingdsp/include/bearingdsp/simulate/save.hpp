#pragma once
/// A simulated recording as a file, in the form that its plan's recorder would give.
#include <string>

#include "bearingdsp/capture/whole_file.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/simulate/simulation.hpp"

namespace bearingdsp {

/// Writes by the ending of the path: .wav as PCM of 16 or 24 bits over the plan's range if the plan
/// quantises to at most so many bits, else as 32-bit float in m/s^2; .csv with commas and a time
/// column; .txt with tabs, decimal comma and a time column.
/// A PCM file holds fractions of the range: read it with the plan's range as full scale.
/// Errors: bad_argument for another ending, or a tacho channel in PCM; io
[[nodiscard]] Result<void> save(const Simulation& simulation, const std::string& path);
/// Whether the path ends in what save() writes.
/// Errors: bad_argument
[[nodiscard]] Result<void> check_ending(const std::string& path);
/// The same into a file that was started, by the ending of its path; its caller commits it.
[[nodiscard]] Result<void> save(const Simulation& simulation, WholeFile& file);

}  // namespace bearingdsp
