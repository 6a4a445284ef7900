#pragma once
/// Typed scalars: a frequency is not an order and degrees are not radians.
///
/// A scalar whose mix-up would give a plausible wrong answer crosses the API as a Quantity; long
/// arrays are plain double in SI with their unit stored once beside them (see core/unit.hpp). A
/// Quantity is made only by naming its unit and read only by value().
#include <compare>

namespace bearingdsp {

template <class Tag>
class Quantity {
 public:
  constexpr Quantity() = default;
  constexpr explicit Quantity(double value) noexcept : value_{value} {}
  [[nodiscard]] constexpr double value() const noexcept { return value_; }
  // A false alarm of the check: a default comparison uses no pointer.
  // NOLINTNEXTLINE(modernize-use-nullptr)
  friend constexpr auto operator<=>(Quantity, Quantity) = default;
  friend constexpr Quantity operator+(Quantity a, Quantity b) noexcept {
    return Quantity{a.value_ + b.value_};
  }
  friend constexpr Quantity operator-(Quantity a, Quantity b) noexcept {
    return Quantity{a.value_ - b.value_};
  }
  friend constexpr Quantity operator*(double k, Quantity a) noexcept {
    return Quantity{k * a.value_};
  }
  friend constexpr Quantity operator*(Quantity a, double k) noexcept {
    return Quantity{k * a.value_};
  }
  friend constexpr Quantity operator/(Quantity a, double k) noexcept {
    return Quantity{a.value_ / k};
  }
  friend constexpr double operator/(Quantity a, Quantity b) noexcept { return a.value_ / b.value_; }

 private:
  double value_{};
};

using Hz = Quantity<struct HzTag>;                ///< frequency, 1/s
using Rpm = Quantity<struct RpmTag>;              ///< rotational speed, revolutions per minute
using Order = Quantity<struct OrderTag>;          ///< multiple of the shaft's rotational frequency
using Seconds = Quantity<struct SecondsTag>;      ///< time, s
using Degrees = Quantity<struct DegreesTag>;      ///< angle, degrees
using Kilowatts = Quantity<struct KilowattsTag>;  ///< rated power, kW
using Millimetres = Quantity<struct MillimetresTag>;  ///< a size of a machine or bearing, mm
using Newtons = Quantity<struct NewtonsTag>;          ///< force, N
using Celsius = Quantity<struct CelsiusTag>;          ///< temperature, degrees Celsius
using Kilograms = Quantity<struct KilogramsTag>;      ///< mass of a rotor, kg
using Grams = Quantity<struct GramsTag>;              ///< mass of a balance weight, g
using GramMillimetres = Quantity<struct GramMillimetresTag>;  ///< unbalance: mass times radius
using Volts = Quantity<struct VoltsTag>;                      ///< rated voltage between lines, V
using Amperes = Quantity<struct AmperesTag>;                  ///< rated current of a line, A
// A level is rms, peak or peak to peak, and none of them is another.
using VelocityRms = Quantity<struct VelocityRmsTag>;          ///< m/s rms
using VelocityPeak = Quantity<struct VelocityPeakTag>;        ///< m/s, largest magnitude
using AccelerationRms = Quantity<struct AccelerationRmsTag>;  ///< m/s^2 rms
using DisplacementRms = Quantity<struct DisplacementRmsTag>;  ///< m rms

/// Rotational frequency of a shaft turning at n revolutions per minute.
[[nodiscard]] constexpr Hz shaft_rate(Rpm n) noexcept { return Hz{n.value() / 60.0}; }
/// Speed in revolutions per minute of a shaft turning f times a second.
[[nodiscard]] constexpr Rpm shaft_speed(Hz f) noexcept { return Rpm{f.value() * 60.0}; }
/// Frequency of an order at the given shaft rate.
[[nodiscard]] constexpr Hz at_speed(Order k, Hz shaft) noexcept {
  return Hz{k.value() * shaft.value()};
}
/// Order of a frequency at the given shaft rate (shaft > 0).
[[nodiscard]] constexpr Order to_order(Hz f, Hz shaft) noexcept {
  return Order{f.value() / shaft.value()};
}

}  // namespace bearingdsp
