#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "cli/run.hpp"

using nlohmann::json;
using test::Folder;
using test::has;
using test::Ran;
using test::run;

namespace {

std::string make(const Folder& f, const std::string& name, const std::string& seed,
                 std::vector<std::string> more = {}) {
  more.insert(more.end(), {"--rpm", "1480", "--rate", "12800", "--duration", "3", "--noise", "0.5",
                           "--seed", seed});
  return f.simulated(name, more);
}

std::vector<std::string> compare(const std::vector<std::string>& more) {
  std::vector<std::string> words{"compare"};
  words.insert(words.end(), more.begin(), more.end());
  words.insert(words.end(), {"--geometry", "9,7.94,39.04", "--rpm", "1480", "--unit", "m/s2"});
  return words;
}

const std::vector<std::string> spalled{"--defect", "outer:20"};

void run_route(const Folder& f, const std::string& store) {
  (void)run({"route", "run", f.file(""), "--route", f.file("route.toml"), "--store", store});
}

void note_bearing(const std::string& store, const std::string& time) {
  REQUIRE(run({"history", "event", "big-saw", "bearing-replaced", "--time", time, "--store", store})
              .code == 0);
}

}  // namespace

TEST_CASE("compare: cured is 0, a new problem 1, another load 3 [src:the simulation's truth]") {
  const Folder f;
  const std::string bad = make(f, "bad.wav", "1", spalled);
  const std::string good = make(f, "good.wav", "2");
  const Ran cured = run(compare({bad, good}));
  INFO(cured.err);
  CHECK(cured.code == 0);
  CHECK(cured.err.empty());
  CHECK(has(cured.out, "\nCURED\nThe damage to the outer ring is gone"));
  CHECK(has(cured.out, "gone"));
  CHECK(has(cured.out, "What to do"));
  CHECK_FALSE(has(cured.out, "\x1b"));

  const Ran broken = run(compare({good, bad}));
  CHECK(broken.code == 1);
  CHECK(has(broken.out, "NEW PROBLEM"));
  CHECK(has(broken.out, "Possible causes"));

  const std::string again = make(f, "again.wav", "3");
  const Ran same = run(compare({good, again, "--before-load", "80", "--after-load", "80"}));
  CHECK(same.code == 0);
  CHECK(has(same.out, "NO CHANGE SEEN\nNo bearing damage found before or after"));
  CHECK(has(same.out, "What would have been found"));
  CHECK(has(same.out, "taken as the same on both sides: sensor,"));
  const json facts = json::parse(run(compare({good, again, "--json"})).out);
  CHECK(facts.at("change") == "no change seen");
  CHECK(facts.at("would_have_shown").at("strength") == 0.22);
  CHECK(facts.at("hits").at("fate") == "not there");
  CHECK(facts.at("taken_as_the_same") == json{"load", "sensor", "fixing of the sensor"});
  CHECK(has(run({"compare", "--help"}).out, "0 nothing is to be done"));

  const Ran load = run(compare({bad, good, "--before-load", "90", "--after-load", "10"}));
  CHECK(load.code == 3);
  CHECK(has(load.out, "NOT COMPARABLE"));
  CHECK(has(load.out, "90 % of the rated load before, 10 % after"));
  CHECK(run(compare({bad, good, "--before-fixing", "stud", "--after-fixing", "magnet"})).code == 3);
  const Ran brief = run(compare({bad, good, "--quiet"}));
  CHECK(std::count(brief.out.begin(), brief.out.end(), '\n') == 1);
}

TEST_CASE("compare --json is one document with the same answer") {
  const Folder f;
  const std::string bad = make(f, "bad.wav", "1", spalled);
  const std::string good = make(f, "good.wav", "2");
  const json j = json::parse(run(compare({bad, good, "--json"})).out);
  CHECK(j["schema"] == "bearingdsp.comparison/1");
  CHECK(j["change"] == "cured");
  CHECK(j["before"]["place"] == "outer ring");
  CHECK(j["after"]["verdict"] == "no fault found");
  CHECK(j["scatter_from"] == "pieces of single recordings");
  CHECK(j["families"][0]["fate"] == "gone");
  const auto envelope = std::find_if(j["levels"].begin(), j["levels"].end(),
                                     [](const json& l) { return l["level"] == "envelope"; });
  REQUIRE(envelope != j["levels"].end());
  CHECK((*envelope)["beyond_scatter"] == true);
  CHECK((*envelope)["unit"] == "m/s2");
}

