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
  for (const char* words :
       {"25.002 to 25.011", "it is pressed on", "110 °C", "variable-frequency drive", "catalogue C",
        "common practice, no source"})
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
  CHECK(has(folder.read("card.md"), "1.3 mm/s"));
  CHECK(run({"replacement", "6205", "--job-card", card}).code == 2);
  CHECK(run({"replacement", "6205", "--job-card", card, "--force"}).code == 0);
  CHECK(run({"replacement", "6205", "--job-card", folder.file("card.html")}).code == 0);
  CHECK(has(folder.read("card.html"), "<!doctype html>"));
  const auto printed = run({"replacement", "6205", "--job-card", "-"});
  CHECK(printed.out.rfind("# Job card", 0) == 0);
}

TEST_CASE("replacement: heat, load, belt, oil and greases are judged from the options") {
  const auto hot = run({"replacement", "6309-2RS TN9", "--temperature", "200"});
  CHECK(has(hot.out, "Not suitable as specified"));
  CHECK(has(hot.out, "NO: 200 °C is too hot for the cage"));
  const auto rollers = run({"replacement", "NU316", "--rpm", "2980"});
  CHECK(has(rollers.out, "Suitable when 1 point is clarified."));
  CHECK(has(rollers.out, "A roller bearing needs at least 6000 N"));
  const auto belt = run({"replacement", "6310",      "--rpm",    "1470",        "--power",
                         "22",          "--pulley",  "200",      "--belt-type", "toothed",
                         "--oil",       "110,12",    "--grease", "lithium",     "--old-grease",
                         "polyurea",    "--housing", "110.01",   "--coldest",   "-10"});
  CHECK(belt.code == 0);
  for (const char* words :
       {"a toothed belt pulls with about 1600 to 2900 N", "kappa", "incompatible", "within H6"})
    CHECK(has(belt.out, words));
  const auto j = json::parse(run({"replacement", "6310", "--rpm", "1470", "--power", "22",
                                  "--pulley", "200", "--oil", "110,12", "--json"})
                                 .out);
  CHECK(test::close_rel(j.at("belt_pull_high_n").get<double>(), 2.5 * 1429, 1e-3));
  CHECK(j.at("kappa_low") == j.at("kappa_high"));
}

TEST_CASE("replacement: what cannot be judged is in the headline") {
  const auto tapered = run({"replacement", "22218-K"});
  CHECK(has(tapered.out, "Suitable when 2 points are clarified. Not judged: Speed"));
  CHECK_FALSE(has(tapered.out, "Suitable.\n"));
  CHECK(has(run({"replacement", "30208", "--rpm", "1480"}).out,
            "Not judged: there is no table here"));
}

TEST_CASE("replacement: wrong input ends with 2 and one line") {
  for (const std::vector<std::string>& words :
       {std::vector<std::string>{"replacement"},
        {"replacement", "motor"},
        {"replacement", "62?5"},
        {"replacement", "6205", "--shaft", "30"},
        {"replacement", "6205", "--rpm", "-3"},
        {"replacement", "6205", "--load", "huge"},
        {"replacement", "6205", "--pulley", "0"},
        {"replacement", "6205", "--housing", "70"},
        {"replacement", "6205", "--belt-type", "rope"},
        {"replacement", "6205", "--oil", "100,120"},
        {"replacement", "6205", "--oil", "thick"},
        {"replacement", "6205", "--grease", "butter"},
        {"replacement", "6205", "--coldest", "200"},
        {"replacement", "6205", "--job-card", "/nonexistent/card.md"}}) {
    const auto r = run(words);
    CHECK(r.code == 2);
    CHECK(r.out.empty());
    CHECK(r.err.rfind("bearingdsp: ", 0) == 0);
    CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
  }
}
