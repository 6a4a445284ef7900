#include "bearingdsp/history/store.hpp"

#include <doctest/doctest.h>
#include <signal.h>
#include <sqlite3.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include "bearingdsp/history/hash.hpp"
#include "bearingdsp/history/standing.hpp"
#include "support/made_reading.hpp"
#include "support/scratch.hpp"

using namespace bearingdsp;

namespace {

const PointKey feed{"planer feed", "DE horizontal"};

/// After every made_reading that a test can add.
UtcTime much_later() { return test::day(2'000'000); }

History opened(const std::string& path, Access access = Access::read_write,
               Clock clock = much_later) {
  auto history = History::open(path, access, std::move(clock));
  if (!history) throw BadResult{history.error()};
  return std::move(history).value();
}

/// Runs SQL on the file behind the library's back.
int tamper(const std::string& path, const std::string& sql) {
  sqlite3* db = nullptr;
  sqlite3_open(path.c_str(), &db);
  const int code = sqlite3_exec(db, sql.c_str(), nullptr, nullptr, nullptr);
  sqlite3_close(db);
  return code;
}

/// Adds `count` readings from `first` on in a process of its own; exit code 0 if all went well.
pid_t adding_process(const std::string& path, int first, int count) {
  const pid_t child = fork();
  if (child != 0) return child;
  auto history = History::open(path, Access::read_write, much_later);
  bool good = history.has_value();
  for (int i = first; good && i < first + count; ++i)
    good = history->add(feed, test::made_reading(i)).has_value();
  _exit(good ? 0 : 1);
}

constexpr const char* without_step_10 =
    "ALTER TABLE verdict DROP COLUMN excluded_depth; "
    "ALTER TABLE indicator DROP COLUMN velocity_from_hz; "
    "ALTER TABLE indicator DROP COLUMN displacement_m; ";

/// What steps 7 to 10 added is taken away.
void back_to_schema_6(const std::string& path) {
  REQUIRE(tamper(path, without_step_10) == SQLITE_OK);
  REQUIRE(tamper(path,
                 "DROP INDEX capture_by_hash; DROP TABLE moved; DROP TABLE journal; "
                 "ALTER TABLE capture DROP COLUMN added_ms; "
                 "ALTER TABLE capture DROP COLUMN date_confirmed; "
                 "ALTER TABLE capture DROP COLUMN removed; "
                 "ALTER TABLE capture DROP COLUMN size_bytes; "
                 "ALTER TABLE capture DROP COLUMN beginnings; "
                 "ALTER TABLE verdict DROP COLUMN analysed_ms; "
                 "ALTER TABLE verdict DROP COLUMN bearing; "
                 "ALTER TABLE verdict DROP COLUMN place_set; "
                 "ALTER TABLE verdict DROP COLUMN other_end; "
                 "ALTER TABLE event DROP COLUMN added_ms; ALTER TABLE event DROP COLUMN removed; "
                 "PRAGMA user_version = 6") == SQLITE_OK);
}

int exit_code(pid_t child) {
  int status = 0;
  waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

void check_same(const Reading& a, const Reading& b) {
  CHECK(a.hash == b.hash);
  CHECK(a.path == b.path);
  CHECK(a.taken == b.taken);
  CHECK(a.time_source == b.time_source);
  CHECK(a.settings == b.settings);
  CHECK(a.version == b.version);
  CHECK(a.duration == b.duration);
  CHECK(a.rate == b.rate);
  CHECK(a.speed == b.speed);
  CHECK(a.load_percent == b.load_percent);
  CHECK(a.levels.unit == b.levels.unit);
  CHECK(a.levels.value == b.levels.value);
  CHECK(a.levels.high_band.high == b.levels.high_band.high);
  CHECK(a.levels.shaft == b.levels.shaft);
  for (std::size_t i = 0; i < a.parts.size(); ++i) {
    CHECK(a.parts[i].strength == b.parts[i].strength);
    CHECK(a.parts[i].depth == b.parts[i].depth);
    CHECK(a.parts[i].harmonics == b.parts[i].harmonics);
    CHECK(a.parts[i].sidebands == b.parts[i].sidebands);
  }
  CHECK(a.verdict == b.verdict);
  CHECK(a.place == b.place);
  CHECK(a.probability_of_damage == b.probability_of_damage);
  CHECK(a.probability_of_place == b.probability_of_place);
  CHECK(a.place_set == b.place_set);
  CHECK(a.stage.verdict == b.stage.verdict);
  CHECK(a.stage.parts == b.stage.parts);
  CHECK(a.stage.share == b.stage.share);
  CHECK(a.stage.band.low == b.stage.band.low);
  CHECK(a.headline == b.headline);
  CHECK(a.advice == b.advice);
  REQUIRE(a.causes.size() == b.causes.size());
  CHECK(a.causes.front().cause == b.causes.front().cause);
  CHECK(a.causes.front().why == b.causes.front().why);
  REQUIRE(a.findings.size() == b.findings.size());
  CHECK(a.findings.back().kind == b.findings.back().kind);
  CHECK(a.findings.back().weight == b.findings.back().weight);
  CHECK(a.findings.back().advice == b.findings.back().advice);
}

}  // namespace

TEST_CASE("history: a reading comes back as it went in, text with quotes and all") {
  const test::Scratch scratch;
  const std::string path = scratch.path("h.db");
  const Reading in = test::made_reading(0);
  {
    History h = opened(path);
    CHECK(h.add(feed, in).value() == Added::stored);
  }
  History h = opened(path, Access::read_only);
  const PointHistory out = h.point(feed).value();
  REQUIRE(out.readings.size() == 1);
  check_same(in, out.readings.front());
  CHECK(h.points().value() == std::vector<PointKey>{feed});
}

TEST_CASE("history: the same recording twice is one, other settings show the new analysis") {
  const test::Scratch scratch;
  History h = opened(scratch.path("h.db"));
  Reading r = test::made_reading(0);
  CHECK_FALSE(h.holds(feed, r.hash, r.settings).value());
  CHECK(h.add(feed, r).value() == Added::stored);
  CHECK(h.holds(feed, r.hash, r.settings).value());
  r.path = "/copied/elsewhere.wav";
  CHECK(h.add(feed, r).value() == Added::was_there);
  r.settings = "bearing=6206";
  r.verdict = Verdict::no_fault;
  CHECK_FALSE(h.holds(feed, r.hash, r.settings).value());
  CHECK(h.add(feed, r).value() == Added::reanalysed);
  REQUIRE(h.point(feed).value().readings.size() == 1);
  CHECK(h.point(feed).value().readings.front().verdict == Verdict::no_fault);
  // The older analysis is kept, and going back to its settings shows a new one of those.
  CHECK(h.check(false).value().analyses == 2);
  r.settings = "bearing=6205";
  CHECK(h.add(feed, r).value() == Added::reanalysed);
  CHECK(h.holds(feed, r.hash, "bearing=6205").value());
  // Another point may be in the same recording.
  CHECK(h.add({"planer feed", "DE axial"}, r).value() == Added::stored);
  CHECK(h.check(false).value().captures == 2);
  CHECK(h.check(false).value().sound());
}

TEST_CASE("history: readings come oldest first, whatever the order they were added in") {
  const test::Scratch scratch;
  History h = opened(scratch.path("h.db"));
  for (const int n : {5, 1, 3}) REQUIRE(h.add(feed, test::made_reading(n)));
  const auto readings = h.point(feed).value().readings;
  REQUIRE(readings.size() == 3);
  CHECK(readings[0].taken == test::day(1));
  CHECK(readings[2].taken == test::day(5));
  std::size_t seen = 0;
  REQUIRE(h.each([&](const PointKey& key, const Reading&) {
    CHECK(key == feed);
    return ++seen < 2;
  }));
  CHECK(seen == 2);
}

TEST_CASE("history: events belong to a point or a machine that is there") {
  const test::Scratch scratch;
  History h = opened(scratch.path("h.db"));
  REQUIRE(h.add(feed, test::made_reading(0)));
  REQUIRE(h.add({"planer feed", "NDE vertical"}, test::made_reading(0)));
  Event whole{EventKind::bearing_replaced, test::day(2), "", "C3 fitted", {}};
  Event one{EventKind::note, test::day(1), "DE horizontal", "whistles", 71.5};
  REQUIRE(h.add("planer feed", whole));
  REQUIRE(h.add("planer feed", one));
  const auto events = h.point(feed).value().events;
  REQUIRE(events.size() == 2);
  CHECK(events[0].temperature_celsius == 71.5);
  CHECK(events[0].note == "whistles");
  CHECK(events[1].kind == EventKind::bearing_replaced);
  CHECK(h.point({"planer feed", "NDE vertical"}).value().events.size() == 1);
  CHECK(h.events().value().size() == 2);
  const auto slip = h.add("planner feed", whole);
  REQUIRE_FALSE(slip);
  CHECK(slip.error().code == Errc::not_found);
  one.point = "DE horizontl";
  CHECK(h.add("planer feed", one).error().code == Errc::not_found);
  CHECK(h.point({"planer feed", "none"}).error().code == Errc::not_found);
}

TEST_CASE("history: a kept note is gone as soon as the history changes") {
  const test::Scratch scratch;
  History h = opened(scratch.path("h.db"));
  REQUIRE(h.add(feed, test::made_reading(0)));
  CHECK(h.kept_standings().value().front().second.empty());
  const PointHistory seen = h.point(feed).value();
  REQUIRE(h.keep_standing(seen, "early"));
  CHECK(h.kept_standings().value().front().second == "early");
  REQUIRE(h.add("planer feed", Event{EventKind::greased, test::day(1), "", "", {}}));
  CHECK(h.kept_standings().value().front().second.empty());
  // What was derived from an older state is not kept.
  REQUIRE(h.keep_standing(seen, "late"));
  CHECK(h.kept_standings().value().front().second.empty());
}

TEST_CASE("history: a store that may only be read is not written") {
  const test::Scratch scratch;
  const std::string path = scratch.path("h.db");
  CHECK(History::open(path, Access::read_only).error().code == Errc::not_found);
  CHECK_FALSE(std::filesystem::exists(path));
  REQUIRE(opened(path).add(feed, test::made_reading(0)));
  History h = opened(path, Access::read_only);
  const auto refused = h.add(feed, test::made_reading(1));
  REQUIRE_FALSE(refused);
  CHECK(refused.error().code == Errc::io);
  CHECK(h.point(feed).value().readings.size() == 1);
}

TEST_CASE("history: a file that is no history, or a newer one, is left alone") {
  const test::Scratch scratch;
  const std::string text = scratch.file("t.db", std::string(5000, 'x'));
  const auto read = [](const std::string& path) {
    std::ifstream in{path, std::ios::binary};
    return std::string{std::istreambuf_iterator<char>{in}, std::istreambuf_iterator<char>{}};
  };
  for (const Access access : {Access::read_only, Access::read_write})
    CHECK(History::open(text, access).error().code == Errc::corrupt_file);
  CHECK(read(text) == std::string(5000, 'x'));

  const std::string other = scratch.path("o.db");
  REQUIRE(tamper(other, "CREATE TABLE recipes (cake TEXT)") == SQLITE_OK);
  const std::string before = read(other);
  const auto refused = History::open(other, Access::read_write);
  REQUIRE_FALSE(refused);
  CHECK(refused.error().what == "is another program's database");
  CHECK(read(other) == before);

  const std::string newer = scratch.path("n.db");
  REQUIRE(opened(newer).add(feed, test::made_reading(0)));
  REQUIRE(tamper(newer, "PRAGMA user_version = 99") == SQLITE_OK);
  CHECK(History::open(newer, Access::read_write).error().what.find("newer version") !=
        std::string::npos);
  CHECK(History::open(scratch.path("no/such/h.db"), Access::read_write).error().code == Errc::io);
}

TEST_CASE("history: a store of the first schema is brought up to date without loss") {
  const test::Scratch scratch;
  const std::string path = scratch.path("h.db");
  REQUIRE(opened(path).add(feed, test::made_reading(0)));
  // Back to what schema 1 was: the later steps added this table and these columns.
  back_to_schema_6(path);
  REQUIRE(
      tamper(path,
             "DROP TABLE spectrum; DROP TABLE standing; ALTER TABLE indicator DROP COLUMN floor; "
             "ALTER TABLE machine DROP COLUMN limits; ALTER TABLE point DROP COLUMN bearing; "
             "ALTER TABLE indicator DROP COLUMN shaft_1x; "
             "ALTER TABLE indicator DROP COLUMN shaft_2x; "
             "ALTER TABLE indicator DROP COLUMN shaft_3x; PRAGMA user_version = 1") == SQLITE_OK);

  {
    History old = opened(path, Access::read_only);
    CHECK(old.check(false).value().schema == 1);
    CHECK(old.kept_standings().value().size() == 1);
    PointHistory without = old.point(feed).value();
    CHECK(old.read_spectra(without));
    CHECK_FALSE(without.readings.front().spectra);
    CHECK(old.point(feed).value().limits.why_none.find("nameplate") != std::string::npos);
    CHECK(old.point(feed).value().bearing.empty());
    CHECK(old.point(feed).value().readings.front().levels.at(Indicator::peak) == 61.25);
  }
  History h = opened(path);
  const HistoryCheck check = h.check(false).value();
  CHECK(check.schema == 10);
  CHECK(check.sound());
  Reading expected = test::made_reading(0);
  expected.levels.at(Indicator::floor).reset();  // was not measured then, nor the shaft's lines
  expected.levels.shaft = {};
  check_same(h.point(feed).value().readings.front(), expected);
  CHECK(h.keep_standing(h.point(feed).value(), "early"));
}

TEST_CASE("history: the limits of a machine are kept, and a change of them is a change of it") {
  const test::Scratch scratch;
  History h = opened(scratch.path("h.db"));
  const KnownLimits zones{*class_limits(1), {}};
  CHECK(h.keep_limits(feed.machine, zones));  // of a machine that is not there: nothing happens
  REQUIRE(h.add(feed, test::made_reading(0)));
  CHECK_FALSE(h.point(feed).value().limits.zones);
  REQUIRE(h.keep_standing(h.point(feed).value(), "early"));
  REQUIRE(h.keep_limits(feed.machine, zones));
  CHECK(h.point(feed).value().limits == zones);
  CHECK(h.kept_standings().value().front().second.empty());
  REQUIRE(h.keep_standing(h.point(feed).value(), "early"));
  REQUIRE(h.keep_limits(feed.machine, zones));
  CHECK(h.kept_standings().value().front().second == "early");  // the same again is no change
  const KnownLimits none{{}, "neither power nor shaft height is known"};
  REQUIRE(h.keep_limits(feed.machine, none));
  CHECK(h.point(feed).value().limits == none);
}

TEST_CASE("history: the bearing of a point is kept, and a change of it is a change of the point") {
  const test::Scratch scratch;
  History h = opened(scratch.path("h.db"));
  CHECK(h.keep_bearing(feed, "6205-2Z C3 (DE)"));  // of a point that is not there: nothing happens
  CHECK(h.points().value().empty());
  REQUIRE(h.add(feed, test::made_reading(0)));
  REQUIRE(h.keep_standing(h.point(feed).value(), "early"));
  REQUIRE(h.keep_bearing(feed, "6205-2Z C3 (DE)"));
  CHECK(h.point(feed).value().bearing == "6205-2Z C3 (DE)");
  CHECK(h.kept_standings().value().front().second.empty());
  REQUIRE(h.keep_standing(h.point(feed).value(), "early"));
  REQUIRE(h.keep_bearing(feed, "6205-2Z C3 (DE)"));
  CHECK(h.kept_standings().value().front().second == "early");  // the same again is no change
  REQUIRE(h.keep_bearing(feed, ""));
  CHECK(h.point(feed).value().bearing.empty());
}

TEST_CASE("history: check finds what is missing or damaged") {
  const test::Scratch scratch;
  const std::string path = scratch.path("h.db");
  REQUIRE(opened(path).add(feed, test::made_reading(0)));
  const auto check = opened(path, Access::read_only).check(true).value();
  CHECK(check.sound());
  CHECK(check.captures == 1);
  CHECK(check.missing.size() == 1);
  REQUIRE(tamper(path, "DELETE FROM part; DELETE FROM indicator") == SQLITE_OK);
  CHECK(opened(path, Access::read_only).check(false).value().wrong.size() == 2);
  REQUIRE(tamper(path, "UPDATE capture SET verdict = NULL") == SQLITE_OK);
  CHECK(opened(path, Access::read_only).check(false).value().wrong.size() == 3);
}

TEST_CASE("history: lists nested deeper than the stack are read as nothing") {
  const test::Scratch scratch;
  const std::string path = scratch.path("h.db");
  REQUIRE(opened(path).add(feed, test::made_reading(0)));
  const std::string deep = std::string(500'000, '[') + std::string(500'000, ']');
  const std::string limits = R"({"zones":{"assumptions":)" + deep + "}}";
  const std::string bearing =
      R"({"variants":[)" + deep + R"(,{"bpfo":3,"rolling_elements":1e300}]})";
  REQUIRE(tamper(path, "UPDATE machine SET limits = '" + limits +
                           "'; UPDATE verdict SET advice = '" + deep + "', causes = '" + deep +
                           "', findings = '" + deep + "', place_set = '" + deep +
                           "', other_end = '" + deep + "', bearing = '" + bearing + "'") ==
          SQLITE_OK);
  const PointHistory p = opened(path, Access::read_only).point(feed).value();
  REQUIRE(p.limits.zones);
  CHECK(p.limits.zones->assumptions.empty());
  const Reading& r = p.readings.front();
  CHECK(r.advice.empty());
  CHECK(r.findings.empty());
  CHECK(r.place_set.empty());
  CHECK_FALSE(r.other_end);
  REQUIRE(r.bearing.variants.size() == 1);
  CHECK(r.bearing.variants.front().orders.rolling_elements == 0);
}

TEST_CASE("history: dates that no one wrote do not overflow, and check names them") {
  const test::Scratch scratch;
  for (const char* ms : {"9223372036854775807", "-9223372036854775808"}) {
    INFO(ms);
    const std::string path = scratch.path(std::string{"h"} + ms + ".db");
    {
      History h = opened(path);
      for (int i = 0; i < 3; ++i) REQUIRE(h.add(feed, test::made_reading(i)));
      REQUIRE(h.add(feed.machine, Event{EventKind::greased, test::day(1), "", "", {}}));
    }
    const std::string value{ms};
    REQUIRE(tamper(path, "UPDATE capture SET taken_ms = " + value + " WHERE id = 1; " +
                             "UPDATE capture SET added_ms = " + value + " WHERE id = 2; " +
                             "UPDATE event SET when_ms = " + value + ", added_ms = " + value) ==
            SQLITE_OK);
    History h = opened(path, Access::read_only);
    const PointHistory p = h.point(feed).value();
    CHECK(p.readings.size() + p.readings_ahead.size() == 3);
    for (const auto* some : {&p.readings, &p.readings_ahead})
      for (const Reading& r : *some) {
        CHECK(r.taken >= earliest_time);
        CHECK(r.taken <= latest_time);
        if (r.id == 1) CHECK(r.doubt != DateDoubt::none);
      }
    const auto check = h.check(false).value();
    REQUIRE(check.wrong.size() == 1);
    CHECK(check.wrong.front() == "2 dates outside the years 0 to 9999");
  }
}

TEST_CASE("history: two processes adding at once lose nothing and add nothing twice") {
  const test::Scratch scratch;
  const std::string path = scratch.path("h.db");  // made by whichever comes first
  // 0 .. 119 and 60 .. 179: half of each is the other's too.
  const pid_t a = adding_process(path, 0, 120);
  const pid_t b = adding_process(path, 60, 120);
  CHECK(exit_code(a) == 0);
  CHECK(exit_code(b) == 0);
  History h = opened(path, Access::read_only);
  CHECK(h.point(feed).value().readings.size() == 180);
  const HistoryCheck check = h.check(false).value();
  CHECK(check.sound());
  CHECK(check.analyses == 180);
}

TEST_CASE("history: two processes may both be the first to open a store") {
  const test::Scratch scratch;
  for (int round = 0; round < 10; ++round) {
    const std::string path = scratch.path("h" + std::to_string(round));
    const pid_t a = adding_process(path, 0, 2);
    const pid_t b = adding_process(path, 1, 2);
    CHECK(exit_code(a) == 0);
    CHECK(exit_code(b) == 0);
    CHECK(opened(path, Access::read_only).check(false).value().analyses == 3);
  }
}

TEST_CASE("history: killed at any instant, the database is OK and goes on") {
  const test::Scratch scratch;
  const std::string path = scratch.path("h.db");
  std::size_t before = 0;
  // From before the store is made to well into the adding, however slow the machine.
  std::chrono::microseconds delay{500};
  for (int round = 0; round < 25 || (before < 20 && round < 40); ++round) {
    const pid_t child = adding_process(path, 0, 1'000'000);
    std::this_thread::sleep_for(delay);
    delay += delay / 4;
    kill(child, SIGKILL);
    CHECK(exit_code(child) == 128 + SIGKILL);
    History h = opened(path);
    const HistoryCheck check = h.check(false).value();
    CHECK(check.sound());
    // Each recording with its whole analysis, and none that was there is gone.
    CHECK(check.captures == check.analyses);
    CHECK(check.captures >= before);
    before = check.captures;
  }
  CHECK(before > 0);
  CHECK(exit_code(adding_process(path, 0, static_cast<int>(before) + 10)) == 0);
  CHECK(opened(path).point(feed).value().readings.size() == before + 10);
}

TEST_CASE("history: a store of schema 6 keeps all, and its future is found") {
  const test::Scratch scratch;
  const std::string path = scratch.path("h.db");
  {
    History h = opened(path);
    for (const int n : {0, 7}) REQUIRE(h.add(feed, test::made_reading(n)));
    // By the real clock this lies in the future.
    REQUIRE(h.add(feed, test::made_reading(100'000)));
    REQUIRE(h.add(feed.machine, Event{EventKind::greased, test::day(100'000), "", "", {}}));
  }
  back_to_schema_6(path);
  {
    const PointHistory old = opened(path, Access::read_only).point(feed).value();
    CHECK(old.readings.size() == 3);
    CHECK_FALSE(old.readings.front().added);
    CHECK(opened(path, Access::read_only).journal().value().empty());
    CHECK(opened(path, Access::read_only).entries(feed).error().code == Errc::database);
    CHECK(opened(path, Access::read_only).check(true).value().sound());
  }
  History h = opened(path);
  CHECK(h.check(false).value().schema == 10);
  const PointHistory now = h.point(feed).value();
  CHECK(now.readings.size() == 2);
  CHECK(now.readings_ahead.size() == 1);
  CHECK(now.events_ahead.size() == 1);
}

TEST_CASE("history: the set of components is kept, and a store of schema 7 has none") {
  const test::Scratch scratch;
  const std::string path = scratch.path("h.db");
  Reading r = test::made_reading(0);
  r.place = Place::unclear;
  r.place_set = {Part::rolling_element, Part::cage};
  {
    History h = opened(path);
    REQUIRE(h.add(feed, r));
    check_same(h.point(feed).value().readings.front(), r);
  }
  REQUIRE(tamper(path, std::string{without_step_10} +
                           "ALTER TABLE verdict DROP COLUMN place_set; "
                           "ALTER TABLE verdict DROP COLUMN other_end; PRAGMA user_version = 7") ==
          SQLITE_OK);
  {
    // It cannot be brought up to date where it may only be read, and its journal is there.
    History old = opened(path, Access::read_only);
    CHECK(old.point(feed).value().readings.front().place_set.empty());
    CHECK(old.journal().has_value());
    CHECK(old.entries(feed).value().size() == 1);
  }
  History h = opened(path);
  CHECK(h.check(false).value().schema == 10);
  CHECK(h.point(feed).value().readings.front().place_set.empty());
  CHECK(h.point(feed).value().readings.front().place == Place::unclear);
}

TEST_CASE("history: what is seen of the other end is kept, and a store of schema 8 has none") {
  const test::Scratch scratch;
  const std::string path = scratch.path("h.db");
  Reading r = test::made_reading(0);
  r.other_end = OtherEnd{MachineEnd::drive_end,
                         "bearing with \"9\" elements",
                         true,
                         Verdict::fault,
                         Place::inner_ring,
                         0.875};
  const auto kept = [&](History& h) { return h.point(feed).value().readings.front(); };
  {
    History h = opened(path);
    REQUIRE(h.add(feed, r));
    const auto other = kept(h).other_end;
    REQUIRE(other);
    CHECK(other->end == MachineEnd::drive_end);
    CHECK(other->bearing == r.other_end->bearing);
    CHECK(other->tells_apart);
    CHECK(other->verdict == Verdict::fault);
    CHECK(other->place == Place::inner_ring);
    CHECK(other->probability_of_damage == 0.875);
    // The same urgency as of the diagnosis it was made from.
    CHECK(find_standing(h.point(feed).value()).assessment.headline ==
          assess(point_evidence(r, h.point(feed).value().limits)).headline);
  }
  REQUIRE(tamper(path, std::string{without_step_10} +
                           "ALTER TABLE verdict DROP COLUMN other_end; PRAGMA user_version = 8") ==
          SQLITE_OK);
  {
    History old = opened(path, Access::read_only);
    CHECK_FALSE(kept(old).other_end);
  }
  History h = opened(path);
  CHECK(h.check(false).value().schema == 10);
  CHECK_FALSE(kept(h).other_end);
  REQUIRE(tamper(path, "UPDATE verdict SET other_end = '[1]'") == SQLITE_OK);
  CHECK_FALSE(kept(h).other_end);
}

TEST_CASE("history: the damage that a healthy reading excludes is kept, and schema 9 has none") {
  const test::Scratch scratch;
  const std::string path = scratch.path("h.db");
  Reading r = test::made_reading(0);
  r.verdict = Verdict::no_fault;
  r.place = Place::none;
  r.excluded_depth = 0.375;
  {
    History h = opened(path);
    REQUIRE(h.add(feed, r));
    const PointHistory kept = h.point(feed).value();
    CHECK(kept.readings.front().excluded_depth == 0.375);
    CHECK(find_standing(kept).assessment.excluded_depth == 0.375);
  }
  REQUIRE(tamper(path, std::string{without_step_10} + "PRAGMA user_version = 9") == SQLITE_OK);
  CHECK_FALSE(opened(path, Access::read_only).point(feed).value().readings.front().excluded_depth);
  History h = opened(path);
  CHECK(h.check(false).value().schema == 10);
  CHECK_FALSE(h.point(feed).value().readings.front().excluded_depth);
}

TEST_CASE("history: the displacement of a slow machine is kept, and a store of schema 9 has none") {
  const test::Scratch scratch;
  const std::string path = scratch.path("h.db");
  Machine slow;
  slow.name = "planer";
  slow.power = Kilowatts{30};
  slow.rated_speed = Rpm{300};
  slow.mounting = Mounting::rigid;
  Reading r = test::made_reading(0);
  r.levels.velocity_from = Hz{2};
  r.levels.displacement = 50e-6;  // zone C: 45 < 50 <= 71 um
  r.levels.at(Indicator::velocity) = 1e-3;
  r.levels.unit = SampleUnit::acceleration;
  r.rate = Hz{25600};
  r.findings.clear();
  const KnownLimits limits = known_limits(slow);
  {
    History h = opened(path);
    REQUIRE(h.add(feed, r));
    REQUIRE(h.keep_limits(feed.machine, limits));
    const auto kept = h.point(feed).value();
    CHECK(kept.readings.front().levels.velocity_from == Hz{2});
    CHECK(kept.readings.front().levels.displacement == r.levels.displacement);
    CHECK(kept.limits == limits);
    CHECK(judge_vibration(kept).displacement_zone == Zone::c);
    CHECK(judge_vibration(kept).velocity_zone == Zone::a);
    CHECK(judge_vibration(kept).zone == Zone::c);
  }
  REQUIRE(tamper(path, std::string{without_step_10} + "PRAGMA user_version = 9") == SQLITE_OK);
  const auto old_ones = [&](const PointHistory& kept) {
    CHECK(kept.readings.front().levels.velocity_from == Hz{10});
    CHECK_FALSE(kept.readings.front().levels.displacement);
    // What was measured from 10 Hz says nothing of limits from 2 Hz.
    CHECK_FALSE(judge_vibration(kept).zone);
    CHECK(judge_vibration(kept).why_not.find("from 10 Hz") != std::string::npos);
  };
  old_ones(opened(path, Access::read_only).point(feed).value());
  History h = opened(path);
  CHECK(h.check(false).value().schema == 10);
  old_ones(h.point(feed).value());
}

TEST_CASE("history: a name under which nothing would be kept is refused, and nothing is made") {
  const test::Scratch scratch;
  for (const std::string& name :
       {std::string{}, std::string{":memory:"}, "file:" + scratch.path("h.db"),
        "file:" + scratch.path("h.db") + "?mode=memory", std::string{"/dev/null"},
        std::string{"/dev/zero"}, scratch.path("")})
    for (const Access access : {Access::read_only, Access::read_write}) {
      INFO(name);
      const auto refused = History::open(name, access);
      REQUIRE_FALSE(refused);
      CHECK(refused.error().code == Errc::bad_argument);
    }
  CHECK(std::filesystem::is_empty(scratch.path("")));
  CHECK(check_store_name(scratch.path("h.db")));
}

TEST_CASE("history: names that differ in case and separators are one, except between digits") {
  const test::Scratch scratch;
  History h = opened(scratch.path("h.db"));
  REQUIRE(h.add({"M-1", "DE horizontal"}, test::made_reading(0)));
  CHECK(h.add({"m1", "de_horizontal"}, test::made_reading(0)).value() == Added::was_there);
  CHECK(h.add({"m1", "de_horizontal"}, test::made_reading(7)).value() == Added::stored);
  CHECK(h.points().value() == std::vector<PointKey>{{"M-1", "DE horizontal"}});
  const PointHistory found = h.point({"m 1", "DEHorizontal"}).value();
  CHECK(found.at == PointKey{"M-1", "DE horizontal"});
  CHECK(found.readings.size() == 2);
  REQUIRE(h.add("m_1", Event{EventKind::greased, test::day(1), "de horizontal", "", {}}));
  CHECK(h.point(found.at).value().events.size() == 1);
  REQUIRE(h.keep_bearing({"m1", "dehorizontal"}, "6205 (DE)"));
  CHECK(h.point(found.at).value().bearing == "6205 (DE)");
  REQUIRE(h.keep_limits("m1", {*class_limits(1), {}}));
  CHECK(h.point(found.at).value().limits.zones);
  CHECK(h.points_of("M1").value().size() == 1);
  CHECK(h.points_of("M1", "De-Horizontal").value().size() == 1);
  CHECK(h.points_of("M2").error().what == "is no machine of this history");
  CHECK(h.points_of("M1", "NDE").error().advice == "it has: DE horizontal");
  // Pump 1-1 is not pump 11.
  REQUIRE(h.add({"pump 1-1", "DE"}, test::made_reading(0)));
  REQUIRE(h.add({"pump 11", "DE"}, test::made_reading(0)));
  CHECK(h.points().value().size() == 3);
}

TEST_CASE("history: machines of an old store that are one by name are found, and joined") {
  const test::Scratch scratch;
  const std::string path = scratch.path("h.db");
  {
    History h = opened(path);
    REQUIRE(h.add({"M-1", "DE"}, test::made_reading(0)));
    REQUIRE(h.add({"M-1", "DE"}, test::made_reading(7)));
    REQUIRE(h.add({"other", "De"}, test::made_reading(7)));
    REQUIRE(h.add({"other", "De"}, test::made_reading(14)));
    REQUIRE(h.add({"other", "NDE"}, test::made_reading(14)));
    REQUIRE(h.add("other", Event{EventKind::greased, test::day(8), "De", "", {}}));
    REQUIRE(h.add("other", Event{EventKind::note, test::day(8), "", "loud", {}}));
    REQUIRE(h.remove(std::vector<EntryId>{{false, 2}}, ""));
  }
  REQUIRE(tamper(path, "UPDATE machine SET name = 'm1' WHERE name = 'other'") == SQLITE_OK);
  History h = opened(path);
  // Each is reached by its exact name; another spelling could be either.
  CHECK(h.points_of("m1").value().size() == 2);
  CHECK(h.points_of("M-1").value().size() == 1);
  CHECK(h.points_of("M1").error().what == "could be 'M-1' or 'm1'");
  CHECK(h.check(false).value().remarks.size() == 1);
  CHECK(h.rename({"m1", ""}, "M-1", false, "").error().what == "is in the history already");
  REQUIRE(h.rename({"m1", ""}, "M-1", true, "one machine"));
  CHECK(h.points().value() == std::vector<PointKey>{{"M-1", "DE"}, {"M-1", "NDE"}});
  const PointHistory one = h.point({"M-1", "DE"}).value();
  CHECK(one.readings.size() == 3);  // that of day 7 was in both, and removed in one of them
  CHECK(one.events.size() == 2);
  const HistoryCheck check = h.check(false).value();
  CHECK(check.sound());
  CHECK(check.remarks.empty());
  CHECK(check.analyses == 5);  // none is lost
  CHECK(check.captures == 4);
  CHECK(h.journal().value().back().action == "join");
}

TEST_CASE("history: renaming a machine or a point carries its history") {
  const test::Scratch scratch;
  History h = opened(scratch.path("h.db"));
  REQUIRE(h.add(feed, test::made_reading(0)));
  REQUIRE(h.add(feed.machine, Event{EventKind::greased, test::day(1), feed.point, "", {}}));
  REQUIRE(h.keep_standing(h.point(feed).value(), "old"));
  REQUIRE(h.rename({"planer FEED", ""}, "moulder", false, "sold"));
  REQUIRE(h.rename({"moulder", "DE horizontal"}, "DE h", false, ""));
  CHECK(h.kept_standings().value().front().second.empty());
  const PointHistory now = h.point({"moulder", "DE h"}).value();
  CHECK(now.readings.size() == 1);
  CHECK(now.events.size() == 1);
  CHECK(h.point(feed).error().code == Errc::not_found);
  // Another spelling of the same name.
  REQUIRE(h.rename({"moulder", ""}, "Moulder", false, ""));
  CHECK(h.points().value().front().machine == "Moulder");
  REQUIRE(h.add({"saw", "DE"}, test::made_reading(0)));
  CHECK(h.rename({"saw", ""}, "moulder", false, "").error().code == Errc::bad_argument);
  CHECK(h.rename({"none", ""}, "x", false, "").error().code == Errc::not_found);
  CHECK(h.rename({"saw", "NDE"}, "x", false, "").error().code == Errc::not_found);
  CHECK_FALSE(h.rename({"saw", ""}, "", false, ""));
  CHECK(h.journal().value().size() == 3);
  CHECK(h.journal().value().front().why == "sold");
}

TEST_CASE("history: a reading is corrected, and the journal tells what it was") {
  const test::Scratch scratch;
  History h = opened(scratch.path("h.db"), Access::read_write, [] { return test::day(30); });
  for (const int n : {0, 7, 14}) REQUIRE(h.add(feed, test::made_reading(n)));
  REQUIRE(h.add({"saw", "DE"}, test::made_reading(99)));
  REQUIRE(h.keep_standing(h.point(feed).value(), "old"));
  const auto one = [](std::int64_t id) { return std::vector<EntryId>{{false, id}}; };

  Correction time;
  time.time = test::day(9);
  REQUIRE(h.correct(one(1), time, "clock was reset"));
  CHECK(h.kept_standings().value().front().second.empty());
  PointHistory now = h.point(feed).value();
  REQUIRE(now.readings.size() == 3);
  CHECK(now.readings[1].id == 1);
  CHECK(now.readings[1].taken == test::day(9));
  CHECK(now.readings[1].date_confirmed);
  // The same recording found again keeps the corrected date.
  CHECK(h.add(feed, test::made_reading(0)).value() == Added::was_there);
  Reading other_settings = test::made_reading(0);
  other_settings.settings = "bearing=6206";
  CHECK(h.add(feed, other_settings).value() == Added::reanalysed);
  CHECK(h.known(feed, other_settings.hash).value().taken == test::day(9));

  Correction shift;
  shift.shift = std::chrono::hours{48};
  shift.load_percent = 55;
  REQUIRE(h.correct(one(2), shift, ""));
  now = h.point(feed).value();
  CHECK(now.readings[1].id == 2);
  CHECK(now.readings[1].taken == test::day(9));
  CHECK(now.readings[1].load_percent == 55);

  const auto journal = h.journal().value();
  REQUIRE(journal.size() == 2);
  CHECK(journal[0].action == "edit");
  CHECK(journal[0].entry == "r1");
  CHECK(journal[0].when == test::day(30));
  CHECK(journal[0].why == "clock was reset");
  CHECK(journal[0].before.find("2026-03-02") != std::string::npos);
  CHECK(journal[0].after.find("2026-03-11") != std::string::npos);

  // All or nothing.
  Correction future;
  future.time = test::day(300);
  CHECK(h.correct(one(3), future, "").error().what.find("in the future") != std::string::npos);
  Correction load;
  load.load_percent = 10;
  CHECK(h.correct(std::vector<EntryId>{{false, 3}, {false, 77}}, load, "").error().code ==
        Errc::not_found);
  CHECK(h.point(feed).value().readings[2].load_percent == 80);
  Correction kind;
  kind.kind = EventKind::greased;
  CHECK(h.correct(one(3), kind, "").error().what == "is a reading: it has no kind");
  CHECK(h.journal().value().size() == 2);
}

TEST_CASE("history: a reading filed under the wrong point is moved, and not added there again") {
  const test::Scratch scratch;
  History h = opened(scratch.path("h.db"));
  REQUIRE(h.add(feed, test::made_reading(0)));
  REQUIRE(h.add(feed, test::made_reading(7)));
  REQUIRE(h.add({"saw", "DE"}, test::made_reading(7)));
  const std::vector<EntryId> first{{false, 1}};
  Correction move;
  move.at = PointKey{"", "DE axial"};
  CHECK(h.correct(first, move, "").error().what == "is not a point of planer feed");
  move.new_point = true;
  REQUIRE(h.correct(first, move, ""));
  CHECK(h.point(feed).value().readings.size() == 1);
  CHECK(h.point({"planer feed", "DE axial"}).value().readings.size() == 1);
  CHECK(h.add(feed, test::made_reading(0)).value() == Added::moved);
  CHECK(h.known(feed, test::made_reading(0).hash).value().moved_to ==
        PointKey{"planer feed", "DE axial"});
  move.at = PointKey{"saw", "de"};
  REQUIRE(h.correct(first, move, ""));
  CHECK(h.known(feed, test::made_reading(0).hash).value().moved_to == PointKey{"saw", "DE"});
  CHECK(h.point({"saw", "DE"}).value().readings.size() == 2);
  // That recording is at the saw already.
  CHECK(h.correct(std::vector<EntryId>{{false, 2}}, move, "").error().advice ==
        "remove one of them: bearingdsp history remove");
  move.at = feed;
  REQUIRE(h.correct(first, move, ""));
  CHECK(h.add(feed, test::made_reading(0)).value() == Added::was_there);
  CHECK(h.check(false).value().sound());
}

TEST_CASE("history: what was removed is out of everything, stays out, and comes back") {
  const test::Scratch scratch;
  History h = opened(scratch.path("h.db"));
  REQUIRE(h.add(feed, test::made_reading(0)));
  REQUIRE(h.add(feed, test::made_reading(7)));
  REQUIRE(h.add(feed.machine, Event{EventKind::greased, test::day(1), "", "too much", {}}));
  const std::vector<EntryId> both{{false, 2}, {true, 1}};
  REQUIRE(h.remove(both, "sensor was loose"));
  CHECK(h.point(feed).value().readings.size() == 1);
  CHECK(h.point(feed).value().events.empty());
  CHECK(h.events().value().empty());
  CHECK(h.add(feed, test::made_reading(7)).value() == Added::removed);
  CHECK(h.known(feed, test::made_reading(7).hash).value().removed);
  CHECK(h.remove(both, "").error().what == "is removed already");
  Correction note;
  note.note = "less";
  CHECK(h.correct(std::vector<EntryId>{{true, 1}}, note, "").error().what == "was removed");
  const auto entries = h.entries(feed).value();
  REQUIRE(entries.size() == 3);
  CHECK(name(entries[1].id) == "e1");
  CHECK(entries[1].removed);
  CHECK(entries[1].detail == "too much");
  CHECK(name(entries[2].id) == "r2");
  CHECK(entries[2].removed);
  REQUIRE(h.restore(both, ""));
  CHECK(h.restore(both, "").error().what == "is not removed");
  CHECK(h.point(feed).value().readings.size() == 2);
  CHECK(h.point(feed).value().events.size() == 1);
  CHECK(h.journal().value().size() == 4);
}

TEST_CASE("history: an event is corrected") {
  const test::Scratch scratch;
  History h = opened(scratch.path("h.db"), Access::read_write, [] { return test::day(30); });
  REQUIRE(h.add(feed, test::made_reading(0)));
  REQUIRE(h.add(feed.machine, Event{EventKind::greased, test::day(1), "", "", {}}));
  Correction c;
  c.time = test::day(2);
  c.kind = EventKind::bearing_replaced;
  c.note = "6205 C3";
  c.temperature_celsius = 41;
  c.at = PointKey{"", "de_horizontal"};
  REQUIRE(h.correct(std::vector<EntryId>{{true, 1}}, c, ""));
  const Event e = h.point(feed).value().events.front();
  CHECK(e.kind == EventKind::bearing_replaced);
  CHECK(e.when == test::day(2));
  CHECK(e.point == "DE horizontal");
  CHECK(e.note == "6205 C3");
  CHECK(e.temperature_celsius == 41);
  Correction whole;
  whole.at = PointKey{};
  REQUIRE(h.correct(std::vector<EntryId>{{true, 1}}, whole, ""));
  CHECK(h.point(feed).value().events.front().point.empty());
  Correction load;
  load.load_percent = 5;
  CHECK(h.correct(std::vector<EntryId>{{true, 1}}, load, "").error().what ==
        "is an event: it has no load");
  CHECK(h.add(feed.machine, Event{EventKind::note, test::day(300), "", "", {}}).error().code ==
        Errc::bad_argument);
}

TEST_CASE("history: numbers of entries are read as they are written") {
  CHECK(parse_entry("r12").value() == EntryId{false, 12});
  CHECK(parse_entry("E3").value() == EntryId{true, 3});
  CHECK(name(EntryId{true, 3}) == "e3");
  for (const char* bad : {"", "r", "12", "r-1", "r0", "r1x", "x1", "r99999999999999999999"})
    CHECK(parse_entry(bad).error().code == Errc::bad_argument);
}

TEST_CASE("history: a half-copied recording is the same one, the longer counts") {
  const test::Scratch scratch;
  History h = opened(scratch.path("h.db"));
  const auto of = [](const std::string& hash, std::uint64_t size, const std::string& beginnings) {
    Reading r = test::made_reading(0, hash);
    r.size_bytes = size;
    r.beginnings = beginnings;
    return r;
  };
  const Reading half = of("half", 6000, "4096:aa");
  const Reading whole = of("whole", 20'000, "4096:aa 8192:bb 16384:cc");
  const Reading other = of("other", 20'000, "4096:aa 8192:bb 16384:dd");
  CHECK(h.add(feed, half).value() == Added::stored);
  Correction date;
  date.time = test::day(3);
  REQUIRE(h.correct(std::vector<EntryId>{{false, 1}}, date, ""));
  CHECK(h.add(feed, whole).value() == Added::grown);
  REQUIRE(h.point(feed).value().readings.size() == 1);
  CHECK(h.point(feed).value().readings.front().hash == whole.hash);
  CHECK(h.point(feed).value().readings.front().taken == test::day(3));  // as it was corrected
  CHECK(h.journal().value().back().action == "grown");
  CHECK(h.add(feed, half).value() == Added::removed);
  CHECK(h.add(feed, of("cut", 9000, "4096:aa 8192:bb")).value() == Added::cut_short);
  CHECK(h.add(feed, other).value() == Added::stored);
  CHECK(h.add({"saw", "DE"}, half).value() == Added::stored);
  CHECK(h.point(feed).value().readings.size() == 2);
}

TEST_CASE("history: check with files compares what they hold") {
  const test::Scratch scratch;
  History h = opened(scratch.path("h.db"));
  std::string text(20'000, 'x');
  for (std::size_t i = 0; i < text.size(); ++i) text[i] = static_cast<char>(i * i % 251);
  const auto add = [&](const std::string& name, int n, char first) {
    std::string mine = text;
    mine[600] = first;
    const std::string path = scratch.file(name, mine);
    const FileContent content = content_of_file(path).value();
    Reading r = test::made_reading(n);
    r.path = path;
    r.hash = content.hash;
    r.size_bytes = content.size_bytes;
    r.beginnings = content.beginnings;
    REQUIRE(h.add(feed, r));
    return mine;
  };
  (void)add("same", 0, '0');
  const std::string cut = add("cut", 1, '1');
  const std::string grown = add("grown", 2, '2');
  std::string flipped = add("flipped", 3, '3');
  (void)add("other", 4, '4');
  (void)add("gone", 5, '5');
  CHECK(h.check(true).value().changed.empty());
  flipped[19'000] = '!';
  (void)scratch.file("cut", cut.substr(0, 9000));
  (void)scratch.file("grown", grown + "more");
  (void)scratch.file("flipped", flipped);
  (void)scratch.file("other", std::string(20'000, 'z'));
  std::filesystem::remove(scratch.path("gone"));
  const HistoryCheck check = h.check(true).value();
  CHECK(check.sound());
  CHECK(check.missing == std::vector<std::string>{scratch.path("gone")});
  REQUIRE(check.changed.size() == 4);
  CHECK(check.changed[0] == scratch.path("cut") + " is cut short: 9000 of 20000 bytes are left");
  CHECK(check.changed[1].find("and then differs") != std::string::npos);
  CHECK(check.changed[2].find("has grown from 20000 to 20004 bytes") != std::string::npos);
  CHECK(check.changed[3].find("holds something else") != std::string::npos);
  CHECK(h.check(false).value().changed.empty());
}

TEST_CASE("history: the bearing of a time is that of the analyses made then") {
  const test::Scratch scratch;
  int today = 0;
  History h = opened(scratch.path("h.db"), Access::read_write, [&] { return test::day(today); });
  const auto analysed = [&](int n, int when, double bpfo, const std::string& settings) {
    today = when;
    Reading r = test::made_reading(n);
    r.settings = settings;
    DefectOrders o = test::made_orders();
    o.bpfo = Order{bpfo};
    o.part_uncertainty = {0.01, 0.02, 0.03, 0.04};
    r.bearing = {"620" + std::to_string(static_cast<int>(bpfo)), {o}};
    REQUIRE(h.add(feed, r));
  };
  const auto bpfo = [&](std::optional<UtcTime> from, int until) {
    const auto b = h.bearing_between(feed, from, test::day(until)).value();
    return b ? b->variants.front().orders.bpfo.value() : 0.0;
  };
  CHECK(bpfo({}, 100) == 0.0);
  analysed(0, 1, 3, "wrong");
  analysed(0, 2, 4, "put right");
  CHECK(bpfo({}, 50) == 4.0);
  // On day 50 the bearing is changed; that is noted later than the machine file was edited.
  analysed(60, 61, 5, "new bearing");
  analysed(0, 61, 5, "new bearing");
  CHECK(bpfo({}, 50) == 4.0);
  CHECK(bpfo(test::day(50), 100) == 5.0);
  // Of readings that were added after the change only the analysis shown is known.
  CHECK(bpfo(test::day(55), 61) == 5.0);
  const auto kept = h.bearing_between(feed, {}, test::day(50)).value();
  CHECK(kept->number == "6204");
  CHECK(kept->variants.front().orders.part_uncertainty == std::array{0.01, 0.02, 0.03, 0.04});
  CHECK(kept->variants.front().orders.source == test::made_orders().source);
}
