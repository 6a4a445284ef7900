#include "bearingdsp/balancing/tolerance.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace bearingdsp {
namespace {

// [iso21940-11] table 1 by secondary texts and from memory; fans [iso14694].
constexpr std::string_view read_in_article =
    "ISO 21940-11, read in a balancing firm's note, not in the standard";
constexpr std::string_view motor_memory = "ISO 21940-11, from memory (85 %)";
constexpr std::string_view fan_memory = "ISO 14694, from memory (92 %)";
constexpr std::array<RecommendedGrade, 8> grades{
    {{BalanceGrade{6.3}, "pump, process fan", read_in_article},
     {BalanceGrade{2.5}, "steam or gas turbine, turbo compressor", read_in_article},
     {BalanceGrade{6.3}, "electric motor, shaft height from 80 mm, up to 950 rpm", motor_memory},
     {BalanceGrade{2.5}, "electric motor, shaft height from 80 mm, above 950 rpm", motor_memory},
     {BalanceGrade{16}, "fan impeller, category BV-1 or BV-2", fan_memory},
     {BalanceGrade{6.3}, "fan impeller, category BV-3", fan_memory},
     {BalanceGrade{2.5}, "fan impeller, category BV-4", fan_memory},
     {BalanceGrade{1.0}, "fan impeller, category BV-5", fan_memory}}};
constexpr std::size_t of_pump = 0, of_slow_motor = 2, of_fast_motor = 3, of_plain_fan = 4;

constexpr Rpm fast_motor{950};
// Shares of the whole in one bearing plane: [iso21940-11], from memory (85 %).
constexpr double min_share = 0.3;
constexpr double max_between = 0.7;
constexpr double max_overhung = 1.3;

bool positive(double v) { return v > 0 && std::isfinite(v); }

Error not_positive(std::string_view what, std::string_view advice) {
  return {Errc::bad_argument, std::string{what}, "is not above zero", std::string{advice}};
}

/// Micrometres of eccentricity that a grade of 1 mm/s allows at that speed.
double eccentricity_per_grade(Rpm speed) { return 60000 / (2 * std::numbers::pi * speed.value()); }

}  // namespace

std::span<const RecommendedGrade> recommended_grades() noexcept { return grades; }

Result<RecommendedGrade> grade_for(const Machine& m) {
  if (m.driven == DrivenMachine::pump) return grades[of_pump];
  if (m.driven == DrivenMachine::fan) {
    switch (m.fan_category) {
      case FanCategory::unknown:
        return grades[of_pump];
      case FanCategory::bv1:
      case FanCategory::bv2:
        return grades[of_plain_fan];
      case FanCategory::bv3:
        return grades[of_plain_fan + 1];
      case FanCategory::bv4:
        return grades[of_plain_fan + 2];
      case FanCategory::bv5:
        return grades[of_plain_fan + 3];
    }
  }
  if (!m.rated_speed)
    return Error{Errc::missing_metadata, fmt::format("machine '{}'", m.name),
                 "the speed is not known, so there is no balance grade",
                 "write rated_rpm into the machine file, or give --grade"};
  return grades[*m.rated_speed > fast_motor ? of_fast_motor : of_slow_motor];
}

Result<double> permissible_eccentricity_um(BalanceGrade grade, Rpm speed) {
  if (!positive(grade.value())) return not_positive("grade", "give G in mm/s, such as 6.3");
  if (!positive(speed.value())) return not_positive("speed", "give the highest service speed");
  return eccentricity_per_grade(speed) * grade.value();
}

Result<GramMillimetres> permissible_unbalance(BalanceGrade grade, Kilograms rotor, Rpm speed) {
  if (!positive(rotor.value())) return not_positive("mass", "give the mass of the rotor in kg");
  const auto e = permissible_eccentricity_um(grade, speed);
  if (!e) return e.error();
  // 1 um of 1 kg is 1 g mm.
  return GramMillimetres{*e * rotor.value()};
}

Result<BalanceGrade> grade_of(GramMillimetres unbalance, Kilograms rotor, Rpm speed) {
  const auto of_one = permissible_unbalance(BalanceGrade{1}, rotor, speed);
  if (!of_one) return of_one.error();
  return BalanceGrade{unbalance / *of_one};
}

Result<BearingTolerances> allocate_to_bearings(GramMillimetres permissible,
                                               const RotorSupport& support) {
  const double a = support.to_a.value();
  const double b = support.to_b.value();
  if (!positive(a) || !positive(b))
    return not_positive("distance to a bearing", "give both distances in mm");
  const double span = support.overhung ? std::abs(a - b) : a + b;
  if (!(span > 0))
    return Error{Errc::bad_argument, "distance to a bearing", "is the same to both bearings",
                 "an overhung rotor is nearer to one of them"};
  const double most = support.overhung ? max_overhung : max_between;
  const double share_a = std::clamp(b / span, min_share, most);
  const double share_b = std::clamp(a / span, min_share, most);
  return BearingTolerances{share_a * permissible, share_b * permissible,
                           share_a != b / span || share_b != a / span};
}

}  // namespace bearingdsp
