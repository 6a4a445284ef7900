#include "bearingdsp/report/machine.hpp"

#include <doctest/doctest.h>

#include <nlohmann/json.hpp>
#include <string>

#include "bearingdsp/report/text.hpp"

using namespace bearingdsp;

namespace {

constexpr const char* file =
    "[[machine]]\nname = \"saw\"\npower_kw = 7.5\nrated_rpm = 1500\nline_frequency_hz = 60\n"
    "bearing.DE = { desgination = \"6205\" }\n";

Machine saw() {
  Machine m;
  m.name = "saw";
  m.power = Kilowatts{7.5};
  m.rated_speed = Rpm{1500};
  // d/D = 1/4, 8 elements: BPFO 3, BPFI 5, 2 x BSF 3.75, FTF 0.375 (closed form), at 25 Hz
  m.drive_end = MachineBearing{};
  m.drive_end->geometry = BearingGeometry{8, 10, 40, Degrees{0}};
  return m;
}

}  // namespace

TEST_CASE(
    "machine report: defect frequencies at rated speed, and what is missing [src:closed form]") {
  const std::string text = to_text(machine_report(saw()));
  CAPTURE(text);
  for (const char* word : {"7.5 kW", "1500 rpm", "75.00", "125.0", "93.75", "9.375"})
    CHECK(text.find(word) != std::string::npos);
  CHECK(text.find("The NDE bearing is not known") != std::string::npos);
  CHECK(text.find("line_frequency_hz") != std::string::npos);
}

TEST_CASE("machine report: without a speed the table is in orders") {
  Machine m = saw();
  m.rated_speed.reset();
  const std::string text = to_text(machine_report(m));
  CAPTURE(text);
  CHECK(text.find("orders") != std::string::npos);
  CHECK(text.find("3.750") != std::string::npos);
  CHECK(text.find("rated_rpm") != std::string::npos);
}

TEST_CASE("machine check as JSON: machines that are right, and every error") {
  MachineCheck check = check_machine_text(file, "m.toml");
  check.machines.push_back(saw());
  const auto json = nlohmann::json::parse(machine_check_json(check));
  REQUIRE_FALSE(json["errors"].empty());
  CHECK(json["errors"][0]["where"].get<std::string>().starts_with("m.toml:"));
  const auto& last = json["machines"].back();
  CHECK(last["name"] == "saw");
  CHECK(last["bearings"][0]["orders"][0]["bpfo"].get<double>() == 3.0);
  CHECK(last["line_frequency_hz"].is_null());
}
