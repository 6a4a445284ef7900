#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "cli/run.hpp"
#include "paths.hpp"
#include "support/close.hpp"

using nlohmann::json;
using test::Folder;
using test::has;
using test::Ran;
using test::run;

namespace {

const std::string geometry = "9,7.94,39.04";

std::string make(const Folder& f, const std::string& name, std::vector<std::string> more) {
  if (std::find(more.begin(), more.end(), "--duration") == more.end())
    more.insert(more.end(), {"--duration", "4"});
  more.insert(more.end(), {"--rpm", "1480", "--rate", "25600", "--shaft", "0.5,0.2"});
  return f.simulated(name, more);
}

std::vector<std::string> diagnose(const std::string& file,
                                  const std::vector<std::string>& more = {}) {
  std::vector<std::string> words{"diagnose", file, "--geometry", geometry, "--rpm", "1480"};
  if (file.find(".wav") != std::string::npos) words.insert(words.end(), {"--unit", "m/s2"});
  words.insert(words.end(), more.begin(), more.end());
  return words;
}

}  // namespace

TEST_CASE(
    "diagnose: a loud outer-ring defect is a fault, exit 1, named, with its frequency "
    "[src:the simulation's truth]") {
  const Folder f;
  const std::string file = make(f, "outer.wav", {"--defect", "outer:30"});
  const Ran text = run(diagnose(file));
  INFO(text.err);
  CHECK(text.code == 1);
  CHECK(text.err.empty());
  CHECK(has(text.out, "BEARING FAULT: outer ring"));
  CHECK(has(text.out, "What to do"));
  CHECK_FALSE(has(text.out, "\x1b"));
  CHECK(has(run(diagnose(file, {"--colour", "always"})).out, "\x1b[1;31mBEARING FAULT"));

  const Ran data = run(diagnose(file, {"--json"}));
  CHECK(data.code == 1);
  const json j = json::parse(data.out);
  CHECK(nlohmann::ordered_json::parse(data.out).begin().key() == "schema");
  CHECK(j["schema"] == "bearingdsp.diagnosis/2");
  CHECK(j["verdict"] == "fault");
  CHECK(j["place"] == "outer ring");
  CHECK(j["probability_of_damage"].get<double>() > 0.9);
  const double rate = json::parse(f.read("outer.truth.json"))["mean_shaft_rate_hz"].get<double>();
  CHECK(test::close_rel(j["speed"]["shaft_rate_hz"].get<double>(), rate, 0.01));

  const Ran brief = run(diagnose(file, {"-q"}));
  CHECK(std::count(brief.out.begin(), brief.out.end(), '\n') == 1);
  CHECK(brief.code == 1);
}

TEST_CASE("diagnose: WAV and CSV of the same plan give the same verdict") {
  const Folder f;
  const std::vector<std::string> plan{"--defect", "inner:30", "--seed", "3"};
  const Ran wav = run(diagnose(make(f, "a.wav", plan), {"--json"}));
  const Ran csv = run(diagnose(make(f, "b.csv", plan), {"--json"}));
  CHECK(wav.code == 1);
  CHECK(csv.code == 1);
  CHECK(json::parse(wav.out)["place"] == json::parse(csv.out)["place"]);
}

TEST_CASE("diagnose: several files: a line each, in order, and the worst wins") {
  const Folder f;
  const std::string bad = make(f, "bad.wav", {"--defect", "outer:30"});
  const std::string good = make(f, "good.wav", {"--seed", "5"});
  CHECK(run(diagnose(good)).code == 0);
  const Ran both = run(diagnose(good, {bad, "--json"}));
  CHECK(both.code == 1);
  CHECK(std::count(both.out.begin(), both.out.end(), '\n') == 2);
  CHECK(json::parse(both.out.substr(0, both.out.find('\n')))["source"] == good);
  const Ran three = run(diagnose(good, {f.file("none.wav"), bad, "--json"}));
  CHECK(three.code == 2);
  CHECK(std::count(three.out.begin(), three.out.end(), '\n') == 3);
  CHECK(three.err.rfind("bearingdsp: ", 0) == 0);
  CHECK(has(three.err, "none.wav"));
  const auto second = three.out.find('\n') + 1;
  CHECK(json::parse(three.out.substr(second, three.out.find('\n', second) - second))["schema"] ==
        "bearingdsp.error/1");
}

