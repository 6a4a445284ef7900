#include <doctest/doctest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "cli/run.hpp"

using nlohmann::json;
using test::has;
using test::run;

TEST_CASE("bearing: a whole number says size, clearance, shields and defect orders") {
  const auto r = run({"bearing", "6205-2Z C3"});
  CHECK(r.code == 0);
  CHECK(r.err.empty());
  for (const char* words :
       {"25 x 52 x 15 mm", "13 to 28 µm", "metal shields on both sides", "3.579", "ISO 5753-1"})
    CHECK(has(r.out, words));
  const auto j = json::parse(run({"bearing", "6205-2Z C3", "--rpm", "1480", "--json"}).out);
  CHECK(j.at("schema") == "bearingdsp.bearing/1");
  const auto& one = j.at("readings").at(0);
  CHECK(one.at("clearance_high_um") == 28);
  CHECK(one.at("width_mm") == 15);
  CHECK(one.at("variants").at(0).at("bpfo_hz").get<double>() > 80);
}

TEST_CASE("bearing: an unreadable character gives the candidates") {
  const auto r = run({"bearing", "62?5-2Z C3"});
  CHECK(r.code == 0);
  CHECK(has(r.out, "6205-2Z/C3"));
  CHECK(has(r.out, "6215-2Z/C3"));
  CHECK_FALSE(has(r.out, "6225"));
}

TEST_CASE("bearing: measured sizes give numbers, in mm and in inches") {
  const auto r = run({"bearing", "--bore", "25.1", "--outside", "51.9", "--width", "15"});
  CHECK(r.code == 0);
  CHECK(has(r.out, "It has the size of a 6205"));
  CHECK(has(r.out, "NU205"));
  const auto inch =
      run({"bearing", "--inch", "--bore", "0.5", "--outside", "1.125", "--width", "0.25"});
  CHECK(inch.code == 0);
  CHECK(has(inch.out, "1/2 x 1 1/8 x 1/4 in"));
  const auto j = json::parse(run({"bearing", "--bore", "25", "--outside", "52", "--json"}).out);
  CHECK(j.at("fitting").at(0).at("designations").at(0) == "6205");
}

TEST_CASE("bearing: a manufacturer's own suffix is said to be that") {
  CHECK(has(run({"bearing", "6205-2Z/C3 WX"}).out, "WX is not standard"));
}

TEST_CASE("bearing: wrong input ends with 2 and one line") {
  for (const std::vector<std::string>& words : {std::vector<std::string>{"bearing"},
                                                {"bearing", "motor"},
                                                {"bearing", "?????"},
                                                {"bearing", "6205", "--bore", "25"},
                                                {"bearing", "--bore", "25"},
                                                {"bearing", "--bore", "52", "--outside", "25"}}) {
    const auto r = run(words);
    CHECK(r.code == 2);
    CHECK(r.out.empty());
    CHECK(r.err.rfind("bearingdsp: ", 0) == 0);
    CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
  }
}
