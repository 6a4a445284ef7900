#pragma once
/// What motor, which bearings, where the sensor sits: read from a machine file
/// (docs/machine-files.md).
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/bearing/catalogue.hpp"
#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/token.hpp"

namespace bearingdsp {

/// How a machine stands: rigid if the lowest natural frequency of machine and support in the
/// direction of measurement is well above the main excitation (concrete, stiff steel), flexible
/// otherwise (springs, rubber, light steel).
/// Source: [iso20816-3] clause on support.
enum class Mounting : std::uint8_t { unknown, rigid, flexible };
[[nodiscard]] std::string_view token(Mounting mounting) noexcept;

/// Of the shaft.
enum class Orientation : std::uint8_t { horizontal, vertical };
[[nodiscard]] std::string_view token(Orientation orientation) noexcept;

/// How the motor is fed.
enum class Drive : std::uint8_t {
  unknown,
  direct_on_line,  ///< at the mains frequency
  vfd,             ///< by a variable-frequency drive: speed may vary, shaft currents are possible
};
[[nodiscard]] std::string_view token(Drive drive) noexcept;

/// What turns in the motor: a magnet pulls and makes voltage, also when all is switched off.
enum class Rotor : std::uint8_t { unknown, squirrel_cage, wound, permanent_magnet };
/// "unknown", "squirrel cage", "wound", "permanent magnet"
[[nodiscard]] std::string_view token(Rotor rotor) noexcept;

enum class MachineEnd : std::uint8_t { drive_end, non_drive_end };
/// "DE", "NDE"
[[nodiscard]] std::string_view token(MachineEnd end) noexcept;
/// NDE for DE, DE for NDE.
/// Errors: none
[[nodiscard]] constexpr MachineEnd other_end(MachineEnd end) noexcept {
  return end == MachineEnd::drive_end ? MachineEnd::non_drive_end : MachineEnd::drive_end;
}

/// Of measurement. For a vertical shaft the two radial directions are still distinguished by name.
enum class Direction : std::uint8_t { unknown, horizontal, vertical, axial, radial };
[[nodiscard]] std::string_view token(Direction direction) noexcept;

/// What the surroundings do to a bearing.
enum class Surroundings : std::uint8_t { clean, dusty, wet, hot, cold, outdoors, corrosive };
[[nodiscard]] std::string_view token(Surroundings surroundings) noexcept;

/// What the motor drives, where a standard of its own judges the vibration.
enum class DrivenMachine : std::uint8_t { unknown, pump, fan, other };
/// "unknown", "pump" ...
[[nodiscard]] std::string_view token(DrivenMachine driven) noexcept;

/// Of a pump: I where its failure is critical (hazardous liquid, oil and gas, power), II for
/// general use.
/// Source: [iso10816-7]
enum class PumpCategory : std::uint8_t { unknown, one, two };

/// Of a fan, by its use and power: BV-3 of most process fans.
/// Source: [iso14694]
enum class FanCategory : std::uint8_t { unknown, bv1, bv2, bv3, bv4, bv5 };

/// Which standard's zones judge the vibration of the running machine.
enum class SeverityStandard : std::uint8_t {
  automatic,   ///< by the driven machine and its size; ISO 10816-1 below the scope of the others
  iso20816_3,  ///< edition 2022
  iso10816_3,  ///< edition 2009, superseded by the former, same limits
  iso10816_1,  ///< edition 1995, annex B, superseded
  iso10816_7,  ///< edition 2009, rotodynamic pumps
  iso14694,    ///< edition 2003, fans
};
/// "automatic", "ISO 20816-3" ...
[[nodiscard]] std::string_view token(SeverityStandard standard) noexcept;

/// The bearing at one end. At least one of designation, geometry, orders, rolling_elements is
/// there.
struct MachineBearing {
  std::string designation;                  ///< as written on it; may be empty
  std::optional<BearingGeometry> geometry;  ///< mm
  std::optional<DefectOrders> orders;       ///< origin given
  std::optional<int> rolling_elements;      ///< in a row; picks the variant of a designation
  std::optional<bool> locating;             ///< holds the shaft axially
  std::optional<bool> insulated;            ///< against shaft currents (coated ring or hybrid)
  std::optional<Newtons> radial_load, axial_load;
  std::optional<Celsius> temperature;  ///< of the housing in normal service
  std::string lubricant;               ///< free words; may be empty
  std::string seal;                    ///< of the shaft at this end, free words; may be empty
};

/// Where a sensor is put, and what its recordings hold.
struct MeasuringPoint {
  std::string name;  ///< unique within its machine; "DE horizontal" where the file gives none
  MachineEnd end{MachineEnd::drive_end};
  Direction direction{Direction::unknown};
  std::string sensor;                          ///< free words; may be empty
  std::optional<double> sensitivity_mv_per_g;  ///< of the accelerometer
  std::string unit;                   ///< of the samples, as ReadOptions::units; may be empty
  std::optional<double> full_scale;   ///< as ReadOptions::full_scale
  std::optional<Hz> rate;             ///< where the recording does not say
  std::vector<std::string> channels;  ///< as ReadOptions::select; several are axes of this point
  std::string tacho;                  ///< channel with the shaft marker; may be empty
  double pulses_per_revolution{1};
  /// Unit, sensitivity and full scale are the usual ones of the plant: ReadOptions::assumed.
  bool assumed{false};
};

/// A sensor with its recorder, as one set: what its recordings need to be read.
struct Sensor {
  std::string name;                            ///< unique within the plant
  std::string note;                            ///< free words; may be empty
  std::string unit;                            ///< as MeasuringPoint::unit
  std::optional<double> sensitivity_mv_per_g;  ///< of the accelerometer
  std::optional<double> full_scale;            ///< as ReadOptions::full_scale
  std::optional<Hz> rate;                      ///< where the recording does not say
  std::vector<std::string> channels;           ///< as ReadOptions::select
  std::string input;  ///< of this computer that it is connected to, by name; may be empty
};
/// The one of that name, compared as find_machine() does; nullptr if there is none.
[[nodiscard]] const Sensor* find_sensor(const std::vector<Sensor>& sensors,
                                        std::string_view name) noexcept;
/// Gives the point what the sensor says, with MeasuringPoint::assumed: a unit that a recording
/// itself states goes before it.
void take_sensor(MeasuringPoint& point, const Sensor& sensor);

/// lowest <= highest
struct SpeedRange {
  Rpm lowest;
  Rpm highest;
};

struct Machine {
  std::string name;         ///< unique within its file
  std::string description;  ///< free words; may be empty
  std::string drives;       ///< what it drives and how: "fan, V-belt"; may be empty
  std::optional<Kilowatts> power;
  std::optional<Rpm> rated_speed;         ///< of the nameplate
  std::optional<SpeedRange> speed_range;  ///< in service; only with a drive
  std::optional<Hz> line_frequency;
  std::optional<int> poles;              ///< even
  std::optional<Volts> rated_voltage;    ///< between lines
  std::optional<Amperes> rated_current;  ///< of a line
  Rotor rotor{Rotor::unknown};
  bool explosion_protected{false};  ///< has a certificate for hazardous areas
  std::string frame;                ///< "IEC 132S", "NEMA 213T"; may be empty
  std::optional<Millimetres>
      shaft_height;  ///< given, or from the frame: centre of the shaft above the feet
  Mounting mounting{Mounting::unknown};
  Orientation orientation{Orientation::horizontal};
  Drive drive{Drive::unknown};
  SeverityStandard severity_standard{SeverityStandard::automatic};
  DrivenMachine driven{DrivenMachine::unknown};
  PumpCategory pump_category{PumpCategory::unknown};
  FanCategory fan_category{FanCategory::unknown};
  std::string duty;  ///< "S1", "continuous" ...; may be empty
  std::vector<Surroundings> surroundings;
  std::optional<Celsius> ambient;
  std::optional<bool> shaft_grounded;  ///< a brush or ring leads shaft currents away
  std::optional<MachineBearing> drive_end, non_drive_end;
  std::vector<MeasuringPoint> points;
  std::string where;  ///< "machines.toml:12"

