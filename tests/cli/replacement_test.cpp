#include <doctest/doctest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "cli/run.hpp"
#include "support/close.hpp"

using nlohmann::json;
using test::Folder;
using test::has;
using test::run;

TEST_CASE("replacement: the plan says fit, heat and source") {
  const auto r = run({"replacement", "6205-2Z C3", "--rpm", "1432", "--vfd"});
  CHECK(r.code == 0);
  CHECK(r.err.empty());
  for (const char* words : {"25.002 to 25.011", "110 °C", "variable-frequency drive",
                            "manufacturer's catalogue C", "common practice, no source"})
    CHECK(has(r.out, words));
}

TEST_CASE(
    "replacement: JSON carries the numbers [src:manufacturer's catalogue A section 5.7 example "
    "1]") {
  const auto j =
      json::parse(run({"replacement", "6208", "--rpm", "900", "--radial", "2500", "--json"}).out);
  CHECK(j.at("schema") == "bearingdsp.replacement/1");
  CHECK(test::close_abs(j.at("life_h").get<double>(), 29206, 1));
  CHECK(j.at("fit").at("code") == "k5");
  CHECK(test::close_rel(j.at("regreasing_g").get<double>(), 7.2, 1e-12));
  for (const auto& a : j.at("advice")) CHECK_FALSE(a.at("source").get<std::string>().empty());
}

TEST_CASE("replacement: a job card is written once, as text or as a page") {
  const Folder folder;
  const std::string card = folder.file("card.md");
  const auto first = run({"replacement", "6205", "--shaft-height", "90", "--job-card", card});
  CHECK(first.code == 0);
  CHECK(has(folder.read("card.md"), "- [ ] Try to start the machine: it must not start."));
  CHECK(has(folder.read("card.md"), "1.6 mm/s"));
  CHECK(run({"replacement", "6205", "--job-card", card}).code == 2);
  CHECK(run({"replacement", "6205", "--job-card", card, "--force"}).code == 0);
  CHECK(run({"replacement", "6205", "--job-card", folder.file("card.html")}).code == 0);
  CHECK(has(folder.read("card.html"), "<!doctype html>"));
  const auto printed = run({"replacement", "6205", "--job-card", "-"});
  CHECK(printed.out.rfind("# Job card", 0) == 0);
}

TEST_CASE("replacement: wrong input ends with 2 and one line") {
  for (const std::vector<std::string>& words :
       {std::vector<std::string>{"replacement"},
        {"replacement", "motor"},
        {"replacement", "62?5"},
        {"replacement", "6205", "--shaft", "30"},
        {"replacement", "6205", "--rpm", "-3"},
        {"replacement", "6205", "--load", "huge"},
        {"replacement", "6205", "--job-card", "/nonexistent/card.md"}}) {
    const auto r = run(words);
    CHECK(r.code == 2);
    CHECK(r.out.empty());
    CHECK(r.err.rfind("bearingdsp: ", 0) == 0);
    CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
  }
}
