#include "bearingdsp/history/route_run.hpp"

#include <doctest/doctest.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <iterator>
#include <set>
#include <string>
#include <thread>
#include <vector>

#include "bearingdsp/capture/write.hpp"
#include "bearingdsp/history/hash.hpp"
#include "bearingdsp/simulate/save.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "support/memory_limit.hpp"
#include "support/scratch.hpp"

using namespace bearingdsp;
namespace fs = std::filesystem;

namespace {

const PointKey drive_end{"planer feed", "DE"};

Route route_of(const std::string& files = "{date}_DE.wav") {
  auto machines = parse_machines(R"(
[[machine]]
name = "planer feed"
rated_rpm = 1480
bearing.DE = { elements = 9, element_diameter_mm = 7.94, pitch_diameter_mm = 39.04 }
point = [{ name = "DE", end = "DE", unit = "m/s2" }, { name = "NDE", end = "NDE" }]
)",
                                 "test");
  if (!machines) throw BadResult{machines.error()};
  Route route;
  route.name = "test";
  route.machines = std::move(machines).value();
  route.points.push_back({0, 0, {files}, {}, 75, "test"});
  route.points.push_back({0, 1, {"none.wav"}, {}, {}, "test"});
  return route;
}

void make_recording(const test::Scratch& scratch, const std::string& name, std::uint64_t seed,
                    double duration = 0.7) {
  SimulationPlan plan;
  plan.seed = seed;
  plan.rate = Hz{12800};
  plan.duration = Seconds{duration};
  plan.shaft_harmonics = {0.5, 0.2};
  const auto made = simulate(plan);
  if (!made || !save(*made, scratch.path(name))) throw std::runtime_error{"no recording"};
}

void make_visits(const test::Scratch& scratch, int n) {
  for (int i = 0; i < n; ++i)
    make_recording(scratch, "2026-01-" + std::to_string(10 + i) + "_DE.wav",
                   static_cast<std::uint64_t>(i));
}

History opened(const std::string& path) {
  auto h = History::open(path, Access::read_write);
  if (!h) throw BadResult{h.error()};
  return std::move(h).value();
}

RouteRunOptions two_at_a_time() {
  RouteRunOptions options;
  options.jobs = 2;
  return options;
}

pid_t running_process(const std::string& folder, const std::string& store) {
  const pid_t child = fork();
  if (child != 0) return child;
  auto h = History::open(store, Access::read_write);
  const bool good = h && run_route(route_of(), folder, *h, two_at_a_time());
  _exit(good ? 0 : 1);
}

int exit_code(pid_t child) {
  int status = 0;
  waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

}  // namespace

TEST_CASE("route run: recordings find their point, and what is known is not done again") {
  const test::Scratch scratch;
  make_visits(scratch, 3);
  make_recording(scratch, "stray.wav", 9);
  History h = opened(scratch.path("h.db"));
  std::set<std::string> seen;
  RouteRunOptions options;
  options.each = [&](const RouteRecord& r) {
    seen.insert(r.file);
    CHECK(r.outcome == RecordOutcome::stored);
    REQUIRE(r.reading);
    CHECK(r.reading->load_percent == 75);
    CHECK(r.reading->levels.at(Indicator::high_band));
  };
  std::size_t last = 0;
  options.progress = [&](std::size_t done, std::size_t all) {
    CHECK(all == 3);
    last = done;
  };
  const auto run = run_route(route_of(), scratch.path(""), h, options);
  REQUIRE(run);
  CHECK(run->recordings == 3);
  CHECK(run->stored == 3);
  CHECK(run->failures.empty());
  CHECK(run->unmatched == std::vector<std::string>{"stray.wav"});
  REQUIRE(run->without_recording.size() == 1);
  CHECK(run->without_recording.front().point == "NDE");
  CHECK(seen.size() == 3);
  CHECK(last == 3);
  const auto readings = h.point(drive_end).value().readings;
  REQUIRE(readings.size() == 3);
  CHECK(format_date(readings[2].taken) == "2026-01-12");
  CHECK(fs::path{readings[0].path}.is_absolute());

  options = {};
  CHECK(run_route(route_of(), scratch.path(""), h, options)->were_there == 3);
  // The same recording under another name is the same.
  fs::copy_file(scratch.path("2026-01-10_DE.wav"), scratch.path("2026-01-20_DE.wav"));
  const auto again = run_route(route_of(), scratch.path(""), h, options);
  CHECK(again->were_there == 4);
  CHECK(again->stored == 0);
  // Another bearing in the machine file: everything is re-analysed.
  Route other = route_of();
  other.machines[0].rated_speed = Rpm{1450};
  CHECK(run_route(other, scratch.path(""), h, options)->reanalysed == 3);
  CHECK(h.check(false).value().captures == 3);
}

