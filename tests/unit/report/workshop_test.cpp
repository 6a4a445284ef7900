#include "bearingdsp/report/workshop.hpp"

#include <doctest/doctest.h>

#include <nlohmann/json.hpp>
#include <string>

#include "bearingdsp/report/text.hpp"

using namespace bearingdsp;
using nlohmann::json;

namespace {

bool has(const std::string& text, std::string_view part) {
  return text.find(part) != std::string::npos;
}

std::vector<JudgedCheck> wet_winding() {
  WorkshopReadings r;
  r.insulation_mohm = 12;
  r.winding_c = 20;
  r.soft_foot_mm = 0.02;
  return judge_readings(r, {}).value();
}

}  // namespace

TEST_CASE("the report of readings: what is wrong first, each limit with source and status") {
  const Report r = checks_report(wet_winding(), "saw <1>");
  CHECK(r.title == "NOT GOOD");
  const std::string text = to_text(r, {});
  for (const char* words : {"Insulation resistance", "at least 5 M", "confirmed", "from memory",
                            "Before work on the machine"})
    CHECK(has(text, words));
  CHECK(checks_report({}, "").title == "GOOD");
}

TEST_CASE("sheets: text escaped, nothing loaded, cautions before steps, blanks and sources") {
  SheetOptions o;
  o.belt = true;
  const auto sheets = check_sheets({}, o);
  const std::string html = check_sheets_html(sheets, "saw <script>\x1b");
  CHECK(has(html, "saw &lt;script&gt;"));
  for (const char* words : {"<script", "http:", "https:", "\x1b"}) CHECK_FALSE(has(html, words));
  for (const char* words : {"class=\"caution\"", "Soft foot", "at most 0.05\u00a0mm", "from memory",
                            "Licensed electricians only"})
    CHECK(has(html, words));
  const std::string markdown = check_sheets_markdown(sheets, "saw");
  CHECK(has(markdown, "> **CAUTION:** "));
  CHECK(has(markdown, "- [ ] "));
  CHECK(has(markdown, "____"));
}

TEST_CASE("JSON of checks, greasing and spares: schema, numbers, null for what is not known") {
  const json checks = json::parse(checks_json(check_sheets({}, {}), wet_winding(), ""));
  CHECK(checks["schema"] == "bearingdsp.checks/1");
  CHECK(checks["readings"][0]["outcome"] == "bad");
  CHECK(checks["readings"][0]["limit_status"] == "confirmed");
  CHECK(checks["source"].is_null());
  CHECK_FALSE(checks["sheets"][0]["steps"][0]["cautions"].empty());
  MotorDuty m;
  m.speed = Rpm{1480};
  const auto plan = plan_replacement(read_designation("6312").value().front(), m).value();
  const json grease = json::parse(grease_json(grease_job(plan, {1.2, 8760}), "6312"));
  CHECK(grease["strokes"] == 17);
  CHECK(grease["for_life"] == false);
  const json open = json::parse(grease_json(grease_job(plan, {}), "6312"));
  CHECK(open["strokes"].is_null());
  const auto machines = parse_machines(
      "[[machine]]\nname = \"saw\"\nbearing.DE = { designation = \"6205-2Z C3\" }\n", "mill.toml");
  const json spares = json::parse(spares_json(spare_list(machines.value()), "mill.toml"));
  CHECK(spares["spares"][0]["keep"] == 1);
  const auto due = grease_plan(machines.value(), {}, UtcTime{}, {});
  const json fleet = json::parse(grease_plan_json(due, "mill.toml"));
  CHECK(fleet["bearings"][0]["for_life"] == true);
  CHECK(fleet["bearings"][0]["next_date"].is_null());
  CHECK(has(to_text(grease_plan_report(due, "mill.toml"), {}), "for life"));
  CHECK(has(to_text(grease_report(grease_job(plan, {1.2, 8760}), "6312"), {}), "17 strokes"));
  CHECK(has(to_text(spares_report(spare_list(machines.value()), ""), {}), "6205"));
}
