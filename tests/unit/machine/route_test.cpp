#include "bearingdsp/machine/route.hpp"

#include <doctest/doctest.h>

#include <string>

#include "paths.hpp"
#include "support/scratch.hpp"

using namespace bearingdsp;

namespace {

std::vector<Machine> two_machines() {
  return parse_machines(
             "[[machine]]\nname = \"fan\"\npoint = [{ end = \"DE\" }, { end = \"NDE\" }]\n"
             "[[machine]]\nname = \"pump\"\npoint = [{ end = \"DE\" }]\n",
             "m.toml")
      .value();
}

Error error_of(const std::string& text) {
  const auto route = parse_route(text, "r.toml", two_machines());
  REQUIRE_FALSE(route);
  return route.error();
}

}  // namespace

TEST_CASE("route: stops refer to machines and points by name [src:docs/machine-files.md]") {
  const auto route = parse_route(
      "name = \"round\"\n[[point]]\nmachine = \"FAN\"\npoint = \"nde\"\n"
      "files = [\"fan/*.wav\", \"fan/*.csv\"]\nspeed_rpm = 1490\nload_percent = 50\n"
      "[[point]]\nmachine = \"pump\"\nfiles = \"p.wav\"\n",
      "r.toml", two_machines());
  REQUIRE(route);
  CHECK(route->name == "round");
  REQUIRE(route->points.size() == 2);
  const RoutePoint& stop = route->points[0];
  CHECK(route->machine_of(stop).name == "fan");
  CHECK(route->point_of(stop).name == "NDE");
  CHECK(stop.files.size() == 2);
  CHECK(stop.speed == Rpm{1490});
  CHECK(stop.load_percent == 50.0);
  CHECK(stop.where == "r.toml:2");
  CHECK(route->point_of(route->points[1]).name == "DE");
}

TEST_CASE("route: what is wrong is named with its line and what was meant") {
  const std::string stop = "[[point]]\nfiles = \"a\"\n";
  CHECK(error_of("").what == "the route has no stops");
  CHECK(error_of(stop + "machine = \"fann\"\n").message() ==
        "r.toml:3: machine: 'fann' is not described; did you mean fan?");
  CHECK(error_of(stop + "machine = \"fan\"\npoint = \"NDEE\"\n").message() ==
        "r.toml:4: point: 'NDEE' is not a point of fan; did you mean NDE?");
  CHECK(error_of(stop + "machine = \"fan\"\n").where == "r.toml:3");  // which of two points?
  CHECK(error_of(stop + "machine = \"pump\"\nfile = \"x\"\n").advice == "did you mean files?");
  for (const char* pattern : {"{day}.wav", "/a/b.wav", "a\\\\b.wav", "", "{date"}) {
    const auto e =
        error_of("[[point]]\nmachine = \"pump\"\nfiles = \"" + std::string{pattern} + "\"\n");
    CHECK(e.where == "r.toml:3");
  }
}

TEST_CASE("route: the demo's route finds a point for every recording of the demo") {
  const std::string folder = TESTDATA_DIR;
  const auto route = read_route(folder + "/route.toml");
  REQUIRE(route);
  const auto point_of = [&](const std::string& file) {
    const auto matches = match_recording(*route, file);
    REQUIRE(matches.size() == 1);
    const RoutePoint& stop = route->points.at(matches.front().route_point);
    return route->machine_of(stop).name + " " + route->point_of(stop).name + " " +
           matches.front().found.date;
  };
  CHECK(point_of("planer-feed/2026-05-11_DE_horizontal.wav") ==
        "planer-feed DE horizontal 2026-05-11");
  CHECK(point_of("planer-feed/2026-05-11_DE_axial.txt") == "planer-feed DE axial 2026-05-11");
  CHECK(point_of("hydraulic-power-pack/2026-03-09_NDE_vertical.wav") ==
        "power-pack-2 NDE vertical 2026-03-09");
  CHECK(match_recording(*route, "planer-feed/2026-05-11_DE_horizontal.truth.json").empty());
  for (const RoutePoint& stop : route->points) CHECK_FALSE(stop.files.empty());
}

TEST_CASE("route: machine files that are missing, faulty or name a machine twice") {
  const test::Scratch scratch;
  const std::string stop = "[[point]]\nmachine = \"a\"\nfiles = \"a.wav\"\n";
  const std::string machine = "[[machine]]\nname = \"a\"\npoint = [{ end = \"DE\" }]\n";
  CHECK(read_route(scratch.path("none.toml")).error().code == Errc::io);
  CHECK(read_route(scratch.file("r0.toml", stop)).error().what == "names no machine file");
  CHECK(read_route(scratch.file("r1.toml", "machines = \"m.toml\"\n" + stop)).error().code ==
        Errc::io);
  (void)scratch.file("m.toml", machine);
  CHECK(read_route(scratch.path("r1.toml")));
  (void)scratch.file("n.toml", machine);
  const auto twice =
      read_route(scratch.file("r2.toml", "machines = [\"m.toml\", \"n.toml\"]\n" + stop));
  CHECK(twice.error().what == "the machine 'a' is defined twice");
}

