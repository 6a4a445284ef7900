#pragma once
/// Speed and angle from a tacho or keyphasor channel.
#include <vector>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/finding.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/speed/phase_track.hpp"
#include "bearingdsp/speed/shaft_speed.hpp"

namespace bearingdsp {

struct TachoOptions {
  double pulses_per_revolution{1};  ///< > 0
  double hysteresis{0.3};           ///< of the distance between the two levels, 0 .. 0.9
};

struct TachoReading {
  ShaftSpeed speed;
  PhaseTrack track;           ///< angle of the shaft against time
  std::vector<double> edges;  ///< times of the pulses after repair, s from the first sample
  int missing_pulses{0};      ///< filled in
  int extra_pulses{0};        ///< taken out
  Findings findings;
};

/// Reads pulses of either polarity: the leading edge (the one towards the rarer level), between
/// samples by linear interpolation, with hysteresis between robust levels. Missing pulses are
/// filled, double ones taken out, where the neighbours leave no doubt; both are reported.
/// Units:  any; levels have no meaning
/// Errors: too_short for fewer than 3 pulses; bad_argument for options out of range, a flat
///         channel, or spacing too irregular for a shaft
/// Source: closed form
[[nodiscard]] Result<TachoReading> read_tacho(SignalView channel, const TachoOptions& options = {});

}  // namespace bearingdsp
