#include <doctest/doctest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "cli/run.hpp"
#include "paths.hpp"

using nlohmann::json;
using test::Folder;
using test::has;
using test::run;
using test::run_on_terminal;

namespace {

const std::vector<std::string> planer{TESTDATA_DIR "/planer-feed/2026-05-11_DE_horizontal.wav",
                                      "--bearing",
                                      "6205",
                                      "--rpm",
                                      "1432",
                                      "--unit",
                                      "m/s2",
                                      "--full-scale",
                                      "128"};

json with_recording(std::vector<std::string> words) {
  words.insert(words.begin(), "triage");
  words.emplace_back("--recording");
  words.insert(words.end(), planer.begin(), planer.end());
  words.emplace_back("--json");
  const auto r = run(words);
  REQUIRE_MESSAGE(r.code == 1, r.err);
  return json::parse(r.out);
}

double probability(const json& document, const std::string& fault) {
  for (const json& f : document.at("faults"))
    if (f.at("fault") == fault) return f.at("probability").get<double>();
  return -1;
}

}  // namespace

TEST_CASE("triage: without a terminal and options it lists the questions") {
  const auto r = run({"triage"});
  CHECK(r.code == 0);
  CHECK(has(r.out, "What do you hear? (--heard)"));
  CHECK(has(r.out, "touch nothing that rotates"));
  CHECK(json::parse(run({"triage", "--json"}).out).at("questions").size() == 10);
  // As a page to take along.
  const Folder f;
  CHECK(run({"triage", "--report", f.file("questions.html")}).code == 0);
  CHECK(has(f.read("questions.html"), "What do you hear?"));
}

TEST_CASE("triage: options give ranked faults, and the exit code is that of the urgency") {
  const auto r =
      run({"triage", "--heard", "growl", "--power-off", "fades", "--grease-shot", "comes back"});
  CHECK(r.code == 1);
  CHECK(has(r.out, "LIKELY: RACEWAY OR ROLLING ELEMENT DAMAGE"));
  CHECK(has(r.out, "What to do: check, within a week"));
  CHECK(has(r.out, "CAUTION"));
  CHECK(run({"triage", "--fact", "sounds like its twin"}).code == 3);  // record
  const auto smoke = run({"triage", "--seen", "smoke", "-q"});
  CHECK(smoke.code == 1);
  CHECK(has(smoke.out, "Stop the motor now: smoke."));
}

TEST_CASE("triage: numbers become answers, and the hotter end is where the sensor goes") {
  const auto j = json::parse(run({"triage", "--temperature-de", "48", "--temperature-nde", "104",
                                  "--current", "20,20.5,19.8", "--json"})
                                 .out);
  std::vector<std::string> answers;
  for (const json& a : j.at("answers")) answers.push_back(a.at("answer"));
  CHECK(answers ==
        std::vector<std::string>{"bearing too hot", "one bearing much hotter", "currents equal"});
  CHECK(j.at("assessment").at("deadline") == "today");
  CHECK(has(j.at("faults")[0].at("sensor_places")[0], "NDE"));
}

TEST_CASE("triage: one list from hearing and spectrum [testdata: outer ring, developed]") {
  const json heard = json::parse(run({"triage", "--heard", "whine", "--json"}).out);
  const json both = with_recording({"--heard", "whine"});
  const json alone = with_recording({});
  const std::string damage = "raceway or rolling element damage";
  CHECK(probability(both, damage) > probability(heard, damage));
  CHECK(both.at("faults")[0].at("fault") == damage);
  CHECK(both.at("urgency") == "plan");  // as diagnose says of it
  // Hearing counts still: whine is evidence against damage.
  CHECK(probability(both, damage) < probability(alone, damage));
}

TEST_CASE("triage: the report has the drawing, and the machine file its facts") {
  const Folder f;
  f.write("m.toml", "[[machine]]\nname = \"saw\"\nrated_rpm = 1480\ndrive = \"VFD\"\n");
  const auto r = run({"triage", "--heard", "hum", "--machine", f.file("m.toml") + "#saw",
                      "--report", f.file("t.html")});
  CHECK_MESSAGE(r.code != 2, r.err);
  CHECK(has(f.read("t.html"), "Motor with the places for a sensor"));
  CHECK(has(r.out, "variable-frequency drive"));
}

TEST_CASE("triage: on a terminal it asks step by step, with the caution before the step") {
  const Folder f;
  // heard, power-off, load, grease, felt, smelt, seen, known, four temperatures, currents
  const auto r = run_on_terminal(
      {"triage"}, "growk\ngrowl, click\nfades\n\nback\n\n\n\n\n62\n\n\n\n\n", f.file("out"));
  CHECK_MESSAGE(r.code == 1, r.err);
  CHECK(has(r.err, "did you mean growl?"));
  CHECK_FALSE(has(r.err, "\\x"));  // nothing escaped: every line ends as a line
  CHECK(r.err.find("touch nothing that rotates") < r.err.find("when the load rises"));
  CHECK(has(f.read("out"), "LIKELY: RACEWAY OR ROLLING ELEMENT DAMAGE"));
  const auto ended = run_on_terminal({"triage"}, "\x04", f.file("out2"));
  CHECK(ended.code == 2);
}

TEST_CASE("triage: wrong input ends with 2 and one line") {
  const Folder f;
  for (const std::vector<std::string>& words :
       {std::vector<std::string>{"triage", "--heard", "growk"},
        {"triage", "--power-off", "moonshine"},
        {"triage", "--current", "1,2"},
        {"triage", "--current", "1,2,x"},
        {"triage", "--temperature-de", "9999"},
        {"triage", "--heard", "growl", "--recording", "/nonexistent.wav"},
        {"triage", "--heard", "growl", "--end", "XE"}}) {
    const auto r = run(words);
    CHECK(r.code == 2);
    CHECK(r.out.empty());
    CHECK(r.err.rfind("bearingdsp: ", 0) == 0);
    CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
  }
  CHECK(f.count() == 0);
}
