#pragma once
/// Can this recording be trusted for what is asked of it? Findings with their consequence.
#include <cstddef>
#include <optional>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/finding.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/dsp/fft.hpp"

namespace bearingdsp {

/// Revolutions from which clear defects are identified whose lines lie 0.05 orders or more from the
/// shaft's.
/// Source: simulated, docs/validation/short-records.md
inline constexpr double telling_revolutions = 40;

/// What the diagnosis needs of the recording.
struct QualityNeeds {
  /// Shaft rate, where known: with smallest_spacing it says how long a recording has to be.
  std::optional<Hz> shaft{};
  /// Smallest distance between two lines that have to be distinguished, in orders: FTF (about 0.4),
  /// 1x sidebands (1), or the distance of a defect order to the nearest shaft harmonic (0.05).
  Order smallest_spacing{0.35};
  /// Revolutions of the shaft below which the answer is often left open; 0: not asked for. See
  /// telling_revolutions.
  double revolutions{0};
  /// Largest magnitude the recorder can represent, in the unit of the samples, where known.
  std::optional<double> full_scale{};
};

/// Look at one channel: clipping, stuck or dropped samples, dc bias, ski slope, mains hum, too
/// little bandwidth, too short, level below the noise, coarse resolution, dead channel, no unit,
/// processing meant for speech (automatic gain, noise suppression, voice band).
///
/// Shape:  x [n]; the cost is a sort of the magnitudes' tail and one averaged spectrum.
/// Gives:  findings, `where` empty; none for a clean calibrated record. Thresholds are named in
///         quality.cpp with their reason.
/// Errors: none; an empty or non-finite signal gives a blocking finding.
[[nodiscard]] Findings assess_quality(SignalView signal, const QualityNeeds& needs,
                                      FftPlans& plans);

/// All channels of a capture (`where` is the channel's name), plus channels that carry the same
/// signal. Channel::full_scale is used where the file says so. Revolution channels are looked at
/// only for being dead.
[[nodiscard]] Findings assess_quality(const Capture& capture, const QualityNeeds& needs,
                                      FftPlans& plans);

}  // namespace bearingdsp
