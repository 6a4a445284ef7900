#pragma once
/// Amplitude and phase of the vibration at shaft rate, from a recording with a tacho channel.
#include <complex>
#include <string>
#include <vector>

#include "bearingdsp/balancing/weight.hpp"
#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/unit.hpp"

namespace bearingdsp {

/// The 1x vector of one channel.
struct OneX {
  std::string channel;
  /// Velocity where the channel's unit is known (acceleration and displacement are converted), else
  /// the channel's own.
  SampleUnit unit{SampleUnit::uncalibrated};
  /// Amplitude rms in SI of `unit`, angle in the sense that was asked for.
  std::complex<double> vector;
  double scatter{0};  ///< one standard deviation of it within the recording, same unit
};
struct OneXReading {
  Rpm speed;
  double speed_variation{0};  ///< peak to peak, fraction
  int revolutions{0};         ///< whole ones that were used
  std::vector<OneX> channels;
};

/// The 1x vectors of all vibration channels. The angle is 0 when the leading edge of the tacho
/// pulse comes; a phase against the rotation is the angle by which the shaft has gone on when the
/// signal (for a velocity the velocity) is at its positive peak. Least squares for 1x, 2x, 3x and a
/// constant over blocks of whole revolutions, whose mean is taken; the scatter comes from the
/// differences of the blocks.
/// Shape: capture with a tacho channel of one pulse per revolution; `channels` chooses among the
/// others, in that order (empty: all) Accuracy: a harmonic signal at constant speed is recovered
/// within 1e-6; the place of the edge is known to a part of a sample
/// Errors: not_found for a channel; too_short below 20 revolutions; no_speed where the speed varies
///         by more than 5 %; those of read_tacho()
/// Source: closed form
[[nodiscard]] Result<OneXReading> measure_one_x(const Capture& capture, const std::string& tacho,
                                                const std::vector<std::string>& channels = {},
                                                AngleSense sense = AngleSense::against_rotation);

}  // namespace bearingdsp
