#pragma once
/// What a machine file knows that a replacement, or the search for a cause, has to know.
#include <string>
#include <vector>

#include "bearingdsp/machine/cautions.hpp"
#include "bearingdsp/machine/machine.hpp"
#include "bearingdsp/replacement/plan.hpp"

namespace bearingdsp {

/// The duty of the bearing at one end: nameplate, mounting, drive, surroundings, loads,
/// temperature, measuring points and the bearing at the other end as far as the file says them.
/// With a speed range the highest speed counts. A drive that is described with the word "belt"
/// pulls on the drive end.
[[nodiscard]] MotorDuty duty_of(const Machine& machine, MachineEnd end);

/// What makes work on the motor more dangerous than usual.
[[nodiscard]] Dangers dangers_of(const MotorDuty& duty);
/// The same with what the bearing adds: closed, how hot it gets, rollers.
[[nodiscard]] Dangers dangers_of(const ReplacementPlan& plan);

/// The words of cause_facts() that hold for the bearing at one end, as far as the file says.
[[nodiscard]] std::vector<std::string> facts_of(const Machine& machine, MachineEnd end);

}  // namespace bearingdsp
