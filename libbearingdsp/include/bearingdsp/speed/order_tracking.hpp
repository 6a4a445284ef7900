#pragma once
/// The track of a shaft's angle from the vibration itself, where there is no tacho.
#include <span>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/speed/estimate.hpp"
#include "bearingdsp/speed/phase_track.hpp"

namespace bearingdsp {

struct TrackOptions {
  SpeedInterval search{};             ///< the rate stays within it
  double max_change_per_second{0.2};  ///< of the rate, as a fraction
  Seconds window{0};                  ///< of the short-time spectra; 0: so many turns as usual
  /// Whether the evened record is asked for the comb as well: two transforms more, without which
  /// PhaseTrack::confidence only says that no other path is as good
  bool check_evened{true};
  /// Even changes of the rate over the recording, as a fraction of its mean, up to which the path
  /// is looked for as a departure from them: within a short-time spectrum a run-up of 1:3 (1.0)
  /// smears every line. 0: none, at a ninth of the cost
  double max_drift{0};
  double max_order{10};  ///< highest order whose line should stay sharp: decides `worthwhile`
};

/// Follows the rate through short-time spectra (best path over rates, dynamic programming on the
/// comb of harmonics; with `max_drift` on time axes that even out so many linear run-ups and
/// run-downs, of which the one with the clearest path is taken), then sharpens the angle on the
/// phase of the harmonic that stands best. A bearing's impacts make a comb in the vibration, too:
/// PhaseTrack::confidence is how probable it is that the comb that was followed is the shaft's.
/// Shape:  axes of equal length and rate
/// Errors: too_short where the recording holds fewer than 20 revolutions of the slowest rate;
/// no_speed
///         where no path is distinct
/// Source: best path: Viterbi's algorithm [forney1973]; phase demodulation [bonnardot2005]
[[nodiscard]] Result<PhaseTrack> track_from_vibration(std::span<const SignalView> axes,
                                                      FftPlans& plans,
                                                      const TrackOptions& options = {},
                                                      const ModelParameters& model = {});

}  // namespace bearingdsp