TEST_CASE("diagnose: a picture appears whole, an unwritable one fails before the work") {
  const Folder f;
  const std::string file = make(f, "outer.wav", {"--defect", "outer:30"});
  const Ran r = run(diagnose(file, {"--picture", f.file("p.svg")}));
  CHECK(r.code == 1);
  CHECK(has(f.read("p.svg"), "</svg>"));
  CHECK(f.count() == 3);
  CHECK(run(diagnose(file, {"-q", "--picture", f.file("q.svg")})).code == 1);
  CHECK(f.read("q.svg") == f.read("p.svg"));
  CHECK(has(f.read("q.svg"), "events per shaft revolution"));
  const Ran no = run(diagnose(file, {"--picture", f.file("no/p.svg")}));
  CHECK(no.code == 2);
  CHECK(no.out.empty());
}

TEST_CASE("diagnose: a page appears whole, beside the text, and not for several files") {
  const Folder f;
  const std::string file = make(f, "outer.wav", {"--defect", "outer:30"});
  const Ran r = run(diagnose(file, {"--report", f.file("p.html")}));
  CHECK(r.code == 1);
  // A page beside changes nothing on the screen: the chart stays the envelope's.
  CHECK(r.out == run(diagnose(file)).out);
  CHECK(has(r.out, "BEARING FAULT"));
  const std::string page = f.read("p.html");
  CHECK(has(page, "<h1>"));
  CHECK(has(page, "What to do: plan, within"));
  CHECK(has(page, "velocity / mm/s rms"));
  CHECK(has(page, "</html>\n"));
  const Ran no = run(diagnose(file, {"--report", f.file("no/p.html")}));
  CHECK(no.code == 2);
  CHECK(no.out.empty());
  const Ran two = run(diagnose(file, {file, "--report", f.file("q.html")}));
  CHECK(two.code == 2);
  CHECK(has(two.err, "--report: this option takes one file"));
}

TEST_CASE("diagnose: a recording of a tenth of a second is not called sound or damaged") {
  const Folder f;
  const std::string file = make(f, "short.wav", {"--defect", "outer:1", "--duration", "0.1"});
  const Ran r = run(diagnose(file));
  INFO(r.out);
  CHECK(r.code == 3);
  CHECK(has(r.out, "Record at least"));
}

TEST_CASE("diagnose: a designation with variants is tried with each, and says so") {
  const Folder f;
  f.write("mine.csv",
          "name,rolling_elements,element_diameter,pitch_diameter\nX1,7,9,39\nX1,9,7.94,39.04\n");
  const std::string file = make(f, "outer.wav", {"--defect", "outer:30"});
  const Ran r = run({"diagnose", file, "--unit", "m/s2", "--rpm", "1480", "--bearing", "X1",
                     "--catalogue", f.file("mine.csv"), "--json"});
  CHECK(r.code == 1);
  const json j = json::parse(r.out);
  CHECK(j["bearing"]["rolling_elements"] == 9);
  CHECK(j["place"] == "outer ring");
  CHECK(std::any_of(j["findings"].begin(), j["findings"].end(),
                    [](const json& x) { return x["kind"] == "ambiguous"; }));
}

TEST_CASE("diagnose: an error names the options that its advice speaks of, and no other") {
  const Folder f;
  const auto words = [&](const std::string& text) {
    f.write("a.csv", text);
    return run({"diagnose", f.file("a.csv")}).err;
  };
  // "separated by comma" does not speak of a rate.
  CHECK_FALSE(has(words("first,second\n"), "--"));
  std::string column;
  for (int i = 0; i < 2000; ++i) column += std::to_string(i % 7) + "\n";
  CHECK(has(words(column), "(--rate, --time-column)"));
}

