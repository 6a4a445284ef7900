#pragma once
/// Balance weights as vectors: their sum, their split onto blades or bolts, the size of a trial
/// weight.
///
/// Angles of one job count in one direction, from the mark on the shaft; phases count in the same
/// direction. Which one: AngleSense, drawn in the report (docs/balance.md).
#include <complex>
#include <cstdint>
#include <string_view>
#include <vector>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/token.hpp"

namespace bearingdsp {

/// Direction in which angles count from the mark.
enum class AngleSense : std::uint8_t {
  against_rotation,  ///< a phase is a lag: how far the shaft rotates from the mark to the peak
  with_rotation,     ///< the other way round, as some instruments display it
};
/// "against the rotation", "with the rotation"
[[nodiscard]] std::string_view token(AngleSense sense) noexcept;

/// A weight at the radius of its plane. A negative mass is material taken away.
struct BalanceWeight {
  Grams mass;
  Degrees angle;
  friend bool operator==(const BalanceWeight&, const BalanceWeight&) = default;
};
/// A weight as a vector: real part at 0 degrees.
/// Units: g
/// Errors: none
[[nodiscard]] std::complex<double> vector_of(const BalanceWeight& weight);
/// Angle in [0, 360); mass not negative.
/// Errors: none
[[nodiscard]] BalanceWeight weight_of(std::complex<double> grams);

/// Amplitude (any unit) and angle as a vector.
/// Errors: none
[[nodiscard]] std::complex<double> polar_vector(double amplitude, Degrees angle);
/// Angle of a vector in [0, 360).
/// Errors: none
[[nodiscard]] Degrees angle_of(std::complex<double> vector);

/// Where weights can be fixed: blades or bolt holes at even distances, numbered from 1 at `first`
/// on, in the direction of the angles.
struct Positions {
  int count{0};  ///< 3 to 360
  Degrees first{0};
  std::vector<int> blocked{};  ///< numbers of those that take no weight
};
struct WeightAtPosition {
  int position{0};
  Degrees angle;
  Grams mass;
};
struct WeightSplit {
  std::vector<WeightAtPosition> parts;  ///< one or two
  BalanceWeight mounted;                ///< their sum as it will be on the rotor
};
/// The weight on the two free positions beside its angle, or on one where it meets it: the sines of
/// the angles to the other position, divided by the sine of the angle between them. With `step`
/// each part is rounded to a multiple of it, as of washers (0: not rounded).
/// Errors: bad_argument for fewer than 3 positions, a blocked number that does not exist, a step
/// below 0, or free positions 180 degrees or more apart round the angle Source: closed form
/// (parallelogram of vectors)
[[nodiscard]] Result<WeightSplit> split_weight(const BalanceWeight& weight,
                                               const Positions& positions, Grams step = Grams{0});

/// A trial weight by its centrifugal force.
struct TrialWeight {
  Grams low, high;                ///< 5 and 10 % of the share of the rotor's weight
  Newtons force_low, force_high;  ///< at running speed
};
/// The share of the rotor's weight: its mass over the number of planes (1 or 2).
/// Errors: bad_argument where mass, speed or radius is not above zero, or for other planes
/// Source: common practice, from memory (90 %): force 5 to 10 % of the rotor's weight share
[[nodiscard]] Result<TrialWeight> trial_weight(Kilograms rotor, int planes, Rpm speed,
                                               Millimetres radius);

/// Centrifugal force U omega^2 of an unbalance.
/// Source: closed form
[[nodiscard]] Newtons unbalance_force(GramMillimetres unbalance, Rpm speed) noexcept;
/// Mass times radius.
[[nodiscard]] constexpr GramMillimetres unbalance_of(Grams mass, Millimetres radius) noexcept {
  return GramMillimetres{mass.value() * radius.value()};
}

}  // namespace bearingdsp
