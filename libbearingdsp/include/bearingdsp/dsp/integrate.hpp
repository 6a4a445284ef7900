#pragma once
/// From acceleration to velocity and its broad-band level, for recordings that are not periodic.
#include <span>
#include <vector>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/unit.hpp"
#include "bearingdsp/dsp/fft.hpp"

namespace bearingdsp {

/// Corners of the broad-band velocity of machine vibration.
/// Source: [iso20816-1]
struct VelocityBand {
  Hz low{10};
  Hz high{1000};
};

/// Rms velocity in the band, from acceleration (m/s^2), velocity (m/s) or displacement (m): power
/// of half-overlapped Hann segments as long as the recording allows (up to 40 periods of the low
/// corner), times omega^-2, 1 or omega^2. A line of the spectrum that straddles a corner counts by
/// the part of it inside, so a sine exactly on a corner counts half its power. Above rate/2 nothing
/// is recorded and nothing is added.
/// Units:    -> m/s rms
/// Accuracy: a sine f two line spacings inside the band reads high by about 1/(6 (f T)^2) relative,
///           T the segment length in s (0.02 % at 12.3 Hz and T = 2.4 s, 0.2 % at 0.8 s), whatever
///           its phase, within another 0.5 % of leakage in recordings of 10 periods, less in longer
/// Errors:   too_short if the recording is shorter than 3 periods of the low corner; bad_argument
/// if
///           the band is empty, reversed or at or above rate/2; missing_metadata for another unit
[[nodiscard]] Result<double> velocity_rms(std::span<const double> x, Hz rate, SampleUnit unit,
                                          FftPlans& plans, const VelocityBand& band = {});

/// As velocity_rms(), displacement: times omega^-4, omega^-2 or 1.
/// Units: -> m rms
/// Errors:   as velocity_rms
[[nodiscard]] Result<double> displacement_rms(std::span<const double> x, Hz rate, SampleUnit unit,
                                              FftPlans& plans, const VelocityBand& band = {});

/// Running integral of x limited to the band: acceleration gives velocity, velocity displacement.
/// The straight trend is removed, the ends are continued so that the integral is mirrored, and the
/// spectrum is multiplied by 1/(i omega) and a zero-phase band with half-cosine slopes (half a
/// corner wide).
/// Shape:    x [n] -> y [n]; U -> U s
/// Accuracy: a sine two slopes inside the band is right within 1.5 % of its amplitude further than
///           two periods of the low corner from the ends; nearer the ends within 15 % well above
///           the low corner and 50 % close to it: take levels from velocity_rms
/// Errors:   as velocity_rms
[[nodiscard]] Result<std::vector<double>> integrate(std::span<const double> x, Hz rate,
                                                    FftPlans& plans, const VelocityBand& band = {});

}  // namespace bearingdsp