TEST_CASE("diagnose: wrong options: exit 2, one line, nothing on stdout") {
  const Folder f;
  const std::string file = make(f, "a.wav", {});
  for (const std::vector<std::string>& more : {std::vector<std::string>{"--rpm-range", "1500,1400"},
                                               {"--rpm-range", "a,b"},
                                               {"--colour", "pink"},
                                               {"--channel", "nine"},
                                               {"--line-frequency", "0"}}) {
    const Ran r = run(diagnose(file, more));
    INFO(r.err);
    CHECK(r.code == 2);
    CHECK(r.out.empty());
    CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
  }
  CHECK(run(diagnose(file, {}), "/dev/full").code == 2);
}

TEST_CASE("diagnose and validate: constants from a file decide, and a bad file is one line") {
  const Folder f;
  const std::string file = make(f, "outer.wav", {"--defect", "outer:6"});
  CHECK(run(diagnose(file)).code == 1);
  f.write("model.csv", "name,value\njudgement.even_strength,2\n");
  CHECK(run(diagnose(file, {"--model", f.file("model.csv")})).code != 1);
  f.write("bad.csv", "name,value\njudgement.even_strenght,2\n");
  f.write("manifest.csv", "dataset,file,fault\nmade,outer.wav,none\n");
  for (const auto& words : {diagnose(file, {"--model", f.file("bad.csv")}),
                            {"validate", f.file("manifest.csv"), "--model", f.file("bad.csv")}}) {
    const Ran refused = run(words);
    CHECK(refused.code == 2);
    CHECK(has(refused.err, "bad.csv:2"));
    CHECK(has(refused.err, "judgement.even_strength"));
    CHECK(std::count(refused.err.begin(), refused.err.end(), '\n') == 1);
  }
}

TEST_CASE(
    "validate: a manifest of simulated recordings: rates, table, the same for any number of jobs") {
  const Folder f;
  make(f, "outer.csv", {"--defect", "outer:30"});
  make(f, "sound.csv", {"--seed", "9"});
  f.write("bearings.csv",
          "name,rolling_elements,element_diameter,pitch_diameter\nB,9,7.94,39.04\n");
  f.write("manifest.csv",
          "dataset,file,signal,unit,rate_hz,rpm,bearing,fault,split\n"
          "made,outer.csv,\"column 2, column 1 is time\",m/s2,,1480,B,outer ring,tuning\n"
          "made,sound.csv,\"column 2, column 1 is time\",m/s2,,1480,B,none,held out\n"
          "made,run_*.csv,,g,,1480,B,run to failure,tuning\n");
  const Ran one =
      run({"validate", f.file("manifest.csv"), "--out", f.file("1.csv"), "--jobs", "1"});
  INFO(one.err);
  CHECK(one.code == 0);
  CHECK(has(one.err, "run_*.csv: left out"));
  CHECK(has(one.out, "total: 2 recordings, 1 damaged, 1 healthy"));
  CHECK(has(one.out, "Brier score"));
  const Ran two = run({"validate", f.file("manifest.csv"), "--out", f.file("2.csv"), "--jobs", "2",
                       "--against", f.file("1.csv")});
  CHECK(two.code == 0);
  CHECK(has(two.out, "CHANGED: 0 recordings"));
  CHECK(has(f.read("1.csv"), "made,outer.csv,outer ring,outer ring,"));

  // Without times every file is the same to the last byte for any number of jobs.
  for (const std::string jobs : {"1", "2"}) {
    const Ran r =
        run({"validate", f.file("manifest.csv"), "--without-times", "--jobs", jobs, "--out",
             f.file(jobs + ".csv"), "--json", "--report", f.file(jobs + ".html"), "--force"});
    INFO(r.err);
    CHECK(r.code == 0);
    CHECK_FALSE(has(r.out, "Time to read"));
    f.write(jobs + ".json", r.out);
  }
  for (const std::string ending : {".csv", ".json", ".html"})
    CHECK(f.read("1" + ending) == f.read("2" + ending));
  const json document = json::parse(f.read("1.json"));
  CHECK(document["schema"] == "bearingdsp.validation/1");
  CHECK(document["records"].size() == 2);
  CHECK(document["area_under_curve"] == 1.0);
  const std::string page = f.read("1.html");
  CHECK(has(page, "Detection and false alarms"));
  CHECK(has(page, "script-src 'none'"));

  // The ending of --out decides the format, or is refused before any work.
  CHECK(run({"validate", f.file("manifest.csv"), "--without-times", "--out", f.file("3.JSON")})
            .code == 0);
  CHECK(f.read("3.JSON") == f.read("1.json"));
  const Ran unknown = run({"validate", f.file("manifest.csv"), "--out", f.file("3.txt")});
  CHECK(unknown.code == 2);
  CHECK(has(unknown.err, "ends in .csv or .json"));
  CHECK_FALSE(std::filesystem::exists(f.file("3.txt")));

  const Ran held = run({"validate", f.file("manifest.csv"), "--split", "held out"});
  CHECK(held.code == 0);
  CHECK(has(held.out, "total: 1 recordings, 0 damaged, 1 healthy"));
  const Ran no_split = run({"validate", f.file("manifest.csv"), "--split", "x"});
  CHECK(no_split.code == 2);
  CHECK(has(no_split.err, "there are: 'tuning', 'held out'"));
  // A file that cannot be written costs no work and leaves nothing.
  const std::size_t before = f.count();
  const Ran shut = run({"validate", f.file("manifest.csv"), "--out", f.file("3.csv"), "--json",
                        f.file("no such folder/x.json")});
  CHECK(shut.code == 2);
  CHECK(shut.out.empty());
  CHECK(f.count() == before);

  f.write("manifest.csv",
          "dataset,file,signal,unit,rate_hz,rpm,bearing,fault\nmade,none.csv,x,g,,1480,B,none\n");
  const Ran gone = run({"validate", f.file("manifest.csv")});
  CHECK(gone.code == 2);
  CHECK(has(gone.err, "none.csv"));
}

