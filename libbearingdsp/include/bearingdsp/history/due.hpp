#pragma once
/// What is due at each machine, and on which day.
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/history/standing.hpp"
#include "bearingdsp/history/time.hpp"

namespace bearingdsp {

/// Days between two surveys where nothing else is said. Common practice, no source.
inline constexpr int usual_survey_days = 28;

/// Days that a deadline of an assessment allows after the reading: "now" 0, "within a week" 7,
/// "within two weeks" 14, "within four weeks" 28, "before the next survey" `survey_days`; nothing
/// for other words.
/// Source: the column "by when" of docs/urgency.md
[[nodiscard]] std::optional<int> days_allowed(std::string_view deadline,
                                              int survey_days = usual_survey_days);

/// One machine: what is wrong, what changed, what it needs, and by when.
struct MachineDue {
  std::string machine;
  Urgency urgency{Urgency::none};
  std::string deadline;       ///< in words, of the point that decides; empty where nothing is due
  std::optional<UtcTime> on;  ///< earliest day by which one of its points is due
  UtcTime latest{};           ///< its latest reading
  std::size_t readings{0};    ///< of all its points
  std::vector<std::string> points;      ///< that ask for something, most urgent first
  std::vector<std::string> conditions;  ///< headlines of these, each once
  std::vector<std::string> changed;     ///< "DE horizontal: early, was none"
  std::vector<std::string> actions;     ///< each once, most urgent first
  std::vector<std::string> orders;      ///< bearings to order, each once
  bool acknowledged{false};             ///< all its points that ask for something are
};

/// The points of each machine put together; machines in the order of their most urgent points.
/// Pure.
/// Shape: standings [n] as of worst_first().
/// Errors: none
[[nodiscard]] std::vector<MachineDue> machines_due(const std::vector<Standing>& standings,
                                                   int survey_days = usual_survey_days);

/// What has to be ordered for a point, in words: the bearing, or where to read its number; empty
/// where nothing has to be.
[[nodiscard]] std::string order_words(const Standing& standing);

}  // namespace bearingdsp
