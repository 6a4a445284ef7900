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

/// A mill with two machines, `visits` rounds; the last of the saw shows a damaged outer ring.
void make_mill(const Folder& f, int visits) {
  f.write("mill.toml", R"(
[[machine]]
name = "big-saw"
rated_rpm = 1480
bearing.DE = { elements = 9, element_diameter_mm = 7.94, pitch_diameter_mm = 39.04 }
point = [{ name = "DE", end = "DE", unit = "m/s2" }]

[[machine]]
name = "fan"
rated_rpm = 1480
bearing.DE = { elements = 9, element_diameter_mm = 7.94, pitch_diameter_mm = 39.04 }
point = [{ name = "DE", end = "DE", unit = "m/s2" }]
)");
  f.write("route.toml", R"(
name = "mill"
machines = "mill.toml"
point = [{ machine = "big-saw", point = "DE", files = "{date}_saw.wav" },
         { machine = "fan", point = "DE", files = "{date}_fan.wav" }]
)");
  for (int i = 0; i < visits; ++i) {
    const std::string day = "2026-02-" + std::to_string(10 + i);
    const auto make = [&](const std::string& name, std::vector<std::string> more) {
      more.insert(more.end(), {"--rpm", "1480", "--rate", "12800", "--duration", "2", "--noise",
                               "0.5", "--seed", std::to_string(i)});
      (void)f.simulated(name, more);
    };
    const bool last = i + 1 == visits;
    make(day + "_saw.wav",
         last ? std::vector<std::string>{"--defect", "outer:20"} : std::vector<std::string>{});
    make(day + "_fan.wav", {});
  }
}

std::vector<std::string> route(const Folder& f, const std::vector<std::string>& more = {}) {
  std::vector<std::string> words{
      "route", "run", f.file(""), "--route", f.file("route.toml"), "--store", f.file("h.db")};
  words.insert(words.end(), more.begin(), more.end());
  return words;
}

}  // namespace

TEST_CASE("route run: the worst machine is first, with what to do [src:the simulation's truth]") {
  const Folder f;
  make_mill(f, 6);
  const Ran r = run(route(f));
  INFO(r.err);
  CHECK(r.code == 1);
  CHECK(r.err.empty());
  CHECK(has(r.out, "1 OF 2 MACHINES NEEDS A PERSON"));
  CHECK(has(r.out, "1. big-saw (DE): outer ring of the bearing damaged"));
  CHECK(has(r.out, "Order: "));
  CHECK(has(r.out, "was none"));
  CHECK_FALSE(has(r.out, "\x1b"));

  const Ran again = run(route(f, {"--json", "--report", f.file("r.html")}));
  const std::string page = f.read("r.html");
  CHECK(has(page, "<a href=\"#point-1\">big-saw, DE</a>"));
  CHECK(has(page, "id=\"point-2\""));
  CHECK(has(page, "outer ring of the bearing damaged, developed (more than 99 % sure"));
  CHECK(has(page, "level above 1 kHz over time"));
  const json j = json::parse(again.out);
  CHECK(j["schema"] == "bearingdsp.standings/1");
  CHECK(j["run"]["were_there"] == 12);
  CHECK(j["run"]["stored"] == 0);
  CHECK(j["points"][0]["machine"] == "big-saw");
  CHECK(j["points"][0]["place"] == "outer ring");
  CHECK(has(j["points"][0]["since_utc"].get<std::string>(), "2026-02-15"));
  CHECK(j["points"][0]["bearing_to_order"].is_null());  // the machine file has no number

  // The list without a run, the trend, and the way out.
  const Ran list = run({"history", "list", "--store", f.file("h.db")});
  CHECK(list.code == 0);
  CHECK(has(list.out, "big-saw (DE)"));
  const Ran trend = run({"trend", "Big_Saw", "--store", f.file("h.db")});
  CHECK(trend.code == 1);
  CHECK(has(trend.out, "PLAN: outer ring"));
  CHECK(has(trend.out, "baseline"));
  CHECK(has(trend.out, "2026-02-15"));
  CHECK(run({"trend", "big-saw", "--store", f.file("h.db"), "--report", f.file("t.html")}).code ==
        1);
  CHECK(has(f.read("t.html"), "PLAN: outer ring"));
  CHECK(json::parse(run({"trend", "fan", "--store", f.file("h.db"), "--json"}).out)["readings"]
            .size() == 6);
  const Ran out = run({"history", "export", "--store", f.file("h.db")});
  CHECK(out.code == 0);
  CHECK(std::count(out.out.begin(), out.out.end(), '\n') == 13);
  CHECK(has(run({"history", "check", "--files", "--store", f.file("h.db")}).out, "WHOLE"));
  // What the run kept of each recording is drawn without it.
  for (const char* name : {"saw", "fan"})
    for (int i = 0; i < 6; ++i)
      f.write("2026-02-" + std::to_string(10 + i) + "_" + name + ".wav", "gone");
  const Ran drawn = run({"trend", "big-saw", "--store", f.file("h.db"), "--picture",
                         f.file("t.svg"), "--report", f.file("t.html"), "--force"});
  CHECK(drawn.out == trend.out);
  for (const char* file : {"t.svg", "t.html"}) {
    CHECK(has(f.read(file), "nvelope spectrum over the visits"));
    CHECK(has(f.read(file), "elocity spectrum over the visits"));
    CHECK(has(f.read(file), "velocity / mm/s rms"));
  }
}