TEST_CASE(
    "diagnose --machine: nothing else has to be typed, and the options win over the file "
    "[src:the simulation's truth]") {
  const Folder f;
  f.write("mill.toml", R"(
[[machine]]
name = "big saw"
description = "Head rig"
power_kw = 30
shaft_height_mm = 200
rated_rpm = 1480
line_frequency_hz = 50
mounting = "rigid"
bearing.DE = { elements = 9, element_diameter_mm = 7.94, pitch_diameter_mm = 39.04 }
point = [{ name = "DE axial", end = "DE", direction = "axial", unit = "m/s2" },
         { name = "DE vertical", end = "DE", direction = "vertical", unit = "m/s2" }]

[[machine]]
name = "fan"
bearing.DE = { designation = "6205" }
)");
  const std::string file = make(f, "outer.wav", {"--defect", "outer:30"});
  const std::string saw = f.file("mill.toml") + "#Big-Saw";
  const Ran text = run({"diagnose", file, "--machine", saw, "--point", "DE vertical"});
  INFO(text.err);
  INFO(text.out);
  CHECK(text.code == 1);
  CHECK(has(text.out, "BEARING FAULT: outer ring"));
  CHECK(has(text.out, "big saw, DE vertical"));
  CHECK(has(text.out, "zone B"));

  const json j =
      json::parse(run({"diagnose", file, "--machine", saw, "--point", "DE axial", "--json"}).out);
  CHECK(j["machine"]["point"] == "DE axial");
  CHECK(j["machine"]["end"] == "DE");
  CHECK(j["machine"]["vibration"]["zone"] == "B");
  CHECK(test::close_rel(j["machine"]["vibration"]["c_d_mm_s_rms"].get<double>(), 4.5, 1e-12));
  CHECK(j["machine"]["other_end"].is_null());

  // Another bearing and speed than the file's: the lines are not where that one would make them.
  const json other = json::parse(run({"diagnose", file, "--machine", saw, "--point", "DE axial",
                                      "--json", "--orders", "3.05,4.95,1.99,0.38"})
                                     .out);
  CHECK(test::close_rel(other["bearing"]["bpfo_orders"].get<double>(), 3.05, 1e-12));

  const auto error = [&](const std::vector<std::string>& more) {
    std::vector<std::string> words{"diagnose", file};
    words.insert(words.end(), more.begin(), more.end());
    const Ran r = run(words);
    CHECK(r.code == 2);
    CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
    return r.err;
  };
  CHECK(has(error({"--machine", saw}), "\"DE axial\", \"DE vertical\""));
  CHECK(has(error({"--machine", f.file("mill.toml")}), "contains 2 machines"));
  CHECK(has(error({"--machine", f.file("mill.toml") + "#big sow"}), "did you mean big saw?"));
  CHECK(has(error({"--machine", f.file("mill.toml") + "#fan"}), "give --end DE"));
  CHECK(has(error({"--machine", saw, "--end", "left"}), "DE (drive end)"));
  CHECK(has(error({"--machine", saw, "--point", "DE axial", "--end", "NDE"}), "other end"));
  CHECK(has(error({"--point", "DE axial"}), "add --machine"));
  // No point in the file: the end is enough where the recording says its unit.
  const Ran bare = run({"diagnose", file, "--machine", f.file("mill.toml") + "#fan", "--end", "de",
                        "--unit", "m/s2", "--rpm", "1480"});
  CHECK(bare.code == 1);
  CHECK(has(bare.out, "no zone: neither power nor shaft"));
}

