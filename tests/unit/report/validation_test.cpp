#include "bearingdsp/report/validation.hpp"

#include <doctest/doctest.h>

#include <fmt/format.h>

#include <string>
#include <vector>

using namespace bearingdsp;

namespace {

Outcome made(const std::string& file, const std::string& label, const std::string& named,
             double probability) {
  Outcome o;
  o.dataset = std::string{"made"};
  o.file = file;
  o.label = label;
  o.named = named;
  o.probability_damage = probability;
  return o;
}

}  // namespace

TEST_CASE(
    "validation: counts with their denominators and Wilson intervals [src:wilson1927, 0 of 20 "
    "ends at z2/(20 + z2) = 16.1 %]") {
  std::vector<Outcome> outcomes;
  for (int i = 0; i < 20; ++i)
    outcomes.push_back(made(fmt::format("r{}", i), "none", "none", 0.05));
  outcomes.push_back(made("x", "outer ring", "inner ring", 0.95));
  const Report r = validation_report(outcomes);
  REQUIRE(r.sections.size() == 3);  // the dataset, the total, the reliability
  CHECK(r.sections[0].title == "made: 21 records, 1 damaged, 20 sound");
  bool seen = false;
  for (const auto& row : r.sections[0].table->rows)
    if (row[0] == "false alarms") {
      seen = true;
      CHECK(row == std::vector<std::string>{"false alarms", "0", "20", "0.0", "0.0 - 16.1"});
    }
  CHECK(seen);
  const auto& bins = r.sections[2].table->rows;
  REQUIRE(bins.size() == 2);
  CHECK(bins[0] == std::vector<std::string>{"0 - 10", "20", "5.0", "0.0", "0.0 - 16.1", ""});
}

TEST_CASE("validation: a bin whose said probability lies outside the interval is marked") {
  std::vector<Outcome> outcomes;
  for (int i = 0; i < 20; ++i)
    outcomes.push_back(made(fmt::format("r{}", i), "none", "none", 0.75));
  CHECK(validation_report(outcomes).sections.back().table->rows.at(0).back() == "off");
}

TEST_CASE("comparison: the title counts better and worse") {
  std::vector<Outcome> before{made("1", "none", "none", 0.1), made("2", "none", "cage", 0.9)};
  std::vector<Outcome> after{made("1", "none", "cage", 0.9), made("2", "none", "none", 0.1)};
  const Report r = comparison_report(compare(before, after));
  CHECK(r.title == "CHANGED: 2 records, 1 better, 1 worse");
  CHECK(r.sections.at(0).table->rows.at(0) ==
        std::vector<std::string>{"1", "none", "none", "cage", "10 > 90", "worse"});
  CHECK(comparison_report({}).sections.empty());
}
