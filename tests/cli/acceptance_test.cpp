#include <doctest/doctest.h>

#include <algorithm>
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

std::string make(const Folder& f, const std::string& name, std::vector<std::string> more = {}) {
  more.insert(more.end(), {"--rpm", "1496", "--rate", "12800", "--duration", "4", "--noise", "0.1",
                           "--seed", "3", "--shaft", "0.15,0.1,0.1,0.1,0.05"});
  return f.simulated(name, more);
}

void write_machines(const Folder& f) {
  f.write("mill.toml", R"(
[[machine]]
name = "big-saw"
rated_rpm = 1440
line_frequency_hz = 50
poles = 4
frame = "IEC 90L"
mounting = "rigid"
drive = "VFD"
drives = "saw, V-belt"
surroundings = ["dusty"]
bearing.DE = { designation = "6205-2Z C3", elements = 9 }
bearing.NDE = { elements = 9, element_diameter_mm = 7.94, pitch_diameter_mm = 39.04 }
point = [{ name = "NDE", end = "NDE", unit = "m/s2" }]
)");
}

}  // namespace

TEST_CASE("acceptance: pass 0, fail 1, repeat 3 [src:the simulation's truth]") {
  const Folder f;
  const std::string good = make(f, "good.wav");
  const std::string bad = make(f, "bad.wav", {"--defect", "outer:20"});
  const auto accept = [](const std::string& file, std::vector<std::string> more) {
    std::vector<std::string> words{"acceptance",     file,   "--geometry", "9,7.94,39.04",
                                   "--rpm",          "1496", "--mounting", "rigid",
                                   "--shaft-height", "90"};
    words.insert(words.end(), more.begin(), more.end());
    return run(words);
  };
  const Ran pass = accept(good, {"--unit", "m/s2"});
  INFO(pass.err);
  CHECK(pass.code == 0);
  CHECK(has(pass.out, "PASS"));
  CHECK(has(pass.out, "24 to 48 running hours"));
  CHECK(has(pass.out, "IEC 60034-14:2003"));
  const Ran failed = accept(bad, {"--unit", "m/s2"});
  CHECK(failed.code == 1);
  CHECK(has(failed.out, "outer ring damaged"));
  CHECK(accept(good, {"--unit", "m/s2", "--report", f.file("a.html")}).out == pass.out);
  CHECK(has(f.read("a.html"), "PASS"));
  CHECK(has(f.read("a.html"), "IEC 60034-14:2003"));
  for (const char* picture : {"velocity spectrum", "envelope spectrum, whole band"})
    CHECK(has(f.read("a.html"), picture));
  CHECK(accept(good, {"--unit", "m/s2", "--report", f.file("no/a.html")}).code == 2);
  CHECK(accept(good, {"--unit", "m/s2", "--picture", f.file("a.svg")}).out == pass.out);
  CHECK(has(f.read("a.svg"), "<svg"));
  CHECK(has(f.read("a.svg"), "Velocity spectrum"));
  CHECK(has(run({"acceptance", "--help"}).out, "0 pass, and nothing is to be done; 1 fail"));
  CHECK(accept(good, {}).code == 3);  // no unit
  CHECK(accept(good, {"--unit", "m/s2", "--synchronous", "1800"}).code == 3);
  const json j = json::parse(accept(good, {"--unit", "m/s2", "--json", "--standard", "nema"}).out);
  CHECK(j["schema"] == "bearingdsp.acceptance/1");
  CHECK(j["outcome"] == "pass");
  CHECK(j["present"]["urgency"] == "OK");
  // The present state is what diagnose says of the same recording.
  for (const std::string& file : {good, bad}) {
    const json said = json::parse(run({"diagnose", file, "--geometry", "9,7.94,39.04", "--rpm",
                                       "1496", "--unit", "m/s2", "--json"})
                                      .out)["assessment"];
    const json present = json::parse(accept(file, {"--unit", "m/s2", "--json"}).out)["present"];
    for (const char* key : {"urgency", "headline", "actions", "other_faults", "zone", "doubts"})
      CHECK(present[key] == said[key]);
    const Ran text = accept(file, {"--unit", "m/s2"});
    CHECK(has(text.out, "Present state: " + said["urgency"].get<std::string>()));
  }
  CHECK(has(j["limits_source"].get<std::string>(), "NEMA"));

  for (const std::vector<std::string>& words :
       {std::vector<std::string>{"acceptance", good, "--unit", "m/s2"},
        {"acceptance", f.file("none.wav"), "--shaft-height", "90"},
        {"acceptance", good, "--unit", "m/s2", "--shaft-height", "20"},
        {"acceptance", good, "--shaft-height", "90", "--store", f.file("h.db")},
        {"acceptance", good, "--standard", "other"}}) {
    const Ran wrong = run(words);
    CHECK(wrong.code == 2);
    CHECK(std::count(wrong.err.begin(), wrong.err.end(), '\n') == 1);
  }
}

TEST_CASE("acceptance: from a machine file into the history, as the new baseline") {
  const Folder f;
  write_machines(f);
  const std::string good = make(f, "good.wav");
  const Ran r = run({"acceptance", good, "--machine", f.file("mill.toml"), "--store",
                     f.file("h.db"), "--time", "2026-05-20"});
  INFO(r.err);
  CHECK(r.code == 0);
  CHECK(has(r.out, "big-saw, NDE"));
  const Ran trend = run({"trend", "big-saw", "--store", f.file("h.db")});
  CHECK(has(trend.out, "2026-05-20 bearing replaced: acceptance, pass"));
  const json reading = json::parse(
      run({"trend", "big-saw", "--store", f.file("h.db"), "--json"}).out)["readings"][0];
  CHECK(reading["load_percent"] == 0);
}

TEST_CASE("replacement and cause read the machine file") {
  const Folder f;
  write_machines(f);
  const std::string mill = f.file("mill.toml");
  const Ran r = run({"replacement", "--machine", mill, "--end", "de", "--job-card", "-"});
  INFO(r.err);
  CHECK(r.code == 0);
  CHECK(has(r.out, "6205-2Z"));
  CHECK(has(r.out, "big-saw"));
  CHECK(has(r.out, "1.3"));  // mm/s, the no-load limit of a shaft height of 90 mm on a rigid base
  // What is typed wins.
  const Ran typed = run({"replacement", "6206", "--machine", mill, "--end", "DE", "--json"});
  CHECK(has(typed.out, "\"6206\""));
  CHECK(json::parse(typed.out)["speed_rpm"] == 1440);
  CHECK(json::parse(run({"replacement", "--machine", mill, "--end", "DE", "--rpm", "900", "--json"})
                        .out)["speed_rpm"] == 900);

  const Ran cause = run({"cause", "--seen", "fluting", "--machine", mill, "--end", "DE", "--json"});
  CHECK(cause.code == 0);
  CHECK(has(cause.out, "variable-frequency drive"));

  const auto fails = [](const std::vector<std::string>& words, const std::string& with) {
    const Ran wrong = run(words);
    CHECK(wrong.code == 2);
    CHECK(std::count(wrong.err.begin(), wrong.err.end(), '\n') == 1);
    INFO(wrong.err);
    CHECK(has(wrong.err, with));
  };
  fails({"replacement", "--machine", mill}, "--end DE or --end NDE");
  fails({"replacement", "--machine", mill, "--end", "NDE"}, "does not state the bearing");
  fails({"replacement", "--end", "DE", "6205"}, "only valid with a machine file");
  fails({"replacement"}, "no bearing is given");
  fails({"cause", "--machine", f.file("none.toml"), "--end", "DE"}, "none.toml");
}