TEST_CASE("route run: bad recordings are reported and the rest goes on") {
  const test::Scratch scratch;
  make_visits(scratch, 2);
  CHECK_FALSE(scratch.file("2026-01-01_DE.wav", "RIFF....WAVE nothing").empty());
  CHECK_FALSE(scratch.file("2026-01-02_DE.wav", "").empty());
  make_recording(scratch, "2026-01-03_DE.wav", 3, 0.02);
  History h = opened(scratch.path("h.db"));
  const auto run = run_route(route_of(), scratch.path(""), h);
  REQUIRE(run);
  CHECK(run->stored == 2);
  REQUIRE(run->failures.size() == 3);
  CHECK(run->failures[0].where.find("2026-01-01_DE.wav") != std::string::npos);
  CHECK_FALSE(run_route(route_of(), scratch.path("no such folder"), h));
}

TEST_CASE("route run: the time is given, else of the name, else of the file") {
  const test::Scratch scratch;
  make_visits(scratch, 1);
  History h = opened(scratch.path("h.db"));
  RouteRunOptions options;
  options.time = parse_time("2025-05-05T05:05", "test").value();
  REQUIRE(run_route(route_of(), scratch.path(""), h, options));
  CHECK(format_time(h.point(drive_end).value().readings[0].taken) == "2025-05-05T05:05:00Z");
  History other = opened(scratch.path("o.db"));
  REQUIRE(run_route(route_of("*_DE.wav"), scratch.path(""), other));
  CHECK(other.point(drive_end).value().readings[0].time_source == TimeSource::file);
}

TEST_CASE("route run: two at once on one store leave each recording once") {
  const test::Scratch scratch;
  make_visits(scratch, 12);
  const pid_t a = running_process(scratch.path(""), scratch.path("h.db"));
  const pid_t b = running_process(scratch.path(""), scratch.path("h.db"));
  CHECK(exit_code(a) == 0);
  CHECK(exit_code(b) == 0);
  const auto check = opened(scratch.path("h.db")).check(false).value();
  CHECK(check.captures == 12);
  CHECK(check.analyses == 12);
  CHECK(check.sound());
}

TEST_CASE("route run: one that was killed goes on where it was") {
  const test::Scratch scratch;
  make_visits(scratch, 12);
  for (int delay_ms = 20; delay_ms < 200; delay_ms += 60) {
    const pid_t child = running_process(scratch.path(""), scratch.path("h.db"));
    std::this_thread::sleep_for(std::chrono::milliseconds{delay_ms});
    kill(child, SIGKILL);
    exit_code(child);
  }
  History h = opened(scratch.path("h.db"));
  const std::size_t before = h.check(false).value().captures;
  const auto run = run_route(route_of(), scratch.path(""), h);
  REQUIRE(run);
  CHECK(run->were_there == before);
  CHECK(run->stored == 12 - before);
  CHECK(h.check(false).value().analyses == 12);
}

TEST_CASE("route run: a list beside the recordings says where they belong, before the patterns") {
  const test::Scratch scratch;
  fs::create_directories(scratch.path("monday"));
  make_recording(scratch, "monday/a.wav", 1);
  make_recording(scratch, "monday/2026-01-11_DE.wav", 2);
  CHECK_FALSE(scratch
                  .file("monday/recordings.toml",
                        "[[recording]]\nfile = \"a.wav\"\nmachine = \"planer feed\"\npoint = "
                        "\"DE\"\ndate = \"2026-01-10\"\n[[recording]]\nfile = \"gone.wav\"\n"
                        "machine = \"planer feed\"\npoint = \"DE\"\n")
                  .empty());
  History h = opened(scratch.path("h.db"));
  const auto run = run_route(route_of("monday/{date}_DE.wav"), scratch.path(""), h);
  REQUIRE(run);
  CHECK(run->stored == 2);
  REQUIRE(run->failures.size() == 1);
  CHECK(run->failures.front().where.find("recordings.toml:6") != std::string::npos);
  const auto readings = h.point(drive_end).value().readings;
  REQUIRE(readings.size() == 2);
  CHECK(format_date(readings[0].taken) == "2026-01-10");
  CHECK(readings[0].path.find("a.wav") != std::string::npos);

  CHECK_FALSE(scratch.file("recordings.toml", "[[recording]]\nfile = \"x\"\n").empty());
  CHECK_FALSE(run_route(route_of(), scratch.path(""), h));
}

