#pragma once
/// What can hurt in a step of the work, and what is read before it: the one place for every card,
/// sheet and instruction.
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/token.hpp"

namespace bearingdsp {

/// A kind of step that can hurt.
enum class StepKind : std::uint8_t {
  isolate,             ///< switch off, lock out
  prove_dead,          ///< at terminals that were live
  hot_surface,         ///< a motor that was running
  running_machine,     ///< anything beside a turning shaft
  lift_motor,          ///< with eyebolt and hoist
  lift_rotor,          ///< out of the stator or into it
  open_motor,          ///< covers and end shields off, dust inside
  pull,                ///< coupling, pulley, fan
  pull_bearing,        ///< off its seat
  loose_spring,        ///< snap ring
  cut,                 ///< a bearing open
  solvent,             ///< cleaning
  hot_bearing,         ///< heated for mounting
  force_on_ring,       ///< where force may go through
  press,               ///< on cold
  hydraulic,           ///< up a taper
  bearing_insulation,  ///< measured from ring to ring
  winding_insulation,  ///< measured, high voltage
  connect,             ///< cables, after the work
  live_measurement,    ///< current, voltage
  shaft_contact,       ///< a brush at the turning shaft
  first_start,         ///< after the work
  touch_shaft,         ///< coupling, belt, shaft by hand
  slacken_belt,        ///< before anything is loosened
  grease_gun,          ///< under pressure
  coast_down,          ///< power off, the shaft still turns
  grease_running,      ///< a motor that runs
  burning,             ///< smoke, sparks, a smell of burning
  mount_sensor,        ///< on a machine that runs
  rotor_weight,        ///< a trial or correction weight is fitted
  trial_run,           ///< with a weight fitted
  work,                ///< by hand, on an installed machine
  work_on_one,         ///< the same, of several machines
  look,                ///< at an old bearing, in the hand
};
/// "isolate", "prove dead" ...: the words of data/cautions.csv.
[[nodiscard]] std::string_view token(StepKind task) noexcept;
inline constexpr int step_kind_count = 34;
/// The kind of step that name() calls so, or none.
[[nodiscard]] std::optional<StepKind> step_kind(std::string_view word) noexcept;

/// What the motor has that makes a step more dangerous.
struct Dangers {
  bool variable_speed{false};       ///< supplied by a variable-frequency drive
  bool magnet_rotor{false};         ///< permanent magnets
  bool explosion_protected{false};  ///< certified for a hazardous area
  bool closed_bearing{false};       ///< sealed or shielded
  bool heated_above_80{false};      ///< a closed bearing that is heated so far
  bool rollers{false};              ///< roller bearing
};

/// To be read before a step.
struct Caution {
  std::string text;
  std::string brief;   ///< the same where paper is short; never empty
  std::string source;  ///< "common practice, no source", "from memory", or who says so
};

/// The cautions of a kind of step, in the order of data/cautions.csv. Never empty. Pure.
/// Source: data/cautions.csv, each row with its own
[[nodiscard]] std::vector<Caution> cautions_for(StepKind task, const Dangers& dangers);
/// The same for a step of several kinds; each caution once.
/// Shape: tasks [n]; none for [0].
/// Errors: none
[[nodiscard]] std::vector<Caution> cautions_for(const std::vector<StepKind>& tasks,
                                                const Dangers& dangers);

/// "Before work on the machine: stop it, isolate and lock it out, by your local rules."; of several
/// machines "a machine".
/// Errors: none
/// Source: data/cautions.csv, "work" and "work on one"
[[nodiscard]] std::string before_work(bool several = false);
/// An instruction of one or two sentences behind the caution of its kind of step; with `brief` the
/// one for short paper.
/// Errors: none
[[nodiscard]] std::string cautioned(StepKind task, std::string_view instruction,
                                    bool brief = false);

}  // namespace bearingdsp
