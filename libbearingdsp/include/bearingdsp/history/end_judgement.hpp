#pragma once
/// One answer for one bearing from all recordings of a survey: the points and directions at one end
/// of a machine, and repeated recordings of a point.
#include <span>
#include <string>
#include <vector>

#include "bearingdsp/history/record.hpp"
#include "bearingdsp/history/standing.hpp"
#include "bearingdsp/history/store.hpp"
#include "bearingdsp/machine/machine.hpp"
#include "bearingdsp/machine/route.hpp"
#include "bearingdsp/verdict/assessment.hpp"

namespace bearingdsp {

/// Hours before the latest recording that are one survey: a work shift with its overtime. Common
/// practice, no source.
inline constexpr double hours_of_visit = 12;

/// What one recording adds to the judgement of its bearing.
struct EndRecording {
  std::string point;
  UtcTime taken{};
  RecordingShare share;  ///< by itself, beside its own reference (own_reference.hpp)
};

/// What all recordings of one survey say of the bearing at one end of a machine.
struct EndStanding {
  std::string machine;
  MachineEnd end{MachineEnd::drive_end};
  std::vector<EndRecording> recordings;  ///< two or more, by point, then by time
  Verdict verdict{Verdict::indeterminate};
  Place place{Place::cannot_tell};
  std::vector<Part> place_set;
  double probability_of_damage{0.5};
  double probability_of_place{0};
  Assessment assessment;  ///< by the table of docs/urgency.md, as that of a point
  std::string shown;      ///< point of the recording that shows most
};

/// Judges the recordings of the latest survey together (judge_together()). They belong together
/// where they are of the same machine and end, in any direction, not more than hours_of_visit
/// before the latest of them, with the same bearing, and after its replacement if one is noted.
/// Readings whose date is in doubt do not take part. Each is taken beside the reference of its own
/// point.
///
/// Returns: none for fewer than two recordings, or where none can be judged
/// Shape:   points [n] of one machine and end, in order of time each; not null
/// Errors:  none
[[nodiscard]] std::optional<EndStanding> judge_end(std::span<const PointHistory* const> points,
                                                   MachineEnd end);

/// The same for every end of the machines of a route, in the order of the route; those without two
/// recordings are left out.
/// Errors: those of History::point
[[nodiscard]] Result<std::vector<EndStanding>> judge_ends(const Route& route, History& history);

/// Where the recordings together are more urgent than each point by itself, the point that shows
/// most carries that urgency in the list; nothing becomes less urgent. The order stays worst first.
void raise_by_ends(std::vector<Standing>& standings, std::span<const EndStanding> ends);

}  // namespace bearingdsp
