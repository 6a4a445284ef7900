#include "bearingdsp/history/due.hpp"

#include <doctest/doctest.h>

#include <fstream>
#include <set>
#include <string>

#include "paths.hpp"
#include "support/made_reading.hpp"

using namespace bearingdsp;

namespace {

Standing point(const char* machine, const char* at, Urgency urgency, const char* deadline) {
  Standing s;
  s.at = {machine, at};
  s.readings = 2;
  s.latest = test::day(0) + std::chrono::hours{9};
  s.assessment.urgency = urgency;
  s.assessment.deadline = deadline;
  s.assessment.headline = std::string{"State of "} + at + ".";
  if (urgency != Urgency::none) s.assessment.actions = {"Do it.", std::string{"Look at "} + at};
  return s;
}

/// The last cell of each row of the table of urgencies.
std::set<std::string> deadlines_of_the_page() {
  std::ifstream page{TESTS_SOURCE_DIR "/../docs/urgency.md"};
  REQUIRE(page);
  std::set<std::string> found;
  for (std::string line; std::getline(page, line);) {
    if (line.rfind("| ", 0) != 0 || line[2] < '1' || line[2] > '9') continue;
    const auto last = line.rfind('|');
    const auto before = line.rfind('|', last - 1);
    const std::string cell = line.substr(before + 2, last - before - 2);
    const auto end = cell.find_last_not_of(' ');
    if (end != std::string::npos) found.insert(cell.substr(0, end + 1));
  }
  return found;
}

}  // namespace

TEST_CASE("due: every deadline of the table of urgencies has its days [docs/urgency.md]") {
  const auto words = deadlines_of_the_page();
  CHECK(words.size() == 6);
  for (const std::string& w : words) {
    CAPTURE(w);
    CHECK(days_allowed(w).has_value());
  }
  CHECK(days_allowed("now") == 0);
  CHECK(days_allowed("today") == 0);
  CHECK(days_allowed("within a week") == 7);
  CHECK(days_allowed("within two weeks") == 14);
  CHECK(days_allowed("within four weeks") == 28);
  CHECK(days_allowed("before the next survey", 10) == 10);
  CHECK_FALSE(days_allowed("soon").has_value());
}

TEST_CASE("due: points of a machine are one task, due on its earliest day [src:calendar]") {
  std::vector<Standing> all{point("saw", "DE", Urgency::plan, "within four weeks"),
                            point("fan", "DE", Urgency::check, "within a week"),
                            point("saw", "NDE", Urgency::check, "within a week"),
                            point("saw", "DE axial", Urgency::none, "")};
  all[0].verdict = Verdict::fault;
  all[0].order = "6205 (DE)";
  all[0].changed = "early, was none";
  all[3].latest = test::day(2);
  const auto due = machines_due(all);
  REQUIRE(due.size() == 2);
  const MachineDue& saw = due.front();
  CHECK(saw.machine == "saw");
  CHECK(saw.urgency == Urgency::plan);
  CHECK(saw.deadline == "within four weeks");
  // 2026-03-02 and seven days.
  CHECK(format_date(saw.on.value()) == "2026-03-09");
  CHECK(format_date(saw.latest) == "2026-03-04");
  CHECK(saw.readings == 6);
  CHECK(saw.points == std::vector<std::string>{"DE", "NDE"});
  CHECK(saw.conditions.size() == 2);
  CHECK(saw.actions == std::vector<std::string>{"Do it.", "Look at DE", "Look at NDE"});
  CHECK(saw.orders == std::vector<std::string>{"6205 (DE)"});
  CHECK(saw.changed == std::vector<std::string>{"DE: early, was none"});
  CHECK_FALSE(saw.acknowledged);
  CHECK(machines_due({}).empty());
}

TEST_CASE("due: a machine that is OK asks for nothing, a bearing without a number for its number") {
  const auto fine = machines_due({point("saw", "DE", Urgency::none, "")});
  CHECK_FALSE(fine.front().on.has_value());
  CHECK(fine.front().points.empty());
  Standing s = point("saw", "DE", Urgency::plan, "within two weeks");
  CHECK(order_words(s).empty());
  s.verdict = Verdict::fault;
  CHECK(order_words(s) == "read the number on the bearing; the machine file has none");
  s.assessment.urgency = Urgency::check;
  CHECK(order_words(s).empty());
}
