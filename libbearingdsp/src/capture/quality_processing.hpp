#pragma once
/// Processing meant for speech: automatic gain, noise suppression, a voice band.
#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/finding.hpp"
#include "bearingdsp/dsp/fft.hpp"

namespace bearingdsp::capture_detail {

/// A finding for each sign that phones and sound cards changed the signal; thresholds are named
/// with their reason in the source. None for a recording below 1 s.
[[nodiscard]] Findings look_for_processing(const SignalView& signal, FftPlans& plans);

}  // namespace bearingdsp::capture_detail
