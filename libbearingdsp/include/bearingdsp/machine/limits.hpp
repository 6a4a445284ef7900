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
#include "bearingdsp/core/token.hpp"
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
[[nodiscard]] std::string_view token(Zone zone) noexcept;
/// What the zone means, for a person: "acceptable for long-term operation" ...
[[nodiscard]] std::string_view meaning(Zone zone) noexcept;

/// Boundaries of the zones in displacement, which judge a slow machine beside its velocity.
struct DisplacementLimits {
  DisplacementRms ab, bc, cd;
  std::string status;  ///< how well the numbers are known, in words
  friend bool operator==(const DisplacementLimits&, const DisplacementLimits&) = default;
};

/// Boundaries of the zones for one class of machines: velocity up to 1000 Hz, worst of the measured
/// places and directions.
struct ZoneLimits {
  SeverityStandard standard{SeverityStandard::iso20816_3};  ///< never automatic
  std::string machine_class;                                ///< "group 2, rigid support", "class I"
  VelocityRms ab, bc, cd;
  std::string edition;                   ///< "ISO 20816-3:2022, table A.2"
  std::string status;                    ///< how well the numbers are known, in words
  std::vector<std::string> assumptions;  ///< what was taken for granted about the machine
  Hz from{10};                           ///< lower end of the band: 2 Hz for slow machines
  std::optional<DisplacementLimits> displacement{};  ///< of slow machines; the worse zone counts
  friend bool operator==(const ZoneLimits&, const ZoneLimits&) = default;
};

/// The zone a velocity is in; one on a boundary is in the better zone.
[[nodiscard]] Zone zone_of(VelocityRms velocity, const ZoneLimits& limits) noexcept;
/// The same for a displacement.
[[nodiscard]] Zone zone_of(DisplacementRms displacement, const DisplacementLimits& limits) noexcept;

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

/// Displacement limits of group 1 or 2 for machines up to 600 rpm.
/// Errors: bad_argument for another group
/// Source: [iso20816-3] tables A.1 and A.2: from memory (92 %)
[[nodiscard]] Result<DisplacementLimits> group_displacement_limits(int group, Mounting support);
/// Limits of a pump in service. An unknown category is taken as I, whose limits are lower.
/// Source: [iso10816-7] table A.1: secondary, a one-page summary
[[nodiscard]] ZoneLimits pump_limits(PumpCategory category, Kilowatts power);
/// Limits of a fan in service: A up to its start-up value, B up to alarm, C up to shutdown.
/// Errors: not_found for BV-1 and BV-2, whose shutdown value is left to experience; bad_argument
/// for
///         an unknown category
/// Source: [iso14694] table 5: BV-3 and BV-4 secondary, a fan manufacturer's manual; BV-5 from
/// memory (85 %)
[[nodiscard]] Result<ZoneLimits> fan_limits(FanCategory category, Mounting support);

/// The limits that apply to a machine, by its nameplate and what it drives. A driven pump above 1
/// kW falls under ISO 10816-7, a driven fan up to 300 kW under ISO 14694. Of the others ISO 20816-3
/// counts from 15 kW and 120 rpm and takes a motor's group from its shaft height (1 from 315 mm, 2
/// from 160 mm), or from its power (1 above 300 kW); up to 600 rpm its band begins at 2 Hz and the
/// displacement counts too. Smaller ones fall under class I of ISO 10816-1.
/// Errors: missing_metadata if neither power nor shaft height is known; bad_argument if the
/// standard
///         that the machine file asks for does not cover the machine; not_found for a fan category
///         without limits
/// Source: scopes of the standards: secondary
[[nodiscard]] Result<ZoneLimits> zone_limits(const Machine& machine);
/// Lower end of the band in which the velocity of the machine is measured: that of its limits, 10
/// Hz where there are none.
[[nodiscard]] Hz velocity_from(const Machine& machine);

/// The limits of a machine, or in one line why there are none: one of the two is there.
struct KnownLimits {
  std::optional<ZoneLimits> zones;
  std::string why_none;
  friend bool operator==(const KnownLimits&, const KnownLimits&) = default;
};
/// zone_limits() with its error in words.
[[nodiscard]] KnownLimits known_limits(const Machine& machine);

/// What a recording says of the velocity up to 1000 Hz.
struct MeasuredVelocity {
  std::optional<VelocityRms> rms;  ///< empty where the recording gives none
  SampleUnit unit{SampleUnit::uncalibrated};
  Hz rate;
  Hz from{10};                                    ///< lower end of its band
  std::optional<DisplacementRms> displacement{};  ///< in the same band, where it was measured
};

/// The velocity held against the limits: a zone, or in one line why there is none.
struct VelocityJudgement {
  std::optional<VelocityRms> velocity;
  std::optional<ZoneLimits> limits;
  std::optional<Zone> zone;  ///< the worse one, of velocity and displacement
  std::string why_not;       ///< empty where there is a zone
  Hz from{10};               ///< lower end of the band of the velocity
  std::optional<DisplacementRms> displacement{};
  std::optional<Zone> velocity_zone{}, displacement_zone{};  ///< where limits judge it
};
/// No zone without a velocity, without limits, and where the band of the recording does not hold
/// that of the limits (10 or 2 to 1000 Hz): part of the vibration would be missing. Pure.
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
/// rigid. The crossover frequencies are 10 and 250 Hz.
/// Errors: not_found below 56 mm and for grade B up to 132 mm on a rigid mounting: no value Source:
/// [iec60034-14] edition 2003 table 1: confirmed in two manufacturers' papers
[[nodiscard]] Result<NoLoadLimits> iec_no_load_limits(Millimetres shaft_height, Mounting mounting,
                                                      VibrationGrade grade = VibrationGrade::a);

/// NEMA MG 1 part 7: peak velocity at no load, unfiltered, by speed: the table on a resilient
/// mount, 0.8 of it on a rigid one (also where the mounting is unknown), linear between its rows;
/// below its last row the velocity of 63.5 um peak to peak at running speed.
/// Errors: bad_argument for a speed that is not above zero Source: [nema-mg1] part 7 table 7-1:
/// confirmed in an article
[[nodiscard]] Result<VelocityPeak> nema_no_load_limit(Rpm speed, Mounting mounting);

}  // namespace bearingdsp
