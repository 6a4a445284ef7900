#pragma once
/// Angle of the shaft against time, and signals sampled at even steps of that angle.
#include <span>
#include <string>
#include <vector>

#include "bearingdsp/core/quantity.hpp"

namespace bearingdsp {

/// Angle of the shaft in revolutions at a set of rising times; linear extrapolation at the ends,
/// monotone cubic between. The zero of the angle has no meaning unless a keyphasor fixed it.
struct PhaseTrack {
  std::vector<double> time;         ///< s from the first sample, strictly rising
  std::vector<double> revolutions;  ///< strictly rising, as many as times
  double tracked_variation{0};  ///< peak-to-peak change of the rate within the recording, fraction
  double angle_error{0};        ///< one standard deviation of the angle, revolutions
  double confidence{1};    ///< that it is the shaft's; 1 for a tacho, which is checked elsewhere
  bool worthwhile{false};  ///< resampling sharpens the lines that are looked for
  std::string source;      ///< "tacho", "harmonic 3 of 1x" ...

  [[nodiscard]] bool empty() const noexcept { return time.size() < 2; }
  /// Mean rate between the first and last time; 0 where empty.
  [[nodiscard]] Hz mean_rate() const noexcept;
  /// Revolutions from time 0 to the end, the rate of the track's ends going on beyond them; 0 where
  /// empty.
  [[nodiscard]] double revolutions_until(Seconds end) const;
  /// Departure of the angle from an even turn, root mean square in revolutions: order k smears once
  /// k times it nears a half. 0 where empty.
  [[nodiscard]] double departure() const;
};

/// A signal at even steps of shaft angle.
struct AngleSignal {
  std::vector<double> x;
  double samples_per_revolution{0};
  double revolutions{0};  ///< covered
};

/// Computed order tracking: x read at even steps of shaft angle, by band-limited interpolation.
/// What lies above half the samples per revolution is filtered out first, at the cutoff that the
/// slowest moment asks for. A squared envelope, sampled at its own low rate from the same first
/// instant, goes through the same track: that is the cheap way to sharp order lines of high
/// resonances.
/// Shape:    x [n] at rate -> x [m], m = floor(revolutions covered * samples_per_revolution)
/// Accuracy: as interpolate_at (dsp/resample.hpp): amplitude within 3e-5 up to 0.9 of half the
///           samples per revolution at the slowest speed
/// Errors:   std::invalid_argument for an empty track or figures not above zero
/// Source:   computed order tracking [fyfe1997]
[[nodiscard]] AngleSignal resample_to_angle(std::span<const double> x, Hz rate,
                                            const PhaseTrack& track, double samples_per_revolution);

}  // namespace bearingdsp
