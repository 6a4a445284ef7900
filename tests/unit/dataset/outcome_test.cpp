#include "bearingdsp/dataset/outcome.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "support/close.hpp"

using namespace bearingdsp;

namespace {

Outcome made(const std::string& dataset, const std::string& file, const std::string& label,
             const std::string& named, double probability) {
  Outcome o;
  o.dataset = dataset;
  o.file = file;
  o.label = label;
  o.named = named;
  o.probability_damage = probability;
  o.speed_method = "given";
  return o;
}

const std::vector<Outcome>& eight() {
  static const std::vector<Outcome> outcomes{
      made("a", "1", "outer ring", "outer ring", 0.9),
      made("a", "2", "inner ring", "outer ring", 0.8),
      made("a", "3", "rolling element", "place unclear", 0.7),
      made("a", "4", "outer ring", "cannot tell", 0.5),
      made("b", "1", "outer ring", "none", 0.2),
      made("b", "2", "none", "none", 0.1),
      made("b", "3", "none", "inner ring", 0.6),
      made("b", "4", "none", "failed", std::numeric_limits<double>::quiet_NaN())};
  return outcomes;
}

}  // namespace

TEST_CASE("grade: every pair of label and answer has one grade") {
  const auto g = [](const std::string& label, const std::string& named) {
    return grade(made("d", "f", label, named, 0.5));
  };
  CHECK(g("outer ring", "outer ring") == Grade::right);
  CHECK(g("outer ring", "inner ring") == Grade::wrong_place);
  CHECK(g("outer ring", "several") == Grade::wrong_place);
  CHECK(g("outer ring", "place unclear") == Grade::unclear_place);
  CHECK(g("outer ring", "cannot tell") == Grade::cannot_tell);
  CHECK(g("outer ring", "none") == Grade::missed);
  CHECK(g("none", "none") == Grade::right);
  CHECK(g("none", "cannot tell") == Grade::cannot_tell);
  for (const std::string place : {"outer ring", "cage", "several", "place unclear"})
    CHECK(g("none", place) == Grade::false_alarm);
  CHECK(g("none", "failed") == Grade::failed);
}

TEST_CASE("summary: counts, denominators and Brier score by hand [src:arithmetic]") {
  const auto summaries = summarise(eight());
  REQUIRE(summaries.size() == 3);
  CHECK(summaries[0].dataset == "a");
  CHECK(summaries[1].dataset == "b");
  const Summary& all = summaries[2];
  CHECK(all.dataset == "total");
  CHECK(all.records == 8);
  CHECK(all.damaged == 5);
  CHECK(all.sound == 3);
  CHECK(all.count(Grade::right) == 2);
  CHECK(all.count(Grade::wrong_place) == 1);
  CHECK(all.count(Grade::unclear_place) == 1);
  CHECK(all.count(Grade::cannot_tell) == 1);
  CHECK(all.count(Grade::missed) == 1);
  CHECK(all.count(Grade::false_alarm) == 1);
  CHECK(all.count(Grade::failed) == 1);
  CHECK(all.out_of(Grade::false_alarm) == 3);
  CHECK(all.out_of(Grade::missed) == 5);
  CHECK(all.out_of(Grade::right) == 8);
  // (0.1^2 + 0.2^2 + 0.3^2 + 0.5^2 + 0.8^2 + 0.1^2 + 0.6^2) / 7 = 1.40 / 7
  CHECK(test::close_rel(all.brier, 0.2, 1e-12));
}

TEST_CASE("results: written and read back bit by bit, NaN as an empty cell") {
  std::vector<Outcome> outcomes = eight();
  outcomes[0].probability_damage = 0.1 + 0.2;
  outcomes[0].reason = "a reason, with a \"quote\"";
  outcomes[0].other_causes = "unbalance 0.62; looseness 0.10";
  outcomes[0].seconds = 0.125;
  const std::string csv = results_csv(outcomes);
  CHECK(csv.find("dataset,file,label,named,probability_damage,probability_place,other_causes,"
                 "speed_rpm,speed_method,seconds,reason,place_set\n") == 0);
  const auto back = parse_results(csv, "r.csv");
  REQUIRE(back);
  REQUIRE(back->size() == outcomes.size());
  CHECK(back->at(0).probability_damage == 0.1 + 0.2);
  CHECK(back->at(0).reason == outcomes[0].reason);
  CHECK(back->at(0).seconds == 0.125);
  CHECK(std::isnan(back->at(7).probability_damage));
  CHECK(results_csv(*back) == csv);
}

TEST_CASE("results: another table, a short row and a word for a number are refused") {
  CHECK(parse_results("", "r").error().code == Errc::corrupt_file);
  CHECK(parse_results("a,b\n1,2\n", "r").error().what == "not a table of results");
  const std::string csv = results_csv({eight()[0]});
  CHECK(parse_results(csv + "x,y\n", "r").error().where == "r, recording 2");
  const auto at = csv.find(",0.9,");
  REQUIRE(at != std::string::npos);
  std::string word{csv, 0, at};
  word += ",high,";
  word += csv.substr(at + 5);
  CHECK(parse_results(word, "r").error().what ==
        "'high' in column 'probability_damage' is not a number");
}

TEST_CASE("compare: only what changed, with better and worse by grade") {
  std::vector<Outcome> after = eight();
  after[0].named = "place unclear";  // worse
  after[4].named = "outer ring";     // better
  after[1].named = "cage";           // another wrong place: neither
  after[7].file = std::string{"5"};  // 4 is gone, 5 is new
  const auto changes = compare(eight(), after);
  REQUIRE(changes.size() == 5);
  CHECK(changes[0].worse);
  CHECK_FALSE(changes[0].better);
  CHECK_FALSE(changes[1].worse);
  CHECK_FALSE(changes[1].better);
  CHECK(changes[2].better);
  CHECK(changes[2].before == "none");
  CHECK(changes[3].before.empty());
  CHECK(changes[3].file == "5");
  CHECK(changes[4].after.empty());
  CHECK(compare(eight(), eight()).empty());
}
