#pragma once
/// How much unbalance may remain: balance quality grades, permissible residual unbalance, and its
/// allocation to the two bearing planes. The tables with their sources: docs/limits.md.
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/machine/machine.hpp"

namespace bearingdsp {

/// Balance quality grade G: permissible eccentricity times angular speed, mm/s.
using BalanceGrade = Quantity<struct BalanceGradeTag>;

/// A recommended grade for a kind of rotor.
struct RecommendedGrade {
  BalanceGrade grade;
  std::string_view rotor;   ///< "fan (process), pump"
  std::string_view source;  ///< with how far it is confirmed
};
/// The rows that are known, for a list.
/// Source: [iso21940-11] table 1, partly from memory; of fans [iso14694], from memory: each row
/// says how far
[[nodiscard]] std::span<const RecommendedGrade> recommended_grades() noexcept;
/// The grade for the rotor of the machine as its file describes it: of the driven fan or pump, else
/// that of an electric motor by its speed.
/// Errors: missing_metadata for a motor without a speed
/// Source: as recommended_grades()
[[nodiscard]] Result<RecommendedGrade> grade_for(const Machine& machine);

/// Permissible distance of the centre of mass from the axis: 60 000 G / (2 pi n), micrometres.
/// Errors: bad_argument where grade or speed is not above zero
/// Source: [iso21940-11] e_per omega = G: formula confirmed
[[nodiscard]] Result<double> permissible_eccentricity_um(BalanceGrade grade, Rpm speed);
/// Permissible residual unbalance of the whole rotor: eccentricity times mass, 9549 G m / n g mm.
/// Errors: bad_argument where grade, mass or speed is not above zero
/// Source: [iso21940-11]: formula confirmed
[[nodiscard]] Result<GramMillimetres> permissible_unbalance(BalanceGrade grade, Kilograms rotor,
                                                            Rpm speed);
/// The grade that a residual unbalance comes to.
/// Errors: as permissible_unbalance()
/// Source: as permissible_unbalance()
[[nodiscard]] Result<BalanceGrade> grade_of(GramMillimetres unbalance, Kilograms rotor, Rpm speed);

/// Distances of the centre of mass from bearing planes A and B.
struct RotorSupport {
  Millimetres to_a, to_b;
  bool overhung{false};  ///< the centre of mass lies outside the bearings
};
struct BearingTolerances {
  GramMillimetres a, b;
  bool limited{false};  ///< a share was limited to the range of the standard
};
/// The permissible unbalance in the two bearing planes: each takes the share that the distance to
/// the other bearing gives it, kept within 0.3 and 0.7 of the whole between the bearings, and 0.3
/// and 1.3 of an overhung rotor.
/// Errors: bad_argument for distances not above zero, or equal ones of an overhung rotor
/// Source: [iso21940-11] allocation to tolerance planes; the limits of the shares from memory (85
/// %)
[[nodiscard]] Result<BearingTolerances> allocate_to_bearings(GramMillimetres permissible,
                                                             const RotorSupport& support);

}  // namespace bearingdsp