  [[nodiscard]] const std::optional<MachineBearing>& bearing(MachineEnd end) const noexcept {
    return end == MachineEnd::drive_end ? drive_end : non_drive_end;
  }
};

/// All machines of a file, in its order. `machine check` of the command line shows what was
/// understood.
/// Errors: io; corrupt_file with "file:line", the key and what was probably meant: text that is not
///         TOML, an unknown key or word, a value of the wrong kind or out of range, a name used
///         twice, a bearing that nothing is known of, a speed that does not fit poles and mains
[[nodiscard]] Result<std::vector<Machine>> read_machines(const std::string& path);
/// As read_machines, from text; `where` names it in errors.
[[nodiscard]] Result<std::vector<Machine>> parse_machines(std::string_view text,
                                                          std::string_view where);

/// The same, but every error of the file and every machine in which there was none.
struct MachineCheck {
  std::vector<Machine> machines;
  std::vector<Error> errors;
};
[[nodiscard]] MachineCheck check_machines(const std::string& path);
[[nodiscard]] MachineCheck check_machine_text(std::string_view text, std::string_view where);

/// The machine of that name; case, blanks, hyphens and underscores do not count. An empty name is
/// the only machine there is.
/// Errors: not_found with near misses; bad_argument for an empty name among several machines
[[nodiscard]] Result<Machine> find_machine(const std::vector<Machine>& machines,
                                           std::string_view machine);
/// The point of that name, compared in the same way; an empty name is the only point there is.
/// Errors: as find_machine
[[nodiscard]] Result<MeasuringPoint> find_point(const Machine& machine, std::string_view point);

/// What the bearing may be, most likely first: one where geometry, orders or the number of elements
/// is given, the candidates of bearing_candidates() for a designation.
/// Errors: those of bearing_candidates() and defect_orders()
[[nodiscard]] Result<std::vector<BearingCandidate>> bearing_variants(
    const MachineBearing& bearing, const Catalogue& catalogue = built_in_catalogue());

/// How to read a recording made at the point.
[[nodiscard]] ReadOptions reading_options(const MeasuringPoint& point);

/// What has to be ordered for that end: the bearing's number as the machine file has it, with what
/// the number does not say, "6205-2Z C3 (DE)", "6316 C3, insulated (NDE)". Empty where the file has
/// no number.
[[nodiscard]] std::string bearing_to_order(const Machine& machine, MachineEnd end);

/// Half the number of poles: given, or the most that mains and rated speed allow.
[[nodiscard]] std::optional<int> pole_pairs(const Machine& machine) noexcept;
/// Speed of the rotating field on the mains.
/// Source: 60 f / pole pairs (IEC 60034-1 terms)
[[nodiscard]] std::optional<Rpm> synchronous_speed(const Machine& machine) noexcept;
/// Shaft height of a frame name: IEC frames are named after it (132S: 132 mm); of a NEMA frame of
/// three digits the first two are four times the height in inches (213T: 5.25 in), of two digits
/// the number is sixteen times it (56: 3.5 in). "56" without IEC or NEMA could be either: none.
/// Source: IEC 60072-1 and NEMA MG 1 part 4, both from memory
[[nodiscard]] std::optional<Millimetres> shaft_height_of_frame(std::string_view frame) noexcept;

}  // namespace bearingdsp
