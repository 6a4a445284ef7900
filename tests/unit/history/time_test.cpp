#include "bearingdsp/history/time.hpp"

#include <doctest/doctest.h>

#include <chrono>
#include <filesystem>

#include "support/close.hpp"
#include "support/scratch.hpp"

using namespace bearingdsp;
using namespace std::chrono_literals;

namespace {
UtcTime at(std::string_view text) { return parse_time(text, "test").value(); }
}  // namespace

TEST_CASE("time: ISO 8601 is read to the millisecond [src:POSIX seconds since the epoch]") {
  // 1 000 000 000 s is 2001-09-09T01:46:40Z, known to every user of Unix clocks.
  CHECK(at("2001-09-09T01:46:40Z") == UtcTime{1'000'000'000s});
  CHECK(at("1970-01-01") == UtcTime{});
  CHECK(at("2001-09-09 01:46:40.25") == UtcTime{1'000'000'000'250ms});
  CHECK(at("2001-09-09T03:46:40+02:00") == UtcTime{1'000'000'000s});
  CHECK(at("2001-09-08T20:46:40-0500") == UtcTime{1'000'000'000s});
  CHECK(at("2001-09-09T01:46") == UtcTime{999'999'960s});
  CHECK(at("2024-02-29") - at("2024-02-28") == 24h);
  CHECK(at("1969-12-31T23:59:59Z") == UtcTime{-1s});
}

TEST_CASE("time: what is no time is refused with where and how to write it") {
  for (const char* text :
       {"", "2026", "2026-13-01", "2026-02-29", "2026-02-30", "02.03.2026", "2026-03-02T",
        "2026-03-02T7:45", "2026-03-02T24:00", "2026-03-02T10:60", "2026-03-02T10:00:60",
        "2026-03-02T10:00:00.", "2026-03-02T10:00Zjunk", "2026-03-02T10:00+25:00", "2026-03-02x"}) {
    INFO(text);
    const auto t = parse_time(text, "--time");
    REQUIRE_FALSE(t);
    CHECK(t.error().code == Errc::bad_argument);
    CHECK(t.error().where == "--time");
  }
}

TEST_CASE("time: what is printed is read back, before and after 1970") {
  CHECK(format_time(UtcTime{1'000'000'000s}) == "2001-09-09T01:46:40Z");
  CHECK(format_time(UtcTime{-1ms}) == "1969-12-31T23:59:59.999Z");
  CHECK(format_date(at("2026-03-02T23:59:59Z")) == "2026-03-02");
  for (const auto ms : {0LL, 1LL, 86'399'999LL, -86'400'001LL, 1'772'000'000'123LL}) {
    const UtcTime t{std::chrono::milliseconds{ms}};
    CHECK(at(format_time(t)) == t);
  }
  CHECK(days_between(at("2026-03-02"), at("2026-03-01T12:00")) == -0.5);
}

TEST_CASE("time: a zone does not lead out of the years that four digits write") {
  CHECK(at("0000-01-01") == earliest_time);
  CHECK(at("9999-12-31T23:59:59.999") == latest_time);
  for (const UtcTime t : {earliest_time, latest_time}) CHECK(at(format_time(t)) == t);
  CHECK_FALSE(parse_time("0000-01-01T00:00+00:01", "--time"));
  CHECK_FALSE(parse_time("9999-12-31T23:59:59-00:01", "--time"));
}

TEST_CASE("time: a capture's time is given, else recorded, else the file's") {
  const test::Scratch scratch;
  Capture capture;
  capture.source = scratch.file("a.csv", "x\n");
  const auto of_file = capture_time(capture);
  REQUIRE(of_file);
  CHECK(of_file->source == TimeSource::file);
  namespace fs = std::filesystem;
  fs::last_write_time(capture.source, fs::last_write_time(capture.source) - 24h);
  CHECK(test::close_abs(days_between(capture_time(capture).value().time, of_file->time), 1, 1e-6));

  capture.start_utc = "2026-03-02T07:45:10Z";
  CHECK(capture_time(capture).value().source == TimeSource::recording);
  CHECK(capture_time(capture).value().time == at("2026-03-02T07:45:10Z"));
  CHECK(capture_time(capture, at("2025-01-01")).value().time == at("2025-01-01"));
  CHECK(capture_time(capture, at("2025-01-01")).value().source == TimeSource::given);

  Capture gone;
  gone.source = scratch.path("gone.wav");
  REQUIRE_FALSE(capture_time(gone));
  CHECK(capture_time(gone).error().code == Errc::io);
}

TEST_CASE("time: what lies ahead by more than a day is in the future") {
  const UtcTime now = at("2026-11-29T12:00");
  CHECK_FALSE(is_ahead(at("2026-11-30T02:00"), now));  // 14 h: the farthest zone east
  CHECK_FALSE(is_ahead(at("2026-11-30T12:00"), now));
  CHECK(is_ahead(at("2026-11-30T12:01"), now));
  CHECK(check_not_ahead(at("2026-11-29"), now, "--time"));
  const auto refused = check_not_ahead(at("2062-11-29"), now, "--time");
  REQUIRE_FALSE(refused);
  CHECK(refused.error().code == Errc::bad_argument);
  CHECK(refused.error().where == "--time");
  CHECK(refused.error().what == "2062-11-29 is in the future: this computer's date is 2026-11-29");
  // The computer's clock is at least that of the day this was written, and goes on.
  const UtcTime first = system_time();
  CHECK(first > at("2026-01-01"));
  CHECK(system_time() >= first);
}
