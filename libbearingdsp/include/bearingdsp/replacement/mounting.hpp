#pragma once
/// How tight a bearing sits on its shaft, and how hot it must be to slide on.
#include <optional>
#include <string>
#include <string_view>

#include "bearingdsp/bearing/clearance.hpp"
#include "bearingdsp/bearing/designation.hpp"

namespace bearingdsp {

/// Deviations from the nominal diameter, um.
struct Deviations {
  double lower_um{0};
  double upper_um{0};
};

/// Deviations of an ISO 286 shaft code (j5 j6 js5 js6 k5 k6 m5 m6 n6 h5 h6 h7; p6 above 120 mm) or
/// of the bore of a bearing of normal tolerance (PN), 6 < diameter <= 500 mm; nothing outside the
/// table.
/// Source: [iso286] as in two manufacturers' catalogues that agree up to 180 mm, above that from
/// memory, data/fits.csv
[[nodiscard]] std::optional<Deviations> fit_deviations(std::string_view code, double diameter_mm);

/// A bearing of normal tolerance on a shaft made to a code. Interference is positive where the
/// shaft is larger than the bore.
struct ShaftFit {
  std::string code;  ///< "k5"
  Deviations shaft;
  Deviations bore;
  double min_interference_um{0};  ///< may be negative: play
  double max_interference_um{0};
  std::string source;
};

/// The shaft of an electric motor. Ball bearings: j5 up to 18 mm, k5 up to 100, m5 up to 140, m6
/// up to 200, n6 up to 500; cylindrical rollers: k5 up to 40, m5 up to 100, m6 up to 140, n6 up to
/// 200, p6 up to 500. Nothing for other kinds, tapered bores and other sizes.
/// Source: a manufacturer's catalogue (C in docs/sources.md), table of fits "electric motors", up
/// to 200 mm; above that from memory
[[nodiscard]] std::optional<ShaftFit> motor_shaft_fit(const Designation& designation);

/// The code of the same letter one grade wider ("k6" for "k5"), which motors have as well; empty
/// for codes of grade 6.
/// Source: manufacturer's catalogue C prints k6 and m6 beside k5 and m5; seats of grade 6 at least:
/// a bearing manufacturer's page
[[nodiscard]] std::string wider_grade(std::string_view code);

/// The same for a code of choice. Nothing if the code or diameter is not in the table.
[[nodiscard]] std::optional<ShaftFit> shaft_fit(std::string_view code, double diameter_mm);

/// Linear expansion of bearing steel, 1/K.
/// Source: a manufacturer's catalogue (A); others use 12e-6.
inline constexpr double steel_expansion = 12.5e-6;
/// No bearing is heated above this, degrees C.
/// Source: manufacturers' catalogues A, B and F.
inline constexpr double hottest_bearing_c = 120;
/// Grease and seals of a closed bearing may suffer above it, degrees Celsius. Common practice, no
/// source.
inline constexpr double hottest_closed_c = 80;

/// How hot a bearing must be to slide on.
struct Heating {
  double free_at_c{0};  ///< the bore is as large as the largest shaft
  double aim_c{0};     ///< free_at plus 20 to 30 K so that it still slides when it cools, not above
                       ///< 110 where 20 K suffice, never above 120
  double play_um{0};   ///< between bore and the largest shaft at aim_c; negative: it does not slide
  bool slides{false};  ///< aim_c leaves at least 20 K; else heat is not enough: press as well
};

/// Units:   interference um, bore mm, temperatures degrees C
/// Errors:  std::invalid_argument (caller's bug) unless bore > 0 and interference and workshop are
///          finite with workshop < 60
/// Source:  d(bore) = expansion x bore x dT; 20 to 30 K more: manufacturer's catalogue A; limits:
/// A, B, F
[[nodiscard]] Heating heating(double max_interference_um, double bore_mm, double workshop_c);

/// What it takes to press an inner ring onto a solid shaft, cold.
struct PressForce {
  double pressure_n_mm2{0};  ///< between ring and shaft
  double on_n{0};            ///< to press it on
  double off_n{0};           ///< to pull it off again
};
/// p = E/2 (i/d) (1 - (d/Di)^2), F = mu p pi d B; E = 208 000 N/mm2, mu 0.12 on and 0.18 off, mean
/// diameter of the inner ring Di = (4 d + D)/5 for balls, (3 d + D)/4 for rollers. Clearance takes
/// no force.
/// Units:   interference um, lengths mm
/// Errors:  std::invalid_argument (caller's bug) unless 0 < d < D, B > 0 and the interference is
///          finite
/// Source:  Lame's thick ring; Di of balls: a bearing manufacturer's service page (workshop
///          practice 8); Di of rollers as in running_clearance(); mu: from memory
[[nodiscard]] PressForce press_force(double interference_um, double bore_mm,
                                     double outside_diameter_mm, double width_mm, bool rollers);
/// Up to this bore, mm, a bearing may go on cold.
/// Source: a bearing manufacturer's tools page (docs/sources.md, workshop practice 29): cold up to
/// 55 mm, heat above about 50 mm.
inline constexpr double largest_cold_bore_mm = 50;
/// And up to this force, N: what a small bench press gives. Common practice, no source.
inline constexpr double largest_cold_force_n = 10000;
/// Interference, um, at which press_force() reaches largest_cold_force_n.
[[nodiscard]] double largest_cold_interference_um(double bore_mm, double outside_diameter_mm,
                                                  double width_mm, bool rollers);

/// How far a bearing with tapered bore is driven up its seat.
struct DriveUp {
  Deviations reduction;    ///< of the radial clearance, um
  double axial_low_mm{0};  ///< along the shaft, for the taper of the bore
  double axial_high_mm{0};
  std::optional<double> left_um;  ///< least clearance that must be left; none for other classes
                                  ///< than CN, C3 and C4
};
/// A spherical roller bearing with tapered bore, 24 < bore <= 500 mm; nothing for other bearings.
/// Source: manufacturers' tables, from memory, data/drive_up.csv
[[nodiscard]] std::optional<DriveUp> drive_up(const Designation& designation);

/// Clearance left once the bearing is mounted and warm, um.
struct RunningClearance {
  double likely_um{0};
  double min_um{0};  ///< tightest fit, smallest clearance, largest temperature difference
};
/// The fit takes 70 to 90 % of the interference, the inner ring being 5 to 10 K warmer takes
/// expansion x dT x De, with De = (4D + d)/5 for balls, (3D + d)/4 for rollers. Likely: the middle
/// of all four.
/// Source: a manufacturer's catalogue (A in docs/sources.md)
[[nodiscard]] RunningClearance running_clearance(const ClearanceRange& before, const ShaftFit& fit,
                                                 bool rollers, double bore_mm,
                                                 double outside_diameter_mm);

}  // namespace bearingdsp
