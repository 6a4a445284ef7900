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

TEST_CASE("cause: alone it asks what was seen") {
  const auto r = run({"cause"});
  CHECK(r.code == 0);
  CHECK(has(r.out, "current leakage erosion"));
  CHECK(has(r.out, "belt drive"));
  const auto modes = json::parse(run({"cause", "--json"}).out).at("modes");
  CHECK(std::count_if(modes.begin(), modes.end(),
                      [](const json& m) { return m.at("kind") == "mode"; }) == 14);
}

TEST_CASE("cause: what was seen is ranked with what to change") {
  const auto r = run({"cause", "--seen", "fluting", "--fact", "variable-frequency drive"});
  CHECK(r.code == 0);
  CHECK(has(r.out, "Most likely cause: current through the bearing"));
  CHECK(has(r.out, "insulating bearing"));
  const auto j = json::parse(run({"cause", "--seen", "rust", "red powder", "--json"}).out);
  CHECK(j.at("schema") == "bearingdsp.cause/1");
  CHECK(j.at("seen").size() == 2);
}

TEST_CASE("cause: a diagnosis counts too") {
  const Folder folder;
  const auto diagnosis =
      run({"diagnose", TESTDATA_DIR "/planer-feed/2026-05-11_DE_horizontal.wav", "--bearing",
           "6205", "--rpm", "1432", "--unit", "m/s2", "--full-scale", "128", "--json"});
  REQUIRE(diagnosis.code == 1);
  folder.write("report.json", diagnosis.out);
  const auto r =
      run({"cause", "--seen", "spalling", "--diagnosis", folder.file("report.json"), "--json"});
  CHECK(r.code == 0);
  CHECK(has(r.out, "outer ring"));
}

TEST_CASE("cause: wrong input ends with 2 and one line") {
  const Folder folder;
  folder.write("other.json", "{}");
  for (const std::vector<std::string>& words :
       {std::vector<std::string>{"cause", "--seen", "fluteing"},
        {"cause", "--fact", "moonshine"},
        {"cause", "--diagnosis", "/nonexistent.json"},
        {"cause", "--diagnosis", folder.file("other.json")}}) {
    const auto r = run(words);
    CHECK(r.code == 2);
    CHECK(r.out.empty());
    CHECK(r.err.rfind("bearingdsp: ", 0) == 0);
    CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
  }
}

TEST_CASE("cause: --show writes the page of drawings, and is refused as any output") {
  const Folder folder;
  const auto r = run({"cause", "--show", folder.file("page.html")});
  CHECK_MESSAGE(r.code == 0, r.err);
  CHECK(r.out.empty());
  CHECK(has(folder.read("page.html"), "current leakage erosion"));
  CHECK(run({"cause", "--show", folder.file("page.html")}).code == 2);  // it is there
  const auto seen = run({"cause", "--seen", "rust", "--show", folder.file("seen.html")});
  CHECK(seen.code == 0);
  CHECK(has(seen.out, "water gets in"));
  CHECK(has(folder.read("seen.html"), "Seen: moisture corrosion"));
  CHECK(run({"cause", "--show", folder.file("page.txt")}).code == 2);
  const auto brown = run({"cause", "--seen", "brown powder"});
  CHECK(brown.code == 2);
  CHECK(has(brown.err, "fretting corrosion"));
}