TEST_CASE("compare: several a side, as lists or folders") {
  const Folder f;
  for (const char* side : {"old", "new"}) {
    std::filesystem::create_directory(f.file(side));
    for (const char* n : {"1", "2"})
      make(f, std::string{side} + "/" + n + ".wav", std::string{n} + (side[0] == 'o' ? "1" : "2"),
           side[0] == 'o' ? spalled : std::vector<std::string>{});
  }
  const Ran folders = run(compare({f.file("old"), f.file("new")}));
  CHECK(folders.code == 0);
  CHECK(has(folders.out, "2 recordings, 2 usable"));
  CHECK(has(folders.out, "of the recordings on each side"));
  const Ran lists = run(compare({"--before", f.file("old/1.wav"), f.file("old/2.wav"), "--after",
                                 f.file("new/1.wav"), f.file("new/2.wav")}));
  CHECK(lists.out == folders.out);
}

TEST_CASE("compare: what is wrong is one line with what to do") {
  const Folder f;
  const std::string good = make(f, "good.wav", "2");
  f.write("text.wav", "no sound at all");
  std::filesystem::create_directory(f.file("empty"));
  const auto fails = [](const std::vector<std::string>& words, const std::string& with) {
    const Ran r = run(words);
    CHECK(r.code == 2);
    CHECK(r.out.empty());
    CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
    INFO(r.err);
    CHECK(has(r.err, with));
  };
  fails(compare({good}), "two sets of recordings are needed");
  fails(compare({}), "two sets of recordings are needed");
  fails(compare({good, "--after", good}), "two sets of recordings are needed");
  fails(compare({good, f.file("none.wav")}), "none.wav");
  fails(compare({good, f.file("text.wav")}), "text.wav");
  fails(compare({good, f.file("empty")}), "contains no recordings");
  fails({"compare", good, good, "--bearing", "nonsense"}, "nonsense");
  fails({"compare", "saw", "--store", f.file("none.db")}, "none.db");
  fails({"compare", good, good, "--store", f.file("none.db")}, "one machine");
  fails({"compare", "saw", "--store", f.file("none.db"), "--event", "soon"}, "is no time");
}

TEST_CASE("compare: around a new bearing in the history [src:the simulation's truth]") {
  const Folder f;
  f.write("mill.toml", R"(
[[machine]]
name = "big-saw"
rated_rpm = 1480
bearing.DE = { elements = 9, element_diameter_mm = 7.94, pitch_diameter_mm = 39.04 }
point = [{ name = "DE", end = "DE", unit = "m/s2" }]
)");
  f.write("route.toml", R"(
name = "mill"
machines = "mill.toml"
point = [{ machine = "big-saw", point = "DE", files = "{date}_saw.wav", load_percent = 80 }]
)");
  for (int i = 0; i < 5; ++i)
    make(f, "2026-02-1" + std::to_string(i) + "_saw.wav", std::to_string(i),
         i < 3 ? spalled : std::vector<std::string>{});
  const std::string store = f.file("h.db");
  run_route(f, store);
  const Ran early = run({"compare", "big-saw", "--store", store});
  CHECK(early.code == 2);
  CHECK(has(early.err, "no work on it is noted"));
  note_bearing(store, "2026-02-12T18:00");
  const Ran r = run({"compare", "Big Saw", "--store", store});
  INFO(r.err);
  CHECK(r.code == 0);
  CHECK(has(r.out, "big-saw, DE\nCURED"));
  CHECK(has(r.out, "3 recordings, 3 usable"));
  CHECK(has(r.out, "  1x "));
  CHECK(has(r.out, "  3x "));
  CHECK(run({"compare", "big-saw", "--store", store, "--event", "2026-02-12"}).out == r.out);
  // The run at no load that was stored in between is not compared with the loaded ones.
  const std::string idle = f.simulated(
      "idle.wav",
      {"--rpm", "1480", "--rate", "12800", "--duration", "3", "--noise", "0.05", "--seed", "77"});
  REQUIRE(run({"acceptance", idle, "--machine", f.file("mill.toml"), "--point", "DE",
               "--shaft-height", "90", "--mounting", "rigid", "--rpm", "1480", "--store", store,
               "--time", "2026-02-12T19:00"})
              .code == 0);
  const Ran still = run({"compare", "big-saw", "--store", store});
  INFO(still.out);
  CHECK(still.out == r.out);
}