TEST_CASE("diagnose: a tacho by name or number, a speed noted in the file, and no tacho at all") {
  const Folder f;
  const std::string made =
      f.read(make(f, "outer.csv", {"--defect", "outer:30"}).substr(f.file("").size()));
  // The shaft turns once in 60/1480 s: 1037.8 samples.
  std::string with_tacho = "t [s],x [m/s2],key,n [rpm]\n";
  std::size_t row = 0;
  for (std::size_t at = made.find('\n') + 1; at < made.size(); ++row) {
    const std::size_t end = made.find('\n', at);
    const double turns = static_cast<double>(row) / 25600 * 1480 / 60;
    with_tacho += made.substr(at, end - at) +
                  (turns - static_cast<double>(static_cast<int>(turns)) < 0.05 ? ",5" : ",0") +
                  ",1480\n";
    at = end + 1;
  }
  f.write("tacho.csv", with_tacho);
  const std::vector<std::string> base{"diagnose", f.file("tacho.csv"), "--geometry", geometry};
  const auto with = [&](std::vector<std::string> more) {
    more.insert(more.begin(), base.begin(), base.end());
    return run(more);
  };
  for (const char* tacho : {"key", "2"}) {
    const Ran r = with({"--tacho", tacho});
    CHECK(r.code == 1);
    CHECK(has(r.out, "from the tacho"));
    CHECK(has(r.out, "Hz, x\n"));
  }
  const Ran chosen = with({"--tacho", "3", "--channel", "x"});
  CHECK(chosen.code == 1);
  CHECK(has(chosen.out, "from the tacho"));
  const Ran none = with({"--tacho", "nosuch"});
  CHECK(none.code == 2);
  CHECK(has(none.err, "has no channel 'nosuch'; it has: x, key"));
  f.write("mill.toml",
          "[[machine]]\nname = \"saw\"\nbearing.DE = { designation = \"6205\", elements = 9 }\n"
          "[[machine.point]]\nname = \"DE\"\nend = \"DE\"\ntacho = \"nosuch\"\n");
  const Ran machine = run(
      {"diagnose", f.file("tacho.csv"), "--machine", f.file("mill.toml"), "--point", "DE", "-v"});
  INFO(machine.err);
  INFO(machine.out);
  CHECK(machine.code != 2);
  CHECK(has(machine.out, "the recording has no such channel"));
  f.write("noted.csv", "# rpm = 1480\n" + made);
  const Ran from_file = run({"diagnose", f.file("noted.csv"), "--geometry", geometry});
  CHECK(from_file.code == 1);
  CHECK(has(from_file.err, "speed 1480 rpm, as stated in the file"));
}

