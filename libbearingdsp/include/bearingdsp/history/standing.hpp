#pragma once
/// The present state of a measuring point by its history: what the worst-first list is made of.
#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/history/forecast.hpp"
#include "bearingdsp/history/own_reference.hpp"
#include "bearingdsp/history/record.hpp"
#include "bearingdsp/history/store.hpp"
#include "bearingdsp/history/trend.hpp"
#include "bearingdsp/verdict/assessment.hpp"
#include "bearingdsp/verdict/stage.hpp"

namespace bearingdsp {

struct Standing {
  PointKey at;
  std::size_t readings{0};
  UtcTime latest{};  ///< when the latest reading was taken
  /// When what is wrong now was first seen, without a healthy reading since; only where something
  /// is to be done.
  std::optional<UtcTime> since;
  std::string order;  ///< bearing that would have to be ordered; empty where the file has no number
  Assessment assessment;     ///< what the user reads
  bool acknowledged{false};  ///< a person has seen the alarm, and it got no worse since
  Verdict verdict{Verdict::indeterminate};
  Place place{Place::cannot_tell};
  std::vector<Part> place_set;  ///< of the latest reading, as Diagnosis::place_set
  double probability_of_damage{0.5};
  Stage stage{Stage::unknown};
  AlarmLevel alarm{AlarmLevel::none};
  std::optional<double> change_db;  ///< of the high band against the baseline, where there is one
  std::optional<double> velocity_mm_s;
  std::optional<Zone> zone;         ///< of that velocity, by the machine's class
  std::string no_zone;              ///< in one line why there is none; empty where there is
  std::optional<ReachRange> reach;  ///< of the high band: 12 dB above the baseline, days
  std::string why;                  ///< one or two sentences with the numbers
  /// What the point's own healthy readings make of the latest one; all above is with it.
  std::optional<ReferenceShare> reference;
  std::string changed;  ///< against the reading before; empty if nothing changed
  /// Dates that cannot be true, with the numbers to correct them by; empty if there are none.
  std::string dates;
};

/// The velocity of a reading compared with the machine's limits; an unusable recording has no zone.
/// Pure.
/// Errors: none
[[nodiscard]] VelocityJudgement judge_vibration(const Reading& reading, const KnownLimits& limits);
/// What assess() starts from for one reading without its history. Pure.
/// Errors: none
[[nodiscard]] PointEvidence point_evidence(const Reading& reading, const KnownLimits& limits);
/// That of the latest reading. Without readings there is nothing to judge, and that is said. Pure.
[[nodiscard]] VelocityJudgement judge_vibration(const PointHistory& history);

/// The state of the point after its latest reading: assess() of that reading, beside the point's
/// own healthy readings (with_references()), and its trend; where the options hold no limits of the
/// velocity, those of the history count. Pure.
/// Shape: history with readings and events in order of time; without readings it is OK.
/// Source: rules in docs/history.md
[[nodiscard]] Standing find_standing(const PointHistory& history, const TrendOptions& options = {});

/// Limits and tolerances of a point.
using TrendOptionsOf = std::function<TrendOptions(const PointKey&)>;

/// Every point, worst first: by urgency, those not acknowledged first, then by probability of
/// damage and change. Standings are kept in the store and only found again where a history or the
/// limits changed; where the store may not be written they are found each time.
/// Errors: those of History
[[nodiscard]] Result<std::vector<Standing>> worst_first(History& history,
                                                        const TrendOptionsOf& options = {});
/// The order of that list.
void sort_worst_first(std::vector<Standing>& standings);

}  // namespace bearingdsp
