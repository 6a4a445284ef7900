#pragma once
/// One recording, read as a whole or in pieces, and diagnosed by a plan.
#include <string>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "diagnose_options.hpp"

namespace cli {

/// Errors: those of reading and diagnosing; not_found for a tacho typed that is not there.
[[nodiscard]] bearingdsp::Result<bearingdsp::Diagnosis> diagnose_file(const std::string& file,
                                                                      const DiagnosePlan& plan,
                                                                      bearingdsp::FftPlans& plans);

}  // namespace cli
