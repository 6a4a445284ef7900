#pragma once
/// What the standards allow a motor to vibrate: in service (zones A to D) and at no load. The
/// tables with their sources: docs/limits.md. None was checked against a bought copy of a standard.
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/unit.hpp"
#include "bearingdsp/machine/machine.hpp"

namespace bearingdsp {

[[nodiscard]] constexpr VelocityRms mm_per_s_rms(double v) noexcept {
  return VelocityRms{v * 1e-3};
}
[[nodiscard]] constexpr double in_mm_per_s_rms(VelocityRms v) noexcept { return v.value() * 1e3; }
[[nodiscard]] constexpr VelocityPeak mm_per_s_peak(double v) noexcept {
  return VelocityPeak{v * 1e-3};
}
[[nodiscard]] constexpr double in_mm_per_s_peak(VelocityPeak v) noexcept { return v.value() * 1e3; }

/// Evaluation zones of broad-band vibration on non-rotating parts.
enum class Zone : std::uint8_t {
  a,  ///< as of newly commissioned machines
  b,  ///< acceptable for unrestricted long-term operation
  c,  ///< unsatisfactory for long-term operation
  d,  ///< severe enough to cause damage
};
/// "A" ... "D"
[[nodiscard]] std::string_view name(Zone zone) noexcept;
/// What the zone means, for a person: "acceptable for long-term operation" ...
[[nodiscard]] std::string_view meaning(Zone zone) noexcept;

/// Boundaries of the zones for one class of machines: velocity, 10-1000 Hz, worst of the measured
/// places and directions.
struct ZoneLimits {
  SeverityStandard standard{SeverityStandard::iso20816_3};  ///< never automatic
  std::string machine_class;                                ///< "group 2, rigid support", "class I"
  VelocityRms ab, bc, cd;
  std::string edition;                   ///< "ISO 20816-3:2022, table A.2"
  std::string status;                    ///< how well the numbers are known, in words
  std::vector<std::string> assumptions;  ///< what was taken for granted about the machine
  friend bool operator==(const ZoneLimits&, const ZoneLimits&) = default;
};

/// The zone a velocity is in; one on a boundary is in the better zone.
[[nodiscard]] Zone zone_of(VelocityRms velocity, const ZoneLimits& limits) noexcept;

/// Limits of a class. ISO 20816-3 and ISO 10816-3: group 1 or 2. Mounting::unknown is taken as
/// rigid, whose limits are lower.
/// Errors: bad_argument for another group
/// Source: [iso20816-3] tables A.1 and A.2, [iso10816-3] the same: secondary, two guides agree
[[nodiscard]] Result<ZoneLimits> group_limits(
    int group, Mounting support, SeverityStandard standard = SeverityStandard::iso20816_3);
/// Limits of class 1 to 4 (I to IV) of ISO 10816-1.
/// Errors: bad_argument for another class
/// Source: [iso10816-1] table B.1: secondary
[[nodiscard]] Result<ZoneLimits> class_limits(int machine_class);

/// The limits that apply to a machine, by its nameplate. ISO 20816-3 counts from 15 kW and 120 rpm
/// and takes a motor's group from its shaft height (1 from 315 mm, 2 from 160 mm), or from its
/// power (1 above 300 kW). Smaller ones fall under class I of ISO 10816-1. Errors: missing_metadata
/// if neither power nor shaft height is known; bad_argument if the standard
///         that the machine file asks for does not cover the machine
/// Source: scopes of the standards: secondary
[[nodiscard]] Result<ZoneLimits> zone_limits(const Machine& machine);

/// The limits of a machine, or in one line why there are none: one of the two is there.
struct KnownLimits {
  std::optional<ZoneLimits> zones;
  std::string why_none;
  friend bool operator==(const KnownLimits&, const KnownLimits&) = default;
};
/// zone_limits() with its error in words.
[[nodiscard]] KnownLimits known_limits(const Machine& machine);

/// What a recording says of the velocity in 10-1000 Hz.
struct MeasuredVelocity {
  std::optional<VelocityRms> rms;  ///< empty where the recording gives none
  SampleUnit unit{SampleUnit::uncalibrated};
  Hz rate;
};

/// The velocity held against the limits: a zone, or in one line why there is none.
struct VelocityJudgement {
  std::optional<VelocityRms> velocity;
  std::optional<ZoneLimits> limits;
  std::optional<Zone> zone;
  std::string why_not;  ///< empty where there is a zone
};
/// No zone without a velocity, without limits, and where half the rate is below the 1000 Hz that
/// the limits count to: part of the vibration would be missing. Pure.
[[nodiscard]] VelocityJudgement judge_velocity(const KnownLimits& limits,
                                               const MeasuredVelocity& measured);

/// Vibration grade of a new motor; A where none is stated.
enum class VibrationGrade : std::uint8_t { a, b };

/// What a motor may vibrate at no load, uncoupled, half key in the shaft: rms values 10-1000 Hz.
struct NoLoadLimits {
  DisplacementRms displacement;
  VelocityRms velocity;
  AccelerationRms acceleration;
  std::string words;   ///< "grade A, rigid mounting, shaft height 56 to 132 mm"
  std::string source;  ///< with edition and status
};
/// IEC 60034-14 by shaft height and mounting; flexible is taken as free suspension, unknown as
/// rigid. The crossover frequencies are 10 and 250 Hz. Errors: not_found below 56 mm and for grade
/// B up to 132 mm on a rigid mounting: no value Source: [iec60034-14] edition 2003 table 1:
/// confirmed in two manufacturers' papers
[[nodiscard]] Result<NoLoadLimits> iec_no_load_limits(Millimetres shaft_height, Mounting mounting,
                                                      VibrationGrade grade = VibrationGrade::a);

/// NEMA MG 1 part 7: peak velocity at no load, unfiltered, by speed: the table on a resilient
/// mount, 0.8 of it on a rigid one (also where the mounting is unknown), linear between its rows;
/// below its last row the velocity of 63.5 um peak to peak at running speed. Errors: bad_argument
/// for a speed that is not above zero Source: [nema-mg1] part 7 table 7-1: confirmed in an article
[[nodiscard]] Result<VelocityPeak> nema_no_load_limit(Rpm speed, Mounting mounting);

}  // namespace bearingdsp
