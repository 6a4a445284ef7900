#include <doctest/doctest.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <string>
#include <utility>
#include <vector>

#include "cli/run.hpp"
#include "paths.hpp"

using nlohmann::json;
using test::Folder;
using test::has;
using test::run;

namespace {

struct Written {
  std::string text, basic;
};

/// The designations of tests/reference/designations.csv; no field is quoted.
std::vector<Written> written() {
  std::ifstream file{TESTDATA_DIR "/../tests/reference/designations.csv"};
  REQUIRE(file);
  std::vector<Written> rows;
  bool header = true;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line.front() == '#' || std::exchange(header, false)) continue;
    const auto first = line.find(',');
    const auto second = line.find(',', first + 1);
    rows.push_back({line.substr(0, first), line.substr(first + 1, second - first - 1)});
  }
  return rows;
}

}  // namespace

TEST_CASE("designations: 'bearing' and 'frequencies' refuse none of those people write") {
  for (const Written& w : written()) {
    CAPTURE(w.text);
    const auto read = run({"bearing", w.text, "--json"});
    REQUIRE(read.code == 0);
    const json readings = json::parse(read.out).at("readings");
    REQUIRE(readings.size() == 1);
    CHECK(readings[0].at("basic") == w.basic);
    const auto orders = run({"frequencies", "--bearing", w.text, "--json"});
    REQUIRE(orders.code == 0);
    CHECK(json::parse(orders.out).at("variants").size() == readings[0].at("variants").size());
  }
}

TEST_CASE("designations: a machine file takes all of them") {
  const Folder f;
  std::string text;
  int number = 0;
  for (const Written& w : written())
    text += "[[machine]]\nname = \"m" + std::to_string(++number) +
            "\"\n[machine.bearing.DE]\ndesignation = \"" + w.text + "\"\n";
  f.write("all.toml", text);
  const auto r = run({"machine", "check", f.file("all.toml")});
  INFO(r.err);
  CHECK(r.code == 0);
}

TEST_CASE("designations: 'diagnose' takes one of each kind") {
  const Folder f;
  const auto recording = f.simulated("a.wav", {"--duration", "2"});
  for (const char* name : {"6311-2Z/C3WT", "6309DDUC3E", "somemaker 6319 C3", "NU319", "7309 BEGAP",
                           "22218-K", "30208", "2210", "3206", "51108", "UC205", "6203/16", "R8"}) {
    CAPTURE(name);
    const auto r = run({"diagnose", recording, "--bearing", name, "--rpm", "1480"});
    INFO(r.err);
    CHECK(r.code != 2);
  }
}

TEST_CASE("designations: the count and the sizes join the number") {
  const auto eight = run({"frequencies", "--bearing", "6319 C3", "--elements", "8", "--json"});
  REQUIRE(eight.code == 0);
  CHECK(json::parse(eight.out).at("variants").size() == 1);
  CHECK(run({"frequencies", "--bearing", "6205", "--sizes", "25,52,15"}).code == 0);
  const auto wrong = run({"frequencies", "--bearing", "6205", "--sizes", "24,52,15"});
  CHECK(wrong.code == 2);
  CHECK(has(wrong.err, "6205 is 25 x 52 mm"));
  CHECK_FALSE(has(run({"frequencies", "--bearing", "6319 C9x"}).err, "6309"));
}

TEST_CASE("designations: type and bore in words do for every command and the machine file") {
  const Folder f;
  const auto orders = run({"frequencies", "--bearing", "deep groove, bore 25", "--json"});
  REQUIRE(orders.code == 0);
  const json variants = json::parse(orders.out).at("variants");
  CHECK(variants.size() >= 3);  // 6005, 6205 and 6305 hold 10, 9 and 7 or 8 balls
  const auto recording =
      f.simulated("a.wav", {"--duration", "4", "--defect", "outer:20", "--rpm", "1480"});
  const auto known = run({"diagnose", recording, "--bearing", "6205", "--rpm", "1480", "--json"});
  const auto described =
      run({"diagnose", recording, "--bearing", "deep groove, bore 25", "--rpm", "1480", "--json"});
  CHECK(json::parse(known.out).at("place") == "outer ring");
  CHECK(json::parse(described.out).at("place") == "outer ring");
  f.write("m.toml",
          "[[machine]]\nname = \"fan\"\nrated_rpm = 1480\n[machine.bearing.DE]\n"
          "designation = \"cylindrical roller, bore 80\"\n[[machine.point]]\nname = \"DE\"\n"
          "end = \"DE\"\n");
  CHECK(run({"machine", "check", f.file("m.toml")}).code == 0);
  const auto wrong = run({"frequencies", "--bearing", "square, bore 25"});
  CHECK(wrong.code == 2);
  CHECK(has(wrong.err, "give one of: deep groove ball"));
}