TEST_CASE("route run: copies within the round would be recordings of the next one: refused") {
  const test::Scratch scratch;
  fs::create_directories(scratch.path("in/2026"));
  fs::create_directory_symlink(scratch.path("in"), scratch.path("link"));
  for (const char* inside : {"in", "in/", "in/kept", "in/2026/../kept", "link/kept"})
    CHECK(check_copies(scratch.path("in"), scratch.path(inside)).error().code ==
          Errc::bad_argument);
  CHECK_FALSE(check_copies(scratch.path("in/"), scratch.path("in/kept")));
  for (const char* beside : {"kept", "in-kept", "in/../kept"})
    CHECK(check_copies(scratch.path("in"), scratch.path(beside)));
  CHECK(check_copies(scratch.path("in"), ""));

  make_recording(scratch, "in/2026-01-10_DE.wav", 1);
  History h = opened(scratch.path("h.db"));
  RouteRunOptions options;
  options.copies = scratch.path("in/kept");
  CHECK_FALSE(run_route(route_of(), scratch.path("in"), h, options));
  CHECK_FALSE(fs::exists(scratch.path("in/kept")));
  CHECK(h.points().value().empty());
}

TEST_CASE("route run: copies are kept where asked, whole, and the history refers to them") {
  const test::Scratch scratch;
  fs::create_directories(scratch.path("in"));
  make_recording(scratch, "in/2026-01-10_DE.wav", 1);
  History h = opened(scratch.path("h.db"));
  RouteRunOptions options;
  options.copies = scratch.path("kept");
  REQUIRE(run_route(route_of(), scratch.path("in"), h, options)->stored == 1);
  const Reading r = h.point(drive_end).value().readings.front();
  CHECK(fs::path{r.path}.parent_path().filename() == "kept");
  CHECK(fs::file_size(r.path) == fs::file_size(scratch.path("in/2026-01-10_DE.wav")));
  CHECK(sha256_of_file(r.path).value() == r.hash);
  CHECK(std::distance(fs::directory_iterator{scratch.path("kept")}, {}) == 1);

  make_recording(scratch, "in/2026-01-11_DE.wav", 2);
  options.copies = scratch.path("h.db/no");
  const auto bad = run_route(route_of(), scratch.path("in"), h, options);
  REQUIRE(bad);
  REQUIRE(bad->failures.size() == 1);
  CHECK(bad->failures.front().code == Errc::io);
  CHECK(h.point(drive_end).value().readings.size() == 1);
}

namespace {

RouteRunOptions with_jobs(std::size_t jobs) {
  RouteRunOptions options;
  options.jobs = jobs;
  return options;
}

/// What a store holds, in words, without the times at which it was written.
std::string contents(History& h) {
  std::string text;
  const auto done = h.each([&](const PointKey& at, const Reading& r) {
    text += at.point + " " + std::to_string(r.id) + " " + r.hash + " " + format_time(r.taken) +
            " " + fs::path{r.path}.filename().string() + "\n";
    return true;
  });
  REQUIRE(done);
  return text;
}

void cut(const std::string& path, double share) {
  fs::resize_file(path,
                  static_cast<std::uintmax_t>(share * static_cast<double>(fs::file_size(path))));
}

}  // namespace

TEST_CASE("route run: what is stored does not depend on the jobs") {
  const test::Scratch scratch;
  fs::create_directories(scratch.path("round"));
  for (int i = 0; i < 9; ++i)
    // Of one day; the first ones are longer, so that later ones are analysed before them.
    make_recording(scratch, "round/2026-01-10_" + std::to_string(i) + "_DE.wav",
                   static_cast<std::uint64_t>(i), i < 3 ? 4 : 0.7);
  // Copies under other days: the first of them gives the date.
  fs::copy_file(scratch.path("round/2026-01-10_0_DE.wav"),
                scratch.path("round/2026-01-09_9_DE.wav"));
  std::string one_at_a_time;
  for (const std::size_t jobs : {1U, 2U, 4U}) {
    History h = opened(scratch.path("h" + std::to_string(jobs)));
    std::vector<std::string> order;
    RouteRunOptions options = with_jobs(jobs);
    options.each = [&](const RouteRecord& r) { order.push_back(r.file); };
    const auto run = run_route(route_of("{date}_*_DE.wav"), scratch.path("round"), h, options);
    REQUIRE(run);
    CHECK(run->stored == 9);
    CHECK(run->were_there == 1);
    CHECK(std::is_sorted(order.begin(), order.end()));
    if (jobs == 1) one_at_a_time = contents(h);
    CHECK(contents(h) == one_at_a_time);
  }
}

