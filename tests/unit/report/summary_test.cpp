#include "bearingdsp/report/summary.hpp"

#include <doctest/doctest.h>

#include <nlohmann/json.hpp>
#include <string>

#include "bearingdsp/report/text.hpp"
#include "support/made_reading.hpp"

using namespace bearingdsp;
using nlohmann::json;

namespace {

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t n = 0;
  for (auto at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++n;
  return n;
}

MachineDue due(const std::string& machine, Urgency urgency) {
  MachineDue m;
  m.machine = machine;
  m.urgency = urgency;
  m.latest = test::day(0);
  m.readings = 3;
  if (urgency == Urgency::none) return m;
  m.deadline = "within two weeks";
  m.on = test::day(14);
  m.points = {"DE"};
  m.conditions = {"Outer ring of the bearing damaged."};
  m.changed = {"DE: early, was none"};
  m.actions = {"Order the bearing and plan its change."};
  m.orders = {"6205 (DE)"};
  return m;
}

PlantSummary mill() {
  return {
      "Mill",
      {due("saw", Urgency::plan), due("fan", Urgency::measure_again), due("pump", Urgency::none)}};
}

}  // namespace

TEST_CASE("summary: text names urgency, day, change and need, and leaves the cost to the reader") {
  const std::string text = to_text(summary_report(mill()), {});
  CHECK(has(text, "1 OF 3 MACHINES NEEDS ATTENTION, 1 TO MEASURE AGAIN"));
  CHECK(has(text, "1. saw: plan, by 2026-03-16"));
  CHECK(has(text, "DE: early, was none"));
  CHECK(has(text, "Order: 6205 (DE)."));
  CHECK(has(text, "yours to judge"));
  CHECK(has(text, "2. fan: measure again"));
  CHECK(has(text, "pump"));
  CHECK(has(text, "lock it out"));
  CHECK(has(to_text(summary_report({"Mill", {}}), {}), "NO POINTS YET"));
}

TEST_CASE("summary: JSON has a machine an object, its cost of waiting null") {
  const json j = json::parse(summary_json(mill()));
  CHECK(j["schema"] == "bearingdsp.summary/1");
  CHECK(j["plant"] == "Mill");
  REQUIRE(j["machines"].size() == 3);
  const json& saw = j["machines"][0];
  CHECK(saw["due_date"] == "2026-03-16");
  CHECK(saw["actions"][0] == "Order the bearing and plan its change.");
  CHECK(saw["bearings_to_order"][0] == "6205 (DE)");
  CHECK(saw["cost_of_waiting"].is_null());
  CHECK(j["machines"][2]["due_date"].is_null());
}

TEST_CASE("summary: the page has a blank for the cost, names those without room, escapes names") {
  PlantSummary many{"<Mill>", {}};
  for (int i = 0; i < 40; ++i) {
    many.machines.push_back(due("saw <" + std::to_string(i) + ">", Urgency::plan));
    for (int k = 0; k < (i == 0 ? 30 : i); ++k)
      many.machines.back().actions.push_back("One more thing to do now.");
  }
  const std::string page = summary_html(many);
  const std::size_t shown = count(page, "<tr class=\"plan\">");
  CHECK(shown > 4);
  CHECK(shown < 20);
  CHECK(count(page, "<td></td></tr>") == shown);
  CHECK(has(page, "No room on this page for " + std::to_string(40 - shown) + " more: saw"));
  CHECK(has(page, "saw &lt;0&gt;"));
  CHECK_FALSE(has(page, "saw <"));
  CHECK(has(page, "Content-Security-Policy"));
  CHECK(has(page, " ..."));
}
