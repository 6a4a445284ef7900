#pragma once
/// The workshop checks as sheets to take along: how each is measured, with its cautions, blanks,
/// limits and where they come from.
#include <string>
#include <vector>

#include "bearingdsp/machine/cautions.hpp"
#include "bearingdsp/machine/workshop_checks.hpp"
#include "bearingdsp/replacement/job_card.hpp"

namespace bearingdsp {

struct CheckSheet {
  WorkshopCheck check{WorkshopCheck::insulation_resistance};
  std::string title;
  std::string when;                  ///< at which time of the job
  std::vector<JobStep> steps;        ///< each with its cautions
  std::vector<JobReading> readings;  ///< blanks with their limits
  std::vector<std::string> sources;  ///< "at most 0.05 mm: from memory; a common shop target"
  std::vector<std::string> notes;
};

/// What decides which sheets a motor needs.
struct SheetOptions {
  Dangers dangers;
  bool belt{false};       ///< belt sheets
  bool coupling{true};    ///< alignment sheet
  bool insulated{false};  ///< sheet of the bearing insulation
};

/// The sheets of a motor in the order of work. Limits that depend on something unknown are given
/// for each case. Pure.
/// Source: data/workshop_steps.csv and data/workshop_limits.csv, each limit with its own
[[nodiscard]] std::vector<CheckSheet> check_sheets(const WorkshopFacts& facts,
                                                   const SheetOptions& options);
/// What a machine file says of them, at one end.
/// Errors: none
[[nodiscard]] SheetOptions sheet_options(const Machine& machine, MachineEnd end);

/// The facts with the clearance that a bearing of this designation has once it is mounted, cold.
/// Source: ISO 5753-1 minus 70 to 90 % of the interference, as running_clearance()
[[nodiscard]] WorkshopFacts with_rotor_play(WorkshopFacts facts, const std::string& designation);

}  // namespace bearingdsp