TEST_CASE("route run: a half-copied recording is one with the whole of it, and is not again") {
  const test::Scratch scratch;
  fs::create_directories(scratch.path("round"));
  const std::string file = "round/2026-01-10_DE.wav";
  make_recording(scratch, file, 1, 2);
  fs::copy_file(scratch.path(file), scratch.path("whole"));
  cut(scratch.path(file), 0.6);
  History h = opened(scratch.path("h.db"));
  REQUIRE(run_route(route_of(), scratch.path("round"), h));
  REQUIRE(h.point(drive_end).value().readings.size() == 1);

  fs::copy_file(scratch.path("whole"), scratch.path(file), fs::copy_options::overwrite_existing);
  const auto grown = run_route(route_of(), scratch.path("round"), h);
  CHECK(grown->stored == 1);
  REQUIRE(grown->notes.size() == 1);
  CHECK(grown->notes.front().find("half-copied") != std::string::npos);
  const auto readings = h.point(drive_end).value().readings;
  REQUIRE(readings.size() == 1);
  CHECK(readings.front().size_bytes == fs::file_size(scratch.path("whole")));
  CHECK(h.check(true).value().changed.empty());

  cut(scratch.path(file), 0.8);
  const auto cut_short = run_route(route_of(), scratch.path("round"), h);
  CHECK(cut_short->stored == 0);
  CHECK(cut_short->were_there == 1);
  REQUIRE(cut_short->notes.size() == 1);
  CHECK(cut_short->notes.front().find("is cut short") != std::string::npos);
  CHECK(h.point(drive_end).value().readings.front().hash == readings.front().hash);
  CHECK(h.check(true).value().changed.size() == 1);
}

TEST_CASE(
    "route run: after a replacement, what was recorded before keeps the bearing of its time") {
  const test::Scratch scratch;
  fs::create_directories(scratch.path("round"));
  for (const int day : {10, 11})
    make_recording(scratch, "round/2026-01-" + std::to_string(day) + "_DE.wav",
                   static_cast<std::uint64_t>(day));
  History h = opened(scratch.path("h.db"));
  Route route = route_of();
  REQUIRE(run_route(route, scratch.path("round"), h));
  const std::string before = h.point(drive_end).value().readings.front().settings;

  const UtcTime swapped = parse_time("2026-01-15", "test").value();
  REQUIRE(h.add("planer feed", Event{EventKind::bearing_replaced, swapped, "", "", {}}));
  route.machines[0].drive_end->geometry->rolling_elements = 8;
  make_recording(scratch, "round/2026-01-20_DE.wav", 20);
  // Recorded before the replacement, handed in after it.
  make_recording(scratch, "round/2026-01-12_DE.wav", 12);
  const auto run = run_route(route, scratch.path("round"), h);
  REQUIRE(run);
  CHECK(run->reanalysed == 0);
  CHECK(run->stored == 2);
  auto readings = h.point(drive_end).value().readings;
  REQUIRE(readings.size() == 4);
  for (int i = 0; i < 3; ++i) CHECK(readings[static_cast<std::size_t>(i)].settings == before);
  CHECK(readings[3].settings != before);

  // What else the machine file says holds for all of them, with the bearing of each.
  route.machines[0].rated_speed = Rpm{1450};
  CHECK(run_route(route, scratch.path("round"), h)->reanalysed == 4);
  readings = h.point(drive_end).value().readings;
  const std::string orders = before.substr(0, before.find(';'));
  for (int i = 0; i < 3; ++i)
    CHECK(readings[static_cast<std::size_t>(i)].settings.starts_with(orders));
  CHECK_FALSE(readings[3].settings.starts_with(orders));
  CHECK(run_route(route, scratch.path("round"), h)->were_there == 4);
}

TEST_CASE("route run: another bearing without a replacement noted is reported") {
  const test::Scratch scratch;
  make_visits(scratch, 2);
  History h = opened(scratch.path("h.db"));
  Route route = route_of();
  route.machines[0].drive_end->designation = "6205";
  REQUIRE(run_route(route, scratch.path(""), h));
  route.machines[0].drive_end->designation = "6206";
  route.machines[0].drive_end->geometry->rolling_elements = 8;
  const auto run = run_route(route, scratch.path(""), h);
  CHECK(run->reanalysed == 2);
  REQUIRE(run->notes.size() == 1);
  CHECK(run->notes.front().find("the bearing was 6205 (DE) and is now 6206 (DE)") !=
        std::string::npos);
  CHECK(run->notes.front().find("bearing-replaced --time DAY") != std::string::npos);
}

