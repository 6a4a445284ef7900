#include "bearingdsp/report/validation.hpp"

#include <doctest/doctest.h>

#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <string>
#include <vector>

#include "bearingdsp/report/html.hpp"
#include "support/close.hpp"

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

const ReportSection& section(const Report& report, const std::string& id) {
  for (const ReportSection& s : report.sections)
    if (s.id == id) return s;
  throw std::runtime_error{"no section " + id};
}

std::vector<Outcome> mixed() {
  std::vector<Outcome> outcomes{made("a", "outer ring", "outer ring", 0.95),
                                made("b", "outer ring", "cannot tell", 0.5),
                                made("c", "inner ring", "place unclear", 0.8),
                                made("d", "none", "none", 0.1), made("e", "none", "cage", 0.7)};
  outcomes.push_back(made("f", "none", "failed", std::nan("")));
  outcomes.back().seconds = std::nan("");
  return outcomes;
}

}  // namespace

TEST_CASE(
    "validation: counts with their denominators and Wilson intervals [src:wilson1927, 0 of 20 "
    "ends at z2/(20 + z2) = 16.1 %, from memory]") {
  std::vector<Outcome> outcomes;
  for (int i = 0; i < 20; ++i)
    outcomes.push_back(made(fmt::format("r{}", i), "none", "none", 0.05));
  outcomes.push_back(made("x", "outer ring", "inner ring", 0.95));
  const Report r = validation_report(outcomes);
  REQUIRE(r.sections.size() == 6);  // the dataset, the total, then what is of all recordings
  CHECK(r.sections[0].title == "made: 21 recordings, 1 damaged, 20 healthy");
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
  CHECK(section(validation_report(outcomes), "reliability").table->rows.at(0).back() == "off");
}

TEST_CASE("comparison: the title counts better and worse") {
  std::vector<Outcome> before{made("1", "none", "none", 0.1), made("2", "none", "cage", 0.9)};
  std::vector<Outcome> after{made("1", "none", "cage", 0.9), made("2", "none", "none", 0.1)};
  const Report r = comparison_report(compare(before, after));
  CHECK(r.title == "CHANGED: 2 recordings, 1 better, 1 worse");
  CHECK(r.sections.at(0).table->rows.at(0) ==
        std::vector<std::string>{"1", "none", "none", "cage", "10 > 90", "worse"});
  CHECK(comparison_report({}).sections.empty());
}

TEST_CASE(
    "validation: the confusion table counts every recording once, in the order of the words") {
  const Report r = validation_report(mixed());
  const ReportTable& t = *section(r, "confusion").table;
  std::vector<std::string> titles;
  for (const ReportColumn& c : t.columns)
    titles.push_back(c.title + (c.unit.empty() ? "" : " " + c.unit));
  CHECK(titles == std::vector<std::string>{"Label", "none", "outer ring", "cage", "place unclear",
                                           "cannot tell", "failed", "records"});
  REQUIRE(t.rows.size() == 3);
  CHECK(t.rows[0] == std::vector<std::string>{"none", "1", "0", "1", "0", "0", "1", "3"});
  CHECK(t.rows[1] == std::vector<std::string>{"outer ring", "0", "1", "0", "0", "1", "0", "2"});
  CHECK(t.rows[2] == std::vector<std::string>{"inner ring", "0", "0", "0", "1", "0", "0", "1"});
}

TEST_CASE(
    "validation: detection and false alarms at a threshold, with intervals [src:wilson1927, from "
    "memory]") {
  const Report r = validation_report(mixed());
  const ReportTable& t = *section(r, "detection").table;
  bool seen = false;
  for (const auto& row : t.rows) {
    if (row[0] != "60") continue;
    seen = true;
    // 2 of 3: 20.8 to 93.9 %; 1 of 2: 9.5 to 90.5 % [wilson1927, closed form]
    CHECK(row[1] == "2/3  66.7 (20.8 - 93.9)");
    CHECK(row[2] == "1/2  50.0 (9.5 - 90.5)");
  }
  CHECK(seen);
}

TEST_CASE("validation: plots are of rates, from none called to all called, and are drawn") {
  const Report r = validation_report(mixed());
  REQUIRE(r.plots.size() == 2);
  const ReportPlot& p = r.plots[0];
  CHECK(p.kind == PlotKind::rates);
  CHECK(p.x.front() == 0);
  CHECK(p.y.front() == 0);
  CHECK(p.x.back() == 100);
  CHECK(p.y.back() == 100);
  REQUIRE(p.low.size() == p.x.size());
  const std::string page = to_html(r);
  CHECK(page.find("<svg") != std::string::npos);
  CHECK(page.find("random guess") != std::string::npos);
  CHECK(page.find("ideal") != std::string::npos);
  CHECK(page.find("bars: 95 % interval") != std::string::npos);
  // Static pictures need no script.
  CHECK(page.find("<script") == std::string::npos);
  CHECK(page.find("script-src 'none'") != std::string::npos);
  CHECK(page.find("nan") == std::string::npos);
}

TEST_CASE("validation: one kind of record alone has no curve and says so without plots") {
  std::vector<Outcome> sound{made("a", "none", "none", 0.1)};
  const Report r = validation_report(sound);
  CHECK(r.plots.empty());
  CHECK(section(r, "detection").table->rows.front()[1] == "-");
}

TEST_CASE("validation: JSON holds every recording, the curve and null for what is not known") {
  const auto json = nlohmann::json::parse(validation_json(mixed()));
  CHECK(json["schema"] == "bearingdsp.validation/1");
  CHECK(json["records"].size() == 6);
  CHECK(json["records"][5]["time_s"].is_null());
  CHECK(json["records"][5]["probability_of_damage"].is_null());
  CHECK(json["records"][4]["grade"] == "false_alarms");
  CHECK(json["confusion"]["count"][0][0] == 1);
  CHECK(json["detection"].front()["threshold"].is_null());
  CHECK(json["detection"].back()["called_sound"] == 2);
  CHECK(json["datasets"].back()["dataset"] == "total");
  CHECK(json["datasets"].back()["cannot_tell"]["count"] == 1);
  // Damaged 0.95, 0.5, 0.8 against sound 0.1, 0.7: 5 of 6 pairs [closed form]
  CHECK(test::close_rel(json["area_under_curve"].get<double>(), 5.0 / 6.0, 1e-12));
}

TEST_CASE("validation: times that were left out are in no table") {
  std::vector<Outcome> outcomes{made("a", "none", "none", 0.1)};
  outcomes[0].seconds = std::nan("");
  for (const ReportSection& s : validation_report(outcomes).sections) CHECK(s.id != "time");
  CHECK(results_csv(outcomes).find(",,") != std::string::npos);
  CHECK(parse_results(results_csv(outcomes), "t").has_value());
}
