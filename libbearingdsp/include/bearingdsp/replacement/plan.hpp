#pragma once
/// What goes in, and how it goes in without harm.
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/bearing/facts.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/token.hpp"
#include "bearingdsp/machine/machine.hpp"
#include "bearingdsp/replacement/belt.hpp"
#include "bearingdsp/replacement/lubrication.hpp"
#include "bearingdsp/replacement/mounting.hpp"
#include "bearingdsp/replacement/viscosity.hpp"

namespace bearingdsp {

/// What is known of the motor and of what the bearing has to bear. Unknown fields stay empty: the
/// plan then says what to find out.
struct MotorDuty {
  std::string machine;   ///< name for headings; may be empty
  std::string position;  ///< "DE", "NDE"; may be empty
  std::optional<Rpm> speed;
  std::optional<Rpm> synchronous;         ///< of the field on the mains: the speed at no load
  std::optional<double> shaft_height_mm;  ///< of the motor (IEC frame size)
  std::optional<double> power_kw;
  bool vertical_shaft{false};
  bool belt_drive{false};  ///< radial pull on the drive end
  BeltKind belt{BeltKind::v_belt};
  std::optional<double> pulley_mm;  ///< diameter of the motor pulley
  bool variable_speed{false};       ///< has a variable-frequency drive
  bool shaft_grounded{false};       ///< a brush or ring leads shaft currents away
  bool magnet_rotor{false};         ///< permanent magnets
  bool explosion_protected{false};  ///< certified for a hazardous area
  bool wet{false};
  bool dusty{false};
  Mounting mounting{Mounting::unknown};  ///< in the no-load run; see iec_no_load_limits()
  double bearing_c{70};                  ///< temperature in service
  bool bearing_c_known{false};
  std::optional<double> ambient_c;  ///< of the place where it runs
  std::optional<double> coldest_c;  ///< of the bearing at a start
  double workshop_c{20};
  LoadLevel load{LoadLevel::light};
  std::optional<double> radial_n, axial_n;
  std::optional<double> shaft_mm;    ///< diameter of the seat as measured
  std::optional<double> housing_mm;  ///< bore of the housing as measured
  std::optional<BaseOil> oil;        ///< of the grease
  std::string grease, old_grease;    ///< thickeners, words of thickener(); may be empty
  std::string lubricant;             ///< as the machine file has it, free words; may be empty
  std::string seal;                  ///< of the shaft, as the machine file has it; may be empty
  std::optional<bool> locating;      ///< holds the shaft axially
  std::string other_bearing;         ///< at the other end, as the machine file has it; may be empty
  std::vector<std::string> points;   ///< where the machine's vibration is measured; may be empty
  /// What to type so that the machine file is used, --machine ... --point ...; may be empty.
  std::string machine_words;
};

/// How a point of advice weighs.
enum class Weighing : std::uint8_t {
  good,     ///< fits
  note,     ///< to know
  caution,  ///< needs a decision
  wrong,    ///< do not fit it
  look_up,  ///< not judged: a value is not given, or no source here supports an answer
};
[[nodiscard]] std::string_view token(Weighing weighing) noexcept;

struct Advice {
  std::string topic;  ///< "Speed", "Fit on the shaft" ...
  Weighing weighing{Weighing::note};
  std::string text;
  std::string source;  ///< who says so; never empty
};

struct ReplacementPlan {
  BearingFacts facts;
  MotorDuty duty;
  std::optional<ShaftFit> fit;
  std::optional<double>
      interference_um;  ///< largest to reckon with: of the measured shaft if given
  std::optional<Heating> heat;
  std::optional<PressForce> press;           ///< at interference_um, where the size is known
  bool cold{false};                          ///< pressed on cold: needs no heating
  std::optional<double> regreasing_g;        ///< from the side; none for bearings greased for life
  std::optional<GreaseInterval> regreasing;  ///< already shortened for a vertical shaft
  std::optional<double> life_h;              ///< basic rating life, where the loads are known
  std::optional<BeltPull> pull;          ///< of the belt, where power, speed and pulley are known
  std::optional<double> required_mm2_s;  ///< viscosity that the speed asks for
  std::optional<ViscosityRange> kappa;   ///< viscosity ratio, where the oil is known
  std::vector<Advice> advice;            ///< by topic, in the order of work
};

/// The plan for a bearing in a motor.
/// Errors: bad_argument: a speed, size, temperature, load or oil that cannot be (named); a measured
///         shaft or housing that belongs to another bearing; a thickener that is not known
/// Source: each Advice names its own; docs/replacement.md lists the rules
[[nodiscard]] Result<ReplacementPlan> plan_replacement(const Designation& designation,
                                                       const MotorDuty& duty);

/// Greased and closed on both sides: never opened, never regreased.
[[nodiscard]] bool greased_for_life(const Designation& designation) noexcept;

}  // namespace bearingdsp