TEST_CASE("route run: corrections outlive the next run") {
  const test::Scratch scratch;
  make_visits(scratch, 3);
  History h = opened(scratch.path("h.db"));
  Route route = route_of();
  route.points[1].files = {"other.wav"};
  REQUIRE(run_route(route, scratch.path(""), h));
  Correction date;
  date.time = parse_time("2026-02-02", "test").value();
  REQUIRE(h.correct(std::vector<EntryId>{{false, 1}}, date, ""));
  REQUIRE(h.remove(std::vector<EntryId>{{false, 2}}, ""));
  Correction move;
  move.at = PointKey{"", "NDE"};
  move.new_point = true;
  REQUIRE(h.correct(std::vector<EntryId>{{false, 3}}, move, ""));
  auto run = run_route(route, scratch.path(""), h);
  CHECK(run->stored == 0);
  CHECK(run->reanalysed == 1);  // with the settings of the point it belongs to
  CHECK(run->were_there == 1);
  CHECK(run->left_out == 1);
  CHECK(h.point(drive_end).value().readings.size() == 1);
  CHECK(format_date(h.point(drive_end).value().readings.front().taken) == "2026-02-02");
  CHECK(h.point({"planer feed", "NDE"}).value().readings.size() == 1);
  run = run_route(route, scratch.path(""), h);
  CHECK(run->were_there == 2);
  CHECK(run->reanalysed == 0);
}

TEST_CASE("route run: a machine that was renamed in its file is reported, once") {
  const test::Scratch scratch;
  make_visits(scratch, 2);
  History h = opened(scratch.path("h.db"));
  REQUIRE(run_route(route_of(), scratch.path(""), h));
  Route renamed = route_of();
  renamed.machines[0].name = "moulder";
  const auto run = run_route(renamed, scratch.path(""), h);
  REQUIRE(run->notes.size() == 1);
  CHECK(run->notes.front().find("bearingdsp history rename 'planer feed' 'moulder' --join") !=
        std::string::npos);
  REQUIRE(h.rename({"planer feed", ""}, "moulder", true, ""));
  CHECK(run_route(renamed, scratch.path(""), h)->were_there == 2);
  CHECK(h.points().value() == std::vector<PointKey>{{"moulder", "DE"}});
  // Another spelling is the same machine.
  renamed.machines[0].name = "MOULDER";
  CHECK(run_route(renamed, scratch.path(""), h)->were_there == 2);
  CHECK(h.points().value().size() == 1);
}

TEST_CASE("route run: a time in the future is refused, a recording dated so is set aside") {
  const test::Scratch scratch;
  make_visits(scratch, 1);
  make_recording(scratch, "2999-01-01_DE.wav", 7);
  History h = opened(scratch.path("h.db"));
  RouteRunOptions options;
  options.time = parse_time("2999-01-01", "test").value();
  CHECK(run_route(route_of(), scratch.path(""), h, options).error().code == Errc::bad_argument);
  CHECK(h.points().value().empty());
  const auto run = run_route(route_of(), scratch.path(""), h);
  CHECK(run->stored == 2);
  REQUIRE(run->notes.size() == 1);
  CHECK(run->notes.front().find("2999-01-01, in the future") != std::string::npos);
  CHECK(h.point(drive_end).value().readings.size() == 1);
  CHECK(h.point(drive_end).value().readings_ahead.size() == 1);
}
#if TEST_MEMORY_LIMIT
TEST_CASE(
    "route run: a recording that does not fit into memory fails alone, the others are stored") {
  const test::Scratch scratch;
  fs::create_directories(scratch.path("in"));
  make_recording(scratch, "in/2026-01-10_DE.wav", 1);
  make_recording(scratch, "in/2026-01-12_DE.wav", 2);
  Capture big;
  big.rate = Hz{25600};
  big.channels.push_back({"x", SampleUnit::acceleration, std::vector<double>(16000000, 0.5), {}});
  REQUIRE(write_wav(big, scratch.path("in/2026-01-11_DE.wav")));
  big = {};
  const int code = test::in_child_with_memory(48U << 20U, [&] {
    auto h = History::open(scratch.path("h.db"), Access::read_write);
    RouteRunOptions options;
    options.jobs = 1;
    const auto run = h ? run_route(route_of(), scratch.path("in"), *h, options) : h.error();
    if (!run) return 2;
    if (run->stored != 2 || run->failures.size() != 1) return 3;
    return run->failures.front().what == "is too large for the memory" ? 0 : 4;
  });
  CHECK(code == 0);
}
#endif