TEST_CASE("compare: pictures of both sides, on a page and as a drawing, the text stays the same") {
  const Folder f;
  const std::string bad = make(f, "bad.wav", "1", spalled);
  const std::string good = make(f, "good.wav", "2");
  const Ran r =
      run(compare({bad, good, "--picture", f.file("c.svg"), "--report", f.file("c.html")}));
  CHECK(r.code == 0);
  CHECK(r.out == run(compare({bad, good})).out);
  for (const char* file : {"c.svg", "c.html"}) {
    const std::string text = f.read(file);
    CHECK(has(text, "before: bad.wav"));
    CHECK(has(text, "after: good.wav"));
    CHECK(has(text, "velocity / mm/s rms"));
    CHECK(has(text, "modulation depth"));
    CHECK(has(text, "change / dB"));
  }
}

TEST_CASE("compare: one signal twice, and in two scales without a unit [src:one file, scaled]") {
  const Folder f;
  const std::string good = make(f, "good.wav", "2");
  const Ran twice = run(compare({good, good}));
  CHECK(twice.code == 3);
  CHECK(has(twice.out, "NOT COMPARABLE"));
  CHECK(has(twice.out, "hold the same samples"));
  CHECK(run({"compare", good, good, "--rpm", "1480", "--before-unit", "g", "--before-full-scale",
             "10"})
            .code == 3);
  // Another recording, ten times as large in the file, neither with a unit.
  const std::string other = make(f, "other.csv", "3");
  const Ran scaled = run({"compare", good, other, "--geometry", "9,7.94,39.04", "--rpm", "1480"});
  CHECK(scaled.code != 1);
  CHECK_FALSE(has(scaled.out, "WORSE"));
  CHECK(has(scaled.out, "levels not compared"));
}

TEST_CASE("compare: a point without a reading since the work is open, not failed") {
  const Folder f;
  f.write("mill.toml", R"(
[[machine]]
name = "big-saw"
rated_rpm = 1480
bearing.DE = { elements = 9, element_diameter_mm = 7.94, pitch_diameter_mm = 39.04 }
bearing.NDE = { elements = 9, element_diameter_mm = 7.94, pitch_diameter_mm = 39.04 }
point = [{ name = "DE", end = "DE", unit = "m/s2" }, { name = "NDE", end = "NDE", unit = "m/s2" }]
)");
  f.write("route.toml", R"(
name = "mill"
machines = "mill.toml"
point = [{ machine = "big-saw", point = "DE", files = "{date}_de.wav", load_percent = 80 },
         { machine = "big-saw", point = "NDE", files = "{date}_nde.wav", load_percent = 80 }]
)");
  for (int i = 0; i < 4; ++i) {
    const std::string day = "2026-02-1" + std::to_string(i);
    make(f, day + "_de.wav", std::to_string(i), i < 2 ? spalled : std::vector<std::string>{});
    if (i < 2) make(f, day + "_nde.wav", std::to_string(10 + i));
  }
  const std::string store = f.file("h.db");
  run_route(f, store);
  note_bearing(store, "2026-02-11T18:00");
  const Ran both = run({"compare", "big-saw", "--store", store});
  INFO(both.out);
  CHECK(both.code == 3);
  CHECK(has(both.out, "big-saw, DE\nCURED"));
  CHECK(has(both.err, "NDE: no reading since 2026-02-11"));
  CHECK(run({"compare", "big-saw", "--store", store, "--point", "NDE"}).code == 3);
  CHECK(run({"compare", "big-saw", "--store", store, "--point", "DE"}).code == 0);
  // Work on one point alone leaves the other out of it.
  const std::string one = f.file("one.db");
  (void)run({"route", "run", f.file(""), "--route", f.file("route.toml"), "--store", one});
  REQUIRE(run({"history", "event", "big-saw", "bearing-replaced", "--point", "DE", "--time",
               "2026-02-11T18:00", "--store", one})
              .code == 0);
  const Ran alone = run({"compare", "big-saw", "--store", one});
  CHECK(alone.code == 0);
  CHECK(alone.err.empty());
  CHECK(run({"compare", "big-saw", "--store", one, "--point", "NDE"}).code == 2);
}