TEST_CASE("trend: one picture for several points is refused, and nothing is written") {
  const Folder f;
  make_mill(f, 1);
  f.write("mill.toml", R"(
[[machine]]
name = "saw"
rated_rpm = 1480
bearing.DE = { elements = 9, element_diameter_mm = 7.94, pitch_diameter_mm = 39.04 }
point = [{ name = "DE", end = "DE", unit = "m/s2" }, { name = "DE axial", end = "DE", unit = "m/s2" }]
)");
  f.write("route.toml", R"(
machines = "mill.toml"
point = [{ machine = "saw", point = "DE", files = "{date}_saw.wav" },
         { machine = "saw", point = "DE axial", files = "{date}_fan.wav" }]
)");
  REQUIRE(run(route(f)).code == 1);
  const auto trend = [&](std::vector<std::string> more) {
    more.insert(more.begin(), {"trend", "saw", "--store", f.file("h.db")});
    return run(more);
  };
  const Ran r = trend({"--picture", f.file("t.svg")});
  CHECK(r.code == 2);
  CHECK(r.out.empty());
  CHECK(r.err ==
        "bearingdsp: --picture: one picture for several points; choose one with --point\n");
  CHECK_FALSE(std::filesystem::exists(f.file("t.svg")));
  // A page has room for both; one point can be drawn.
  CHECK(trend({"--report", f.file("t.html")}).code == 1);
  CHECK(has(f.read("t.html"), "id=\"point-2\""));
  CHECK(trend({"--point", "DE", "--picture", f.file("t.svg")}).code == 1);
  CHECK(has(f.read("t.svg"), "</svg>"));
}

TEST_CASE("route run: copies within the round's folder are refused before anything is made") {
  const Folder f;
  make_mill(f, 1);
  const std::size_t before = f.count();
  const Ran r = run(route(f, {"--keep-copies", f.file("kept")}));
  CHECK(r.code == 2);
  CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
  CHECK(has(r.err, "lies in the folder of the round"));
  CHECK(f.count() == before);
}

TEST_CASE("route run: JSON lines come a recording, and a bad one does not end it") {
  const Folder f;
  make_mill(f, 1);
  f.write("2026-03-01_fan.wav", "no sound at all");
  const Ran r = run(route(f, {"--ndjson", "--jobs", "2"}));
  CHECK(r.code == 2);
  CHECK(has(r.err, "2026-03-01_fan.wav"));
  CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
  std::vector<json> lines;
  for (std::size_t at = 0, end = 0; (end = r.out.find('\n', at)) != std::string::npos; at = end + 1)
    lines.push_back(json::parse(r.out.substr(at, end - at)));
  REQUIRE(lines.size() == 4);
  CHECK(lines.back()["schema"] == "bearingdsp.standings/1");
  CHECK(lines.back()["run"]["failures"].size() == 1);
  CHECK(std::count_if(lines.begin(), lines.end(), [](const json& l) {
          return l["schema"] == "bearingdsp.record/1" && l["outcome"] == "stored";
        }) == 2);
}

TEST_CASE("history event: noted, shown, and a slip of the pen refused with what there is") {
  const Folder f;
  make_mill(f, 1);
  REQUIRE(run(route(f)).code == 1);
  const std::string store = f.file("h.db");
  const Ran noted = run({"history", "event", "BIG SAW", "bearing-replaced", "--time", "2026-02-20",
                         "--note", "6205 C3", "--store", store});
  INFO(noted.err);
  CHECK(noted.code == 0);
  const Ran trend = run({"trend", "big-saw", "--store", store});
  CHECK(has(trend.out, "2026-02-20 bearing replaced: 6205 C3"));
  CHECK(has(trend.out, "new bearing, not measured yet"));
  CHECK(has(run({"history", "export", "--json", "--store", store}).out, "\"bearing replaced\""));

  const Ran slip =
      run({"history", "event", "big-saq", "greased", "--time", "2026-02-20", "--store", store});
  CHECK(slip.code == 2);
  CHECK(has(slip.err, "it holds: big-saw; fan"));
  CHECK(has(run({"history", "event", "fan", "oiled", "--time", "2026-02-20", "--store", store}).err,
            "one of: bearing-replaced"));
  CHECK(has(run({"history", "event", "fan", "greased", "--time", "soon", "--store", store}).err,
            "is no time"));
}

TEST_CASE("history: what is not there is an error in one line, and nothing is made") {
  const Folder f;
  for (const std::vector<std::string>& words :
       {std::vector<std::string>{"trend", "fan"},
        {"history", "list"},
        {"history", "export"},
        {"history", "check"},
        {"history", "event", "fan", "note", "--time", "2026-01-01"}}) {
    std::vector<std::string> all = words;
    all.insert(all.end(), {"--store", f.file("none/h.db")});
    const Ran r = run(all);
    CHECK(r.code == 2);
    CHECK(r.out.empty());
    CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
  }
  CHECK(f.count() == 0);
  f.write("text.db", std::string(2000, 'x'));
  CHECK(has(run({"history", "list", "--store", f.file("text.db")}).err, "is no history"));
  // A list makes no store.
  CHECK(run({"history", "list", "--store", f.file("new.db")}).code == 2);
  CHECK_FALSE(std::filesystem::exists(f.file("new.db")));
}
