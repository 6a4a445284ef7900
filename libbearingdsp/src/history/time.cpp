#include "bearingdsp/history/time.hpp"

#include <fmt/format.h>
#include <sys/stat.h>

#include <cerrno>
#include <system_error>

#include "bearingdsp/core/letters.hpp"

namespace bearingdsp {
namespace {

/// Takes digits off the front.
class Digits {
 public:
  explicit Digits(std::string_view text) : rest_{text} {}
  /// Exactly n digits; -1 if there are not.
  int take(std::size_t n) {
    if (rest_.size() < n) return fail();
    int value = 0;
    for (std::size_t i = 0; i < n; ++i) {
      if (rest_[i] < '0' || rest_[i] > '9') return fail();
      value = 10 * value + (rest_[i] - '0');
    }
    rest_.remove_prefix(n);
    return value;
  }
  bool next(char c) {
    if (rest_.empty() || rest_.front() != c) return false;
    rest_.remove_prefix(1);
    return true;
  }
  /// Digits behind the decimal point, as milliseconds.
  int milliseconds() {
    int value = 0;
    int scale = 100;
    bool any = false;
    while (!rest_.empty() && is_digit(rest_.front())) {
      value += (rest_.front() - '0') * scale;
      scale /= 10;
      any = true;
      rest_.remove_prefix(1);
    }
    return any ? value : fail();
  }
  void expect(bool met) { good_ = good_ && met; }
  [[nodiscard]] bool at_end() const { return rest_.empty(); }
  [[nodiscard]] bool good() const { return good_; }

 private:
  int fail() {
    good_ = false;
    return -1;
  }
  std::string_view rest_;
  bool good_{true};
};

std::chrono::minutes take_zone(Digits& in) {
  if (in.next('Z') || in.at_end()) return {};
  const bool east = in.next('+');
  if (!east) in.expect(in.next('-'));
  const int hours = in.take(2);
  in.next(':');
  const int minutes = in.at_end() ? 0 : in.take(2);
  in.expect(hours <= 23 && minutes <= 59);
  const std::chrono::minutes ahead{hours * 60 + minutes};
  return east ? ahead : -ahead;
}

std::chrono::milliseconds take_clock(Digits& in) {
  const int hours = in.take(2);
  in.expect(in.next(':'));
  const int minutes = in.take(2);
  int seconds = 0;
  int thousandths = 0;
  if (in.next(':')) {
    seconds = in.take(2);
    if (in.next('.') || in.next(',')) thousandths = in.milliseconds();
  }
  in.expect(hours <= 23 && minutes <= 59 && seconds <= 59);
  return std::chrono::hours{hours} + std::chrono::minutes{minutes} + std::chrono::seconds{seconds} +
         std::chrono::milliseconds{thousandths};
}

}  // namespace

Result<UtcTime> parse_time(std::string_view text, std::string_view where) {
  Digits in{text};
  const int year = in.take(4);
  in.expect(in.next('-'));
  const int month = in.take(2);
  in.expect(in.next('-'));
  const int day = in.take(2);
  const std::chrono::year_month_day date{std::chrono::year{year},
                                         std::chrono::month{static_cast<unsigned>(month)},
                                         std::chrono::day{static_cast<unsigned>(day)}};
  in.expect(date.ok());
  UtcTime time{};
  if (in.good()) time = std::chrono::sys_days{date};
  if (in.good() && !in.at_end()) {
    in.expect(in.next('T') || in.next(' '));
    time += take_clock(in);
    time -= take_zone(in);
    in.expect(time >= earliest_time && time <= latest_time);
  }
  if (!in.good() || !in.at_end())
    return Error{Errc::bad_argument, std::string{where}, fmt::format("'{}' is no time", text),
                 "write it like 2026-03-02 or 2026-03-02T07:45:10Z"};
  return time;
}

std::string format_date(UtcTime time) {
  const std::chrono::year_month_day date{std::chrono::floor<std::chrono::days>(time)};
  return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(date.year()),
                     static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()));
}

std::string format_time(UtcTime time) {
  const auto of_day = time - std::chrono::floor<std::chrono::days>(time);
  const auto total = of_day.count();
  const auto thousandths = total % 1000;
  std::string text = fmt::format("{}T{:02}:{:02}:{:02}", format_date(time), total / 3'600'000,
                                 total / 60'000 % 60, total / 1000 % 60);
  if (thousandths != 0) text += fmt::format(".{:03}", thousandths);
  text += 'Z';
  return text;
}

UtcTime system_time() {
  return std::chrono::floor<std::chrono::milliseconds>(std::chrono::system_clock::now());
}

Result<void> check_not_ahead(UtcTime time, UtcTime now, std::string_view where) {
  if (!is_ahead(time, now)) return {};
  return Error{Errc::bad_argument, std::string{where},
               fmt::format("{} is in the future: this computer's date is {}", format_date(time),
                           format_date(now)),
               "give the day on which it happened, or correct this computer's clock"};
}

std::string_view token(TimeSource source) noexcept {
  switch (source) {
    case TimeSource::given:
      return "given";
    case TimeSource::recording:
      return "recording";
    case TimeSource::file:
      return "file";
  }
  return "file";
}

Result<CaptureTime> capture_time(const Capture& capture, std::optional<UtcTime> given) {
  if (given) return CaptureTime{*given, TimeSource::given};
  if (capture.start_utc) {
    if (const auto start = parse_time(*capture.start_utc, capture.source); start)
      return CaptureTime{*start, TimeSource::recording};
  }
  struct stat about {};
  if (::stat(capture.source.c_str(), &about) != 0)
    return Error{Errc::io, capture.source, "has no time: " + std::generic_category().message(errno),
                 "give the time"};
  const std::chrono::seconds seconds{about.st_mtim.tv_sec};
  return CaptureTime{
      UtcTime{seconds} + std::chrono::milliseconds{about.st_mtim.tv_nsec / 1'000'000},
      TimeSource::file};
}

}  // namespace bearingdsp
