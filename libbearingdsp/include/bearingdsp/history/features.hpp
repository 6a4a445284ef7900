#pragma once
/// The features of a recording without a history: what a reading of a history has.
#include <optional>
#include <string>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/history/record.hpp"
#include "bearingdsp/history/time.hpp"
#include "bearingdsp/verdict/at_machine.hpp"

namespace bearingdsp {

/// Reads and diagnoses the recording, long ones in pieces: levels, strengths of the parts, defect
/// orders and probabilities, the same as a route run keeps. `at`: where it was recorded, if that is
/// known; `time`: when, else as capture_time().
/// Units: as Reading.
/// Errors: those of read_capture(), diagnose() and capture_time()
[[nodiscard]] Result<Reading> recording_features(const std::string& path, const PointSetup& setup,
                                                 const std::optional<KnownPoint>& at,
                                                 FftPlans& plans,
                                                 std::optional<UtcTime> time = std::nullopt);

}  // namespace bearingdsp
