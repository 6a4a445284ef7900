#pragma once
/// What the number stamped on a bearing says, also where some of it cannot be read.
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/token.hpp"

namespace bearingdsp {

enum class BearingType : std::uint8_t {
  deep_groove_ball,
  angular_contact_ball,
  double_row_angular_contact_ball,
  four_point_contact_ball,
  self_aligning_ball,
  cylindrical_roller,
  spherical_roller,
  tapered_roller,
  needle_roller,
  thrust_ball,
  spherical_roller_thrust,
  insert_ball,
};
inline constexpr int bearing_type_count = 12;
/// Words for the type: "deep groove ball", "cylindrical roller" ...
[[nodiscard]] std::string_view token(BearingType type) noexcept;
/// Rollers instead of balls.
[[nodiscard]] bool has_rollers(BearingType type) noexcept;

/// Radial internal clearance class of ISO 5753-1; cm is the trade's class for electric motors.
enum class ClearanceClass : std::uint8_t { c1, c2, normal, c3, c4, c5, cm };
/// "C2", "CN", "C3" ...
[[nodiscard]] std::string_view token(ClearanceClass clearance) noexcept;

/// What closes a bearing at its sides.
enum class Closure : std::uint8_t { open, shield, light_seal, seal };
/// "open", "shield", "low-friction seal", "rubbing seal".
[[nodiscard]] std::string_view token(Closure closure) noexcept;

/// One suffix and what it says.
struct SuffixReading {
  std::string text;
  std::string group;  ///< closure, clearance, cage, tolerance ...; empty if the manufacturer's own
  std::string meaning;  ///< in words
  [[nodiscard]] bool makers_own() const noexcept { return group.empty(); }
};

/// A designation taken apart.
struct Designation {
  std::string prefix;     ///< letters before it that are the manufacturer's own; usually empty
  std::string letters;    ///< "NU" of NU205
  std::string series;     ///< "62" of 6205
  std::string bore_code;  ///< "05" of 6205, "/22" of 60/22
  BearingType type{BearingType::deep_groove_ball};
  std::string detail;            ///< what is worth knowing of the series; may be empty
  std::string dimension_series;  ///< ISO 15, as "02"; empty where another plan rules
  double bore_mm{0};
  bool usual_bore{true};  ///< false: no bearing of the ISO plan has this bore
  std::vector<SuffixReading> suffixes;

  ClearanceClass clearance{ClearanceClass::normal};
  bool clearance_marked{false};  ///< a suffix says so; else normal is meant
  Closure closure{Closure::open};
  int closed_sides{0};                   ///< 0, 1 or 2
  std::optional<Degrees> contact_angle;  ///< where a suffix gives it
  bool tapered_bore{false};
  bool insulated_ring{false};
  bool ceramic_balls{false};
  bool plastic_cage{false};
  bool floats{false};           ///< one ring moves along the other: carries no axial load
  bool full_complement{false};  ///< no cage, as many rolling elements as fit

  /// "6205", "NU205", "60/22": without prefix and suffixes.
  [[nodiscard]] std::string basic() const;
  /// As one would write it: "6205-2Z/C3". Reading it again gives the same.
  [[nodiscard]] std::string text() const;
  /// Suffixes and prefix that only the manufacturer can explain.
  [[nodiscard]] std::vector<std::string> makers_own() const;
};

/// Reads a designation as people write or find it: any case, with blanks, hyphens, slashes and dots
/// or none. '?' (or '*', or any character that is not ASCII) stands for one that cannot be read; up
/// to three. Without one the list holds one reading; with some, every designation that fits and
/// explains as much of the text as possible, usual sizes only where there are any, likeliest first:
/// those of the ISO 15 table (boundary_dimensions()), then in the order of
/// data/designation_series.csv.
/// Errors: bad_argument: empty, longer than 60 characters, more than three unreadable characters;
///         not_found: no bearing series can be read in it
/// Source: bore code: manufacturers' catalogues; series and suffixes: data/designation_series.csv
/// and
///         designation_suffixes.csv, which say how each row was seen
[[nodiscard]] Result<std::vector<Designation>> read_designation(std::string_view text);

}  // namespace bearingdsp
