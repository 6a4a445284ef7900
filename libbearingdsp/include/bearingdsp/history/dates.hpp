#pragma once
/// Dates that cannot be true. A recorder's clock is reset by an empty battery; a date is mistyped.
#include "bearingdsp/history/record.hpp"

namespace bearingdsp {

/// Puts readings and events in order of time, marks doubtful dates, and sets aside what lies in the
/// future (readings_ahead, events_ahead). If all readings do, it is rather the computer's clock
/// that is wrong: then they are marked and stay.
///
/// Of one instant the order is not known: a reading that cannot tell comes first, then those
/// without a fault, then those with one, so that the latest is never better than another of its
/// time. What is left is ordered by path and hash, whatever order they were stored in.
///
/// DateDoubt::ahead: is_ahead() of the time when the history got it. DateDoubt::behind: a reading
/// that came in a later run than one which is dated after it, or that lies more than two years
/// before the next one, with nothing between them that begins a baseline. Confirmed dates are not
/// doubted. The two years are ours: no round of measuring has such an interval.
/// Shape:  readings and events in any order
void settle_dates(PointHistory& history);

/// Readings with a doubtful date that show a damaged bearing, which no reading of a trusted date
/// shows to be over: three that came later without a fault end it, as they end a fault of the
/// trend. Empty if there are none. Pointers into `history`, worst first.
/// Shape: as settle_dates() left it
[[nodiscard]] std::vector<const Reading*> doubtful_damage(const PointHistory& history);

}  // namespace bearingdsp
