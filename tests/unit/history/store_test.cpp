#include "bearingdsp/history/store.hpp"

#include <doctest/doctest.h>
#include <signal.h>
#include <sqlite3.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <thread>

#include "support/made_reading.hpp"
#include "support/scratch.hpp"

using namespace bearingdsp;

namespace {

const PointKey feed{"planer feed", "DE horizontal"};

History opened(const std::string& path, Access access = Access::read_write) {
  auto history = History::open(path, access);
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
  auto history = History::open(path, Access::read_write);
  bool good = history.has_value();
  for (int i = first; good && i < first + count; ++i)
    good = history->add(feed, test::made_reading(i)).has_value();
  _exit(good ? 0 : 1);
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
  CHECK(h.add(feed, r).value() == Added::analysed_anew);
  REQUIRE(h.point(feed).value().readings.size() == 1);
  CHECK(h.point(feed).value().readings.front().verdict == Verdict::no_fault);
  // The older analysis is kept, and going back to its settings shows a new one of those.
  CHECK(h.check(false).value().analyses == 2);
  r.settings = "bearing=6205";
  CHECK(h.add(feed, r).value() == Added::analysed_anew);
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
  CHECK(h.notes().value().front().second.empty());
  const PointHistory seen = h.point(feed).value();
  REQUIRE(h.keep_note(seen, "early"));
  CHECK(h.notes().value().front().second == "early");
  REQUIRE(h.add("planer feed", Event{EventKind::greased, test::day(1), "", "", {}}));
  CHECK(h.notes().value().front().second.empty());
  // What was derived from an older state is not kept.
  REQUIRE(h.keep_note(seen, "late"));
  CHECK(h.notes().value().front().second.empty());
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
    CHECK(old.notes().value().size() == 1);
    PointHistory without = old.point(feed).value();
    CHECK(old.read_spectra(without));
    CHECK_FALSE(without.readings.front().spectra);
    CHECK(old.point(feed).value().limits.why_none.find("nameplate") != std::string::npos);
    CHECK(old.point(feed).value().bearing.empty());
    CHECK(old.point(feed).value().readings.front().levels.at(Indicator::peak) == 61.25);
  }
  History h = opened(path);
  const HistoryCheck check = h.check(false).value();
  CHECK(check.schema == 6);
  CHECK(check.sound());
  Reading expected = test::made_reading(0);
  expected.levels.at(Indicator::floor).reset();  // was not measured then, nor the shaft's lines
  expected.levels.shaft = {};
  check_same(h.point(feed).value().readings.front(), expected);
  CHECK(h.keep_note(h.point(feed).value(), "early"));
}

TEST_CASE("history: the limits of a machine are kept, and a change of them is a change of it") {
  const test::Scratch scratch;
  History h = opened(scratch.path("h.db"));
  const KnownLimits zones{*class_limits(1), {}};
  CHECK(h.keep_limits(feed.machine, zones));  // of a machine that is not there: nothing happens
  REQUIRE(h.add(feed, test::made_reading(0)));
  CHECK_FALSE(h.point(feed).value().limits.zones);
  REQUIRE(h.keep_note(h.point(feed).value(), "early"));
  REQUIRE(h.keep_limits(feed.machine, zones));
  CHECK(h.point(feed).value().limits == zones);
  CHECK(h.notes().value().front().second.empty());
  REQUIRE(h.keep_note(h.point(feed).value(), "early"));
  REQUIRE(h.keep_limits(feed.machine, zones));
  CHECK(h.notes().value().front().second == "early");  // the same again is no change
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
  REQUIRE(h.keep_note(h.point(feed).value(), "early"));
  REQUIRE(h.keep_bearing(feed, "6205-2Z C3 (DE)"));
  CHECK(h.point(feed).value().bearing == "6205-2Z C3 (DE)");
  CHECK(h.notes().value().front().second.empty());
  REQUIRE(h.keep_note(h.point(feed).value(), "early"));
  REQUIRE(h.keep_bearing(feed, "6205-2Z C3 (DE)"));
  CHECK(h.notes().value().front().second == "early");  // the same again is no change
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

TEST_CASE("history: killed at any instant, the store is whole and goes on") {
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