TEST_CASE("pattern: stars, question marks and plain characters") {
  CHECK(match_pattern("a/b.wav", "a/b.wav"));
  CHECK_FALSE(match_pattern("a/b.wav", "a/B.wav"));
  CHECK_FALSE(match_pattern("a/b.wav", "a/b.wav2"));
  CHECK(match_pattern("*.wav", ".wav"));
  CHECK(match_pattern("a/*.wav", "a/b.c.wav"));
  CHECK_FALSE(match_pattern("*.wav", "a/b.wav"));
  CHECK(match_pattern("**.wav", "a/b.wav"));
  CHECK(match_pattern("**/x.wav", "a/b/x.wav"));
  CHECK(match_pattern("?/x", "a/x"));
  CHECK_FALSE(match_pattern("a?x", "a/x"));
  CHECK(match_pattern("", ""));
  CHECK_FALSE(match_pattern("", "a"));
  CHECK_FALSE(match_pattern("?", ""));
}

TEST_CASE("pattern: dates and times of day are taken out of the name") {
  const auto m = match_pattern("{date}_{time}_DE.wav", "2026-03-02_07-45-10_DE.wav");
  REQUIRE(m);
  CHECK(m->date == "2026-03-02");
  CHECK(m->time == "07:45:10");
  CHECK(match_pattern("x{date}{time}", "x202603020745")->date == "2026-03-02");
  CHECK(match_pattern("x{date}{time}", "x202603020745")->time == "07:45");
  CHECK(match_pattern("{date}*", "2026_03_02 fan")->date == "2026-03-02");
  CHECK(match_pattern("*{date}.wav", "fan 3 2024-02-29.wav")->date == "2024-02-29");
  for (const char* no_day : {"2026-13-02", "2026-02-29", "2026-3-2", "2026-00-10", "20260231",
                             "2026-03_02", "1800-01-01", "date"})
    CHECK_FALSE(match_pattern("{date}", no_day));
  for (const char* no_time : {"24-00", "07-60", "7-45", "0745x", "07-4510"})
    CHECK_FALSE(match_pattern("{time}", no_time));
}

TEST_CASE("pattern: many stars on a long name end in no time") {
  std::string pattern;
  for (int i = 0; i < 60; ++i) pattern += "*a";
  CHECK_FALSE(match_pattern(pattern + "b", std::string(2000, 'a')));
}

TEST_CASE("route: a date written out in the pattern is the date of the recording") {
  CHECK(match_pattern("packs/2026-03-02_DE.wav", "packs/2026-03-02_DE.wav")->date == "2026-03-02");
  CHECK(match_pattern("packs/2026_03_02_*.wav", "packs/2026_03_02_a.wav")->date == "2026-03-02");
  // What the file's name says by {date} goes first; no date, and no day that exists, is none.
  CHECK(match_pattern("2025-01-01/{date}.wav", "2025-01-01/20260302.wav")->date == "2026-03-02");
  CHECK(match_pattern("packs/2026-02-30.wav", "packs/2026-02-30.wav")->date.empty());
  CHECK(match_pattern("packs/12026-03-02.wav", "packs/12026-03-02.wav")->date.empty());
}

TEST_CASE("recording list: each line finds its stop, and a wrong one is named with its line") {
  const Route route = parse_route(
                          "[[point]]\nmachine = \"fan\"\npoint = \"DE\"\n[[point]]\nmachine = "
                          "\"fan\"\npoint = \"NDE\"\n[[point]]\nmachine = \"pump\"\n",
                          "r.toml", two_machines())
                          .value();
  const auto list = parse_recording_list(
      route,
      "[[recording]]\nfile = \"1.wav\"\nmachine = \"Fan\"\npoint = \"nde\"\ndate = "
      "\"20260302\"\ntime = \"0745\"\n[[recording]]\nfile = \"2.wav\"\nmachine = \"pump\"\n",
      "l.toml");
  REQUIRE(list);
  REQUIRE(list->size() == 2);
  CHECK((*list)[0].file == "1.wav");
  CHECK((*list)[0].match.route_point == 1);
  CHECK((*list)[0].match.found.date == "2026-03-02");
  CHECK((*list)[0].match.found.time == "07:45");
  CHECK((*list)[1].match.route_point == 2);
  CHECK((*list)[1].where == "l.toml:7");

  const auto error = [&](const std::string& lines) {
    const auto bad = parse_recording_list(route, "[[recording]]\n" + lines, "l.toml");
    REQUIRE_FALSE(bad);
    return bad.error().message();
  };
  const std::string pump = "file = \"x\"\nmachine = \"pump\"\n";
  CHECK(error("machine = \"pump\"\n").find("l.toml:1") == 0);
  CHECK(error("file = \"x\"\nmachine = \"saw\"\n").find("pump, DE") != std::string::npos);
  CHECK(error("file = \"x\"\nmachine = \"fan\"\n").find("not match exactly one stop") !=
        std::string::npos);
  CHECK(error(pump + "date = \"2026-02-30\"\n").find("l.toml:4: date") == 0);
  CHECK(error(pump + "piont = \"DE\"\n").find("did you mean point?") != std::string::npos);
}
