#include "bearingdsp/report/machine.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/machine/limits.hpp"
#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/text.hpp"
#include "support/made_diagnosis.hpp"

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

TEST_CASE("machine report: bearings by number, one in several makes, one that nobody knows") {
  Machine m = saw();
  m.drive_end = MachineBearing{};
  m.drive_end->designation = "6205";
  m.non_drive_end = MachineBearing{};
  m.non_drive_end->designation = "no such number";
  const Report r = machine_report(m);
  const auto at = std::find_if(r.sections.begin(), r.sections.end(),
                               [](const ReportSection& s) { return s.id == "bearings"; });
  REQUIRE(at != r.sections.end());
  REQUIRE(at->table);
  const auto variants = bearing_variants(*m.drive_end).value();
  REQUIRE(at->table->rows.size() == variants.size() + 1);
  for (std::size_t i = 0; i < variants.size(); ++i) {
    CHECK(at->table->rows[i][1] == "6205");
    CHECK(at->table->rows[i][2] == std::to_string(variants[i].orders.rolling_elements));
  }
  CHECK(at->table->rows.back() ==
        std::vector<std::string>{"NDE", "no such number", "", "", "", "", ""});
  REQUIRE_FALSE(at->notes.empty());
  CHECK(at->notes.back().starts_with("NDE: "));
}

TEST_CASE(
    "machine report: points, field speed and both kinds of limits [src:closed form, 120 f/p]") {
  Machine m = saw();
  m.rated_speed = Rpm{1440};
  m.line_frequency = Hz{50};
  m.shaft_height = Millimetres{132};
  m.frame = "132M";
  m.mounting = Mounting::rigid;
  m.points.push_back({});
  m.points.back().name = "DE horizontal";
  m.points.back().unit = "g";
  m.points.back().sensitivity_mv_per_g = 100;
  const std::string text = to_text(machine_report(m));
  CAPTURE(text);
  for (const char* word : {"1500 rpm (4 poles on 50 Hz)", "132 mm, frame 132M", "DE horizontal",
                           "100", "In service", "At no load"})
    CHECK(text.find(word) != std::string::npos);
  // ISO 20816-3 does not count motors up to 15 kW; what is used instead is said.
  const auto zones = zone_limits(m);
  REQUIRE(zones);
  CHECK(text.find(zones->edition.substr(0, 9)) != std::string::npos);
  CHECK(text.find("Add a [[machine.point]]") == std::string::npos);
  m.points.clear();
  CHECK(to_text(machine_report(m)).find("[[machine.point]]") != std::string::npos);
}

namespace {

std::string details_of(const Diagnosis& d) {
  TextOptions options;
  options.details = true;
  return to_text(diagnosis_report(d), options);
}

Diagnosis diagnosed_at(const OtherEnd& other) {
  Diagnosis d = test::made_diagnosis();
  d.machine = DiagnosedMachine{};
  d.machine->machine = "saw";
  d.machine->where = "m.toml:3";
  d.machine->point = "DE horizontal";
  d.machine->bearing = "6205";
  d.machine->vibration = judge_velocity({group_limits(2, Mounting::rigid).value(), ""},
                                        {VelocityRms{0.0035}, SampleUnit::acceleration, d.rate});
  d.machine->other_end = other;
  return d;
}

}  // namespace

TEST_CASE("a diagnosis at a machine says its zone and what is seen of the other end") {
  OtherEnd other;
  other.bearing = "6203";
  other.tells_apart = true;
  other.verdict = Verdict::fault;
  other.place = Place::inner_ring;
  other.probability_of_damage = 0.93;
  const Diagnosis damaged = diagnosed_at(other);
  const std::string text = details_of(damaged);
  CAPTURE(text);
  // ISO 20816-3 group 2, rigid: B up to 2.8, C up to 4.5 mm/s.
  for (const char* word :
       {"3.5 mm/s rms (10-1000 Hz), zone C", "B up to 2.8, C up to 4.5", "at the DE bearing 6205",
        "6203, seen from here: damaged, inner ring (93 %)", "From m.toml:3."})
    CHECK(text.find(word) != std::string::npos);
  const auto j = nlohmann::json::parse(diagnosis_json(damaged))["machine"];
  CHECK(j["other_end"]["verdict"] == "fault");
  CHECK(j["other_end"]["probability_of_damage"] == 0.93);

  other.tells_apart = false;
  const Diagnosis same = diagnosed_at(other);
  CHECK(details_of(same).find("the same defect frequencies") != std::string::npos);
  const auto unknown = nlohmann::json::parse(diagnosis_json(same))["machine"]["other_end"];
  CHECK(unknown["tells_apart"] == false);
  for (const char* key : {"verdict", "place", "probability_of_damage"})
    CHECK(unknown.at(key).is_null());

  other.tells_apart = true;
  other.verdict = Verdict::no_fault;
  Diagnosis sound = diagnosed_at(other);
  sound.machine->bearing.clear();
  sound.machine->vibration = judge_velocity({std::nullopt, "the power is not known"}, {});
  const std::string less = details_of(sound);
  CAPTURE(less);
  CHECK(less.find("6203, seen from here: no fault") != std::string::npos);
  CHECK(less.find("at the DE bearing, not known") != std::string::npos);
  CHECK(less.find("no velocity: ") != std::string::npos);
  CHECK(less.find("Limits") == std::string::npos);
}
