#pragma once
/// What is due as a calendar file.
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/history/due.hpp"
#include "bearingdsp/replacement/greasing.hpp"

namespace bearingdsp {

struct CalendarOptions {
  /// Name of the plant. Two plants may have a machine of one name: it takes part in the UIDs.
  std::string plant;
  UtcTime now{};  ///< when the file is written; what is overdue is put on this day
  int survey_days{usual_survey_days};
};

/// An iCalendar object: an all-day event for each machine at which something is due, and one for
/// the next survey, `survey_days` after the latest reading. The UID of a machine is always the
/// same, so that an import replaces the event of the last one.
/// Shape: CRLF, lines of at most 75 octets, UTF-8 characters whole; no components for no machines.
/// Errors: none.
/// Source: [rfc5545] sections 3.1, 3.3.11, 3.4, 3.6.1, 3.8
[[nodiscard]] std::string calendar(const std::vector<MachineDue>& machines,
                                   const CalendarOptions& options);

/// The same of a greasing plan: an event for each bearing that has a day, repeated at its interval.
/// The description holds amount, steps and cautions.
/// Shape:  as calendar().
/// Errors: none.
/// Source: [rfc5545] also 3.3.10 (RRULE)
[[nodiscard]] std::string grease_calendar(const std::vector<GreaseDue>& plan,
                                          const CalendarOptions& options);

}  // namespace bearingdsp
