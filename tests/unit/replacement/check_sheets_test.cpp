#include "bearingdsp/replacement/check_sheets.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "support/close.hpp"

#include "bearingdsp/replacement/machine_duty.hpp"

using namespace bearingdsp;
using test::close_abs;

namespace {

bool has(const std::string& text, std::string_view part) {
  return text.find(part) != std::string::npos;
}

std::vector<CheckSheet> every_sheet(const Dangers& dangers = {}) {
  SheetOptions all{dangers, true, true, true};
  return check_sheets({}, all);
}

const CheckSheet& sheet(const std::vector<CheckSheet>& sheets, WorkshopCheck check) {
  return *std::find_if(sheets.begin(), sheets.end(),
                       [&](const CheckSheet& s) { return s.check == check; });
}

}  // namespace

TEST_CASE("every check has a sheet with a time, a step and a blank") {
  const auto sheets = every_sheet();
  CHECK(sheets.size() == workshop_check_count);
  for (const CheckSheet& s : sheets) {
    CAPTURE(s.title);
    CHECK_FALSE(s.when.empty());
    CHECK_FALSE(s.steps.empty());
    CHECK_FALSE(s.readings.empty());
  }
}

TEST_CASE("every limit on a sheet has its source and how far it is confirmed") {
  for (const CheckSheet& s : every_sheet())
    for (const JobReading& r : s.readings) {
      if (r.limit.empty()) continue;
      CAPTURE(s.title);
      REQUIRE_FALSE(s.sources.empty());
      for (const std::string& source : s.sources)
        CHECK((has(source, "confirmed") || has(source, "derived") || has(source, "from memory") ||
               has(source, "common practice")));
    }
}

TEST_CASE("a limit that depends on what is not known is given for each case") {
  const auto open = every_sheet();
  CHECK(has(sheet(open, WorkshopCheck::insulation_resistance).readings.front().limit,
            "1000-2500: 500 to 1000 V"));
  CHECK(has(sheet(open, WorkshopCheck::coupling_alignment).readings.front().limit,
            "1500 rpm: at most 0.076"));
  WorkshopFacts known;
  known.rated_v = 400;
  known.service_rpm = 2960;
  const auto sheets = check_sheets(known, {});
  CHECK(sheet(sheets, WorkshopCheck::insulation_resistance).readings.front().limit == "500 V");
  CHECK(sheet(sheets, WorkshopCheck::coupling_alignment).readings.front().limit ==
        "at most 0.039 at 2960 rpm");
}

TEST_CASE("belt, coupling and insulated bearing have sheets where there are some") {
  const auto machines = parse_machines(
      "[[machine]]\nname = \"saw\"\ndrives = \"saw, V-belt\"\nrotor = \"permanent magnet\"\n"
      "bearing.DE = { designation = \"6208 C3\", insulated = true }\n",
      "mill.toml");
  REQUIRE(machines.has_value());
  const SheetOptions o = sheet_options(machines->front(), MachineEnd::drive_end);
  CHECK(o.belt);
  CHECK_FALSE(o.coupling);
  CHECK(o.insulated);
  CHECK(o.dangers.magnet_rotor);
}

TEST_CASE(
    "rotor play of a 6208 C3 on k5 [src:iso5753-1 C3 15-33 um, iso286 k5 +2 to +13, bore 0 to -12: "
    "interference 2 to 25 um, 33 - 0.7 x 2 = 31.6, 15 - 0.9 x 25 = -7.5]") {
  const WorkshopFacts f = with_rotor_play({}, "6208-2Z C3");
  CHECK(close_abs(f.play_high_mm.value(), 0.0316, 1e-9));
  CHECK(close_abs(f.play_low_mm.value(), -0.0075, 1e-9));
  CHECK(f.bore_mm == 40);
  CHECK_FALSE(with_rotor_play({}, "no such").play_high_mm.has_value());
}
