#pragma once
/// What a look at one channel costs, apart from what is asked of the recording.
#include <cstddef>
#include <optional>
#include <vector>

#include "bearingdsp/capture/glitch.hpp"
#include "bearingdsp/capture/quality.hpp"
#include "bearingdsp/dsp/spectrum.hpp"

namespace bearingdsp::capture_detail {

/// What does not depend on the shaft or the bearing.
struct MeasuredQuality {
  Hz rate;
  SampleUnit unit{SampleUnit::uncalibrated};
  std::size_t samples{0};
  std::optional<double> full_scale;
  Findings levels;                   ///< of the samples
  bool vibration{false};             ///< else `levels` is all that can be said
  std::optional<Spectrum> spectrum;  ///< averaged; none where there is no power above 1 Hz
  Findings slope;                    ///< of its low end
  Findings between_lines;            ///< of what is between its lines
  Findings processing;
};

/// glitches: those of the samples, where they are known; null: they are looked for.
[[nodiscard]] MeasuredQuality measure_quality(SignalView signal, std::optional<double> full_scale,
                                              FftPlans& plans, const std::vector<Glitch>* glitches);

/// assess_quality() of what was measured; `needs.full_scale` is that of the measurement.
[[nodiscard]] Findings quality_for(const MeasuredQuality& measured, const QualityNeeds& needs);

}  // namespace bearingdsp::capture_detail
