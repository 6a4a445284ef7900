#pragma once
/// Points in time: UTC, to the millisecond.
#include <chrono>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/token.hpp"

namespace bearingdsp {

/// An instant, UTC, milliseconds since 1970-01-01 without leap seconds.
using UtcTime = std::chrono::sys_time<std::chrono::milliseconds>;

/// Years 0 to 9999, those that ISO 8601 writes with four digits: what parse_time() reads, and what a
/// store holds. Two of them, or one and a century, add up without overflow.
inline constexpr UtcTime earliest_time{std::chrono::sys_days{std::chrono::year{0} / 1 / 1}};
inline constexpr UtcTime latest_time{std::chrono::sys_days{std::chrono::year{10000} / 1 / 1} -
                                     std::chrono::milliseconds{1}};

/// Reads ISO 8601: "2026-03-02", "2026-03-02T07:45", "2026-03-02 07:45:10.25Z",
/// "2026-03-02T07:45:10+02:00". Without a zone it is UTC; further digits than milliseconds are cut.
/// Errors: bad_argument, `where` naming the option or file; days and times that do not exist, or lie
///         before earliest_time or after latest_time, are refused.
[[nodiscard]] Result<UtcTime> parse_time(std::string_view text, std::string_view where);

/// "2026-03-02T07:45:10Z"; ".250" before the Z only where there are milliseconds.
[[nodiscard]] std::string format_time(UtcTime time);
/// "2026-03-02"
[[nodiscard]] std::string format_date(UtcTime time);

/// Days from a to b; negative if b is earlier.
[[nodiscard]] constexpr double days_between(UtcTime a, UtcTime b) noexcept {
  return static_cast<double>((b - a).count()) / 86'400'000.0;
}

/// What time it is. History asks it; a test gives one of its own.
using Clock = std::function<UtcTime()>;
/// That of the computer.
[[nodiscard]] UtcTime system_time();

/// Whether a time lies after `known`, when it was written down, by more than the zones of the world
/// can explain: nothing is recorded or done before it happens. The margin is a day: a local time
/// taken for UTC is at most 14 h ahead.
[[nodiscard]] constexpr bool is_ahead(UtcTime time, UtcTime known) noexcept {
  return time > known + std::chrono::hours{24};
}
/// Errors: bad_argument, `where` naming the option, for a time that is_ahead() of now.
[[nodiscard]] Result<void> check_not_ahead(UtcTime time, UtcTime now, std::string_view where);

/// Where the time of a recording comes from, best first.
enum class TimeSource : std::uint8_t {
  given,      ///< by the person, or taken out of the file's name by the route's pattern
  recording,  ///< the recorder wrote it into the file
  file,       ///< when the file was last written: late by the recording and by any copying
};
[[nodiscard]] std::string_view token(TimeSource source) noexcept;

struct CaptureTime {
  UtcTime time;
  TimeSource source{TimeSource::given};
};
/// When a capture was recorded: as given, else its start time, else when its file was last written.
/// Errors: io if that is needed and the file is not there
[[nodiscard]] Result<CaptureTime> capture_time(const Capture& capture,
                                               std::optional<UtcTime> given = std::nullopt);

}  // namespace bearingdsp