TEST_CASE("recordings of both ends of a machine say which bearing it is") {
  const Folder f;
  f.write("mill.toml", R"([[machine]]
name = "saw"
rated_rpm = 1480
bearing.DE = { designation = "6205", elements = 9 }
bearing.NDE = { designation = "6205", elements = 9 }
[[machine.point]]
name = "DE"
end = "DE"
unit = "m/s2"
[[machine.point]]
name = "NDE"
end = "NDE"
unit = "m/s2"
)");
  const std::string faint = make(f, "faint.wav", {"--defect", "outer:10"});
  const std::string loud = make(f, "loud.wav", {"--defect", "outer:40", "--seed", "2"});
  const std::vector<std::string> both{
      "diagnose", faint, loud, "--machine", f.file("mill.toml"), "--point", "DE", "--point", "NDE"};
  const Ran text = run(both);
  INFO(text.err);
  INFO(text.out);
  CHECK(text.code == 1);
  CHECK(has(text.out, "WHICH END: NDE"));
  CHECK(has(text.out, " dB louder"));

  auto words = both;
  words.emplace_back("--json");
  std::istringstream lines{run(words).out};
  std::vector<json> documents;
  for (std::string line; std::getline(lines, line);) documents.push_back(json::parse(line));
  REQUIRE(documents.size() == 3);
  CHECK(documents[0]["machine"]["end"] == "DE");
  CHECK(documents[1]["machine"]["end"] == "NDE");
  CHECK(documents[2]["schema"] == "bearingdsp.ends/1");
  CHECK(documents[2]["end"] == "NDE");

  // One end only: the question is not asked. Points that do not match the files: an error.
  CHECK_FALSE(
      has(run({"diagnose", faint, loud, "--machine", f.file("mill.toml"), "--point", "DE"}).out,
          "WHICH END"));
  const Ran wrong = run({"diagnose", faint, loud, faint, "--machine", f.file("mill.toml"),
                         "--point", "DE", "--point", "NDE"});
  CHECK(wrong.code == 2);
  CHECK(has(wrong.err, "2 points for 3 files"));
}

TEST_CASE("diagnose: a silent channel beside a live one takes nothing away") {
  const Folder f;
  for (const bool damaged : {true, false}) {
    std::vector<std::string> more;
    if (damaged) more = {"--defect", "outer:30"};
    const std::string name = damaged ? "outer.csv" : "sound.csv";
    const std::string made = f.read(make(f, name, more).substr(f.file("").size()));
    std::string both = "t [s],left [m/s2],right [m/s2]\n";
    for (std::size_t at = made.find('\n') + 1; at < made.size();) {
      const std::size_t end = made.find('\n', at);
      both += made.substr(at, end - at) + ",0\n";
      at = end + 1;
    }
    f.write(name, both);
    const Ran alone = run(diagnose(f.file(name), {"--channel", "left"}));
    const Ran beside = run(diagnose(f.file(name), {"-v"}));
    INFO(beside.err);
    CHECK(beside.code == alone.code);
    CHECK(beside.code == (damaged ? 1 : 0));
    CHECK(has(beside.out, "right: all samples are 0"));
  }
}

TEST_CASE("diagnose: a recording that is half clipped is not called sound") {
  const auto r =
      run({"diagnose", TESTDATA_DIR "/hydraulic-power-pack/2026-03-09_NDE_vertical.wav",
           "--bearing", "6206", "--rpm", "2925", "--unit", "m/s2", "--full-scale", "1.5"});
  CHECK(r.code == 3);
  CHECK(has(r.out, "because"));
  CHECK(has(r.out, "larger range"));
}

TEST_CASE("diagnose --together: one answer from several recordings of a point") {
  const Folder f;
  const std::string a = make(f, "a.wav", {"--defect", "outer:30", "--seed", "1"});
  const std::string b = make(f, "b.wav", {"--defect", "outer:30", "--seed", "2"});
  const std::string c = make(f, "c.wav", {"--seed", "3"});
  const Ran text = run(diagnose(a, {b, c, "--together"}));
  INFO(text.err);
  CHECK(text.code == 1);
  CHECK(has(text.out, "3 recordings together"));
  CHECK(has(text.out, "Each recording by itself"));
  const json j = json::parse(run(diagnose(a, {b, c, "--together", "--json"})).out);
  CHECK(j["place"] == "outer ring");
  REQUIRE(j["recordings"].size() == 3);
  CHECK(j["recordings"][2]["verdict"] == "no fault found");
  const Ran one = run(diagnose(a, {"--together"}));
  CHECK(one.code == 2);
  CHECK(has(one.err, "give two or more recordings of one point"));
  const Ran lost = run(diagnose(a, {f.file("none.wav"), "--together"}));
  CHECK(lost.code == 2);
  CHECK(lost.out.empty());
}
