#pragma once
/// Regreasing as work: strokes, steps with their cautions, and when the next time is.
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/history/record.hpp"
#include "bearingdsp/history/time.hpp"
#include "bearingdsp/machine/machine.hpp"
#include "bearingdsp/replacement/job_card.hpp"
#include "bearingdsp/replacement/plan.hpp"

namespace bearingdsp {

struct GreaseOptions {
  std::optional<double> g_per_stroke;  ///< of the gun, weighed; g
  double hours_per_year{8760};         ///< that the machine runs
};

/// One bearing to be greased.
struct GreaseJob {
  bool for_life{false};                    ///< closed on both sides: nothing is done
  std::optional<double> grams;             ///< where the size is known
  std::optional<int> strokes;              ///< where the gun was weighed as well; at least 1
  std::optional<GreaseInterval> interval;  ///< running hours
  std::optional<int> days;                 ///< to the next time, by the shorter interval
  std::vector<JobStep> steps;              ///< in order, each with its cautions; none for life
  std::vector<std::string> overgreased;    ///< by what too much grease shows
  std::vector<std::string> notes;          ///< what is not known, and sources
};

/// Strokes of a gun for an amount: rounded to the nearest, at least one.
/// Errors: std::invalid_argument (caller's bug) unless both are above 0 and the strokes at most 1e6
[[nodiscard]] int strokes_for(double grams, double g_per_stroke);

/// The work on the bearing of a plan. Pure. The words of the steps say the amounts.
/// Errors:  std::invalid_argument (caller's bug) unless hours_per_year is above 0, at most 8784
/// Source:  amount and interval: those of the plan; procedure: US military handbook 1164, two motor
///          manuals, a repair shop's procedure (docs/sources.md, workshop practice 20 and 30)
[[nodiscard]] GreaseJob grease_job(const ReplacementPlan& plan, const GreaseOptions& options);

/// A bearing of the fleet.
struct GreaseDue {
  std::string machine;
  MachineEnd end{MachineEnd::drive_end};
  std::string designation;
  GreaseJob job;
  std::string why_not;          ///< where nothing can be said; else empty
  std::optional<UtcTime> last;  ///< greased, or the bearing new
  std::optional<UtcTime> on;    ///< day of the next time; empty where none follows
};

/// Every bearing of the machines, in their order: how much, how often, and the day of the next
/// time: `days` after the last greasing or new bearing among the events, or after `start` where
/// there is none. Pure. An event of a point counts for the end of that point.
/// Shape:  events: name of the machine with its event
/// Errors: none: a bearing that cannot be judged says why
[[nodiscard]] std::vector<GreaseDue> grease_plan(
    const std::vector<Machine>& machines, const std::vector<std::pair<std::string, Event>>& events,
    UtcTime start, const GreaseOptions& options);

}  // namespace bearingdsp
