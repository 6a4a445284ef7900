#pragma once
/// What is measured at a motor with hand tools before it goes back into service, and what it may
/// be.
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/token.hpp"
#include "bearingdsp/machine/machine.hpp"

namespace bearingdsp {

/// In the order of work.
enum class WorkshopCheck : std::uint8_t {
  insulation_resistance,
  polarisation_index,
  winding_balance,
  bearing_insulation,
  shaft_runout,
  preload_spring,
  cooling,
  end_float,
  rotor_play,
  machine_insulation,
  soft_foot,
  key_mark,
  no_load_current,
  temperature,
  shaft_voltage,
  noise,
  coupling_alignment,
  belt_alignment,
  belt_tension,
};
inline constexpr int workshop_check_count = 19;
/// "insulation resistance", "soft foot" ...: the words of data/workshop_limits.csv.
[[nodiscard]] std::string_view token(WorkshopCheck check) noexcept;

/// How far a limit was confirmed.
enum class LimitStatus : std::uint8_t {
  confirmed,  ///< read in the source that is named
  derived,    ///< computed from a formula or a confirmed value
  memory,     ///< not looked up
  practice,   ///< common practice, no source
};
/// "confirmed", "derived", "from memory", "common practice"
[[nodiscard]] std::string_view token(LimitStatus status) noexcept;

/// A row of data/workshop_limits.csv.
struct WorkshopLimit {
  std::string check;           ///< name of the check
  std::string what;            ///< which of its limits
  std::optional<double> over;  ///< holds above it, of the quantity that the file names
  std::optional<double> to;    ///< and up to it
  std::optional<double> low;   ///< smallest value, in unit
  std::optional<double> high;  ///< largest value, in unit
  std::string unit;            ///< may be empty
  LimitStatus status{LimitStatus::practice};
  std::string source;
};
/// All rows.
/// Source: data/workshop_limits.csv, each with its own
[[nodiscard]] const std::vector<WorkshopLimit>& workshop_limits();
/// The row of a check that holds at a value; nullptr where none does.
/// `at` in the unit of the column that the row depends on.
/// Errors: none
[[nodiscard]] const WorkshopLimit* workshop_limit(WorkshopCheck check, std::string_view what,
                                                  double at = 0);

/// Which key a rotor was balanced with, and which is in its keyway: marks of ISO 21940-32.
enum class ShaftKey : std::uint8_t { half, full, none };
/// "half key (H)", "full key (F)", "no key (N)"
[[nodiscard]] std::string_view token(ShaftKey key) noexcept;

enum class BeltSection : std::uint8_t { a, b, c, d };
/// "A" ... "D": plain V-belts
[[nodiscard]] std::string_view token(BeltSection section) noexcept;

/// What was read off; an empty member was not measured.
struct WorkshopReadings {
  std::optional<double> insulation_mohm;          ///< winding to earth after 1 min, Mohm
  std::optional<double> insulation_10_min_mohm;   ///< the same after 10 min, Mohm
  std::optional<double> winding_c;                ///< temperature of the winding then, degrees C
  std::vector<double> winding_ohm;                ///< three, between the terminals, ohm
  std::optional<double> bearing_insulation_mohm;  ///< from ring to ring, 500 V DC, Mohm
  /// Shaft to frame in the assembled machine, the other path lifted, Mohm.
  std::optional<double> machine_insulation_mohm;
  std::optional<double> machine_insulation_before_mohm;  ///< the same when it was last measured
  std::optional<double> machine_insulation_limit_mohm;   ///< least, by data sheet or specification
  std::optional<double> runout_mm;          ///< of the shaft extension, indicator change, mm
  std::optional<double> extension_mm;       ///< diameter of the shaft extension, mm
  std::optional<double> spring_n;           ///< of the preload spring as installed, N
  std::optional<bool> cooling_good;         ///< fan, cover, fins: whole and clean
  std::optional<double> end_float_mm;       ///< of the shaft, axial, mm
  std::optional<double> rotor_play_mm;      ///< of the shaft, radial, mm
  std::optional<double> soft_foot_mm;       ///< largest movement of a foot, mm
  std::optional<ShaftKey> mark;             ///< stamped on the shaft end
  std::optional<ShaftKey> key;              ///< in the keyway at the no-load run
  std::vector<double> current_a;            ///< three lines at no load, A rms
  std::optional<double> bearing_c;          ///< hottest bearing housing after 1 h, degrees C
  std::optional<double> room_c;             ///< temperature of the room, degrees C
  std::optional<double> shaft_mv;           ///< shaft end to end, mV rms
  std::optional<double> noise_dba;          ///< at 1 m, dB(A)
  std::optional<double> noise_limit_dba;    ///< by data sheet or specification, dB(A)
  std::optional<double> noise_before_dba;   ///< the same when it was last measured, dB(A)
  std::optional<double> offset_mm;          ///< of the coupling, parallel, mm
  std::optional<double> gap_mm;             ///< of the coupling, per 100 mm diameter, mm
  std::optional<double> belt_angle_deg;     ///< between the pulleys, degrees
  std::optional<double> belt_force_n;       ///< at mid-span for 16 mm per m of span, N a belt
  std::optional<BeltSection> belt_section;  ///< of plain V-belts
  std::optional<double> small_pulley_mm;    ///< diameter of the smaller pulley, mm
  bool belt_new{false};                     ///< not yet run in
  bool belt_toothed{false};                 ///< instead of a V-belt
};

/// What is known of the motor; an empty member is not known.
struct WorkshopFacts {
  std::optional<double> rated_v;       ///< V
  std::optional<double> rated_a;       ///< A
  std::optional<double> service_rpm;   ///< highest speed of the coupled machine, r/min
  std::optional<double> ambient_c;     ///< of the place, degrees C
  std::optional<double> bore_mm;       ///< of the bearing with the preload spring, mm
  std::optional<double> play_low_mm;   ///< clearance of the mounted bearing, cold, mm
  std::optional<double> play_high_mm;  ///< and its upper end, mm
  bool variable_speed{false};          ///< has a variable-frequency drive
  bool class_a{false};                 ///< insulation of thermal class A (old windings)
};
/// As far as the machine file says; play_low_mm and play_high_mm depend on the fit and stay empty.
/// Errors: none
[[nodiscard]] WorkshopFacts workshop_facts(const Machine& machine, MachineEnd end);

enum class CheckOutcome : std::uint8_t {
  good,
  bad,         ///< outside a limit that is confirmed or derived
  clarify,     ///< outside one from memory or practice: look into the motor manual
  not_judged,  ///< no limit, or a value is missing
};
/// "good", "bad", "clarify", "not judged"
[[nodiscard]] std::string_view token(CheckOutcome outcome) noexcept;

/// A reading held against its limit.
struct JudgedCheck {
  WorkshopCheck check{WorkshopCheck::insulation_resistance};
  std::string what;      ///< "Insulation resistance, corrected to 40 °C"
  std::string measured;  ///< with unit
  std::string limit;     ///< with unit; empty where there is none
  CheckOutcome outcome{CheckOutcome::not_judged};
  std::string why;     ///< where it is not good, or what to know; may be empty
  std::string advice;  ///< what to do; empty where it is good
  LimitStatus status{LimitStatus::practice};
  std::string source;
};

/// "Soft foot, largest movement: from memory; a common shop target".
/// Errors: none
[[nodiscard]] std::string source_words(const JudgedCheck& check);
/// The same of a limit.
/// Errors: none
[[nodiscard]] std::string source_words(std::string_view what, LimitStatus status,
                                       std::string_view source);

/// How an insulation resistance is brought to 40 degrees C.
enum class InsulationRule : std::uint8_t {
  halving,        ///< 0.5^((40 - T)/10)
  thermosetting,  ///< exp(-4230 (1/(T + 273) - 1/313)) to 40, -1245 above
};
/// Factor from the temperature of the winding to 40 degrees C.
/// Units:   degrees C -> 1
/// Errors:  std::invalid_argument (caller's bug) unless -40 < T < 200
/// Source:  halving: a guide to IEEE 43-2013 [ieee43]; thermosetting: IEEE 43-2013, from memory
[[nodiscard]] double insulation_factor_to_40(double winding_c, InsulationRule rule);

/// Offset, mm, that a short flexible coupling may have; also the gap, mm per 100 mm diameter.
/// Units:   r/min -> mm: 12 mm/s / (2 pi n / 60), from 0.025 to 0.15
/// Errors:  std::invalid_argument (caller's bug) unless the speed is above 0
/// Source:  data/workshop_limits.csv, "coupling alignment"
[[nodiscard]] double coupling_tolerance_mm(double rpm);

/// Largest deviation of three or more values from their mean, percent of it. 0 for none.
/// Shape: values [n], any unit.
/// Errors: none
[[nodiscard]] double imbalance_percent(std::span<const double> values) noexcept;

/// Pull T of a belt, N, whose span of L m sounds at f Hz and weighs m kg per metre: 4 m L^2 f^2.
/// Source: closed form of the string
[[nodiscard]] double belt_pull_of_span_n(double kg_per_m, double span_m, double hz) noexcept;

/// Every reading, in the order of WorkshopCheck. Pure. A limit from memory or from practice never
/// fails a motor: its outcome is clarify.
/// Errors:  bad_argument: a reading or fact that cannot be (named), three values that are not three,
///          a reading without the one that it belongs to (--winding-temperature, --section ...)
/// Source:  data/workshop_limits.csv, each limit with its own
[[nodiscard]] Result<std::vector<JudgedCheck>> judge_readings(const WorkshopReadings& readings,
                                                              const WorkshopFacts& facts);

}  // namespace bearingdsp
