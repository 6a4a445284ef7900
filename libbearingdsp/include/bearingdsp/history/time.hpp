#pragma once
/// Points in time: UTC, to the millisecond.
#include <chrono>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// An instant, UTC, milliseconds since 1970-01-01 without leap seconds.
using UtcTime = std::chrono::sys_time<std::chrono::milliseconds>;

/// Reads ISO 8601: "2026-03-02", "2026-03-02T07:45", "2026-03-02 07:45:10.25Z",
/// "2026-03-02T07:45:10+02:00". Without a zone it is UTC; further digits than milliseconds are cut.
/// Errors: bad_argument, `where` naming the option or file; days and times that do not exist are
///         refused.
[[nodiscard]] Result<UtcTime> parse_time(std::string_view text, std::string_view where);

/// "2026-03-02T07:45:10Z"; ".250" before the Z only where there are milliseconds.
[[nodiscard]] std::string format_time(UtcTime time);
/// "2026-03-02"
[[nodiscard]] std::string format_date(UtcTime time);

/// Days from a to b; negative if b is earlier.
[[nodiscard]] constexpr double days_between(UtcTime a, UtcTime b) noexcept {
  return static_cast<double>((b - a).count()) / 86'400'000.0;
}

/// Where the time of a recording comes from, best first.
enum class TimeSource : std::uint8_t {
  given,      ///< by the person, or taken out of the file's name by the route's pattern
  recording,  ///< the recorder wrote it into the file
  file,       ///< when the file was last written: late by the recording and by any copying
};
[[nodiscard]] std::string_view name(TimeSource source) noexcept;

struct CaptureTime {
  UtcTime time;
  TimeSource source{TimeSource::given};
};
/// When a capture was recorded: as given, else its start time, else when its file was last written.
/// Errors: io if that is needed and the file is not there
[[nodiscard]] Result<CaptureTime> capture_time(const Capture& capture,
                                               std::optional<UtcTime> given = std::nullopt);

}  // namespace bearingdsp
