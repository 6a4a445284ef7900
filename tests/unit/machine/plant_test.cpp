#include "bearingdsp/machine/plant.hpp"

#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <span>
#include <string>
#include <vector>

#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/core/unit.hpp"
#include "support/close.hpp"
#include "support/scratch.hpp"

using namespace bearingdsp;

namespace {

constexpr const char* text =
    "name = \"mill\"\nmains_hz = 50\nstore = \"db/history.db\"\nreports = \"/tmp/reports\"\n"
    "default_sensor = \"magnet\"\n"
    "[[sensor]]\nname = \"stud\"\nsensitivity_mv_per_g = 100\nfull_scale = 1.25\n"
    "[[sensor]]\nname = \"Magnet\"\nunit = \"g\"\nfull_scale = 10\nchannel = \"2\"\n";

std::string error_of(const std::string& plant) {
  const auto p = parse_plant(plant, "plant.toml");
  REQUIRE_FALSE(p.has_value());
  CHECK_FALSE(p.error().advice.empty());
  return p.error().message();
}
bool has(const std::string& all, const std::string& part) {
  return all.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("a plant file: paths beside it, sensors, the usual one [src:contract]") {
  const auto p = parse_plant(text, "../plant.toml");
  REQUIRE_MESSAGE(p.has_value(), p.error().message());
  CHECK(p->folder == "../");
  CHECK(p->store == "../db/history.db");
  CHECK(p->machines == "../machines.toml");
  CHECK(p->recordings == "../recordings");
  CHECK(p->reports == "/tmp/reports");
  CHECK(p->mains.value().value() == 50);
  REQUIRE(p->usual_sensor() != nullptr);
  CHECK(p->usual_sensor()->name == "Magnet");
  const auto first =
      parse_plant("[[sensor]]\nname = \"a\"\n[[sensor]]\nname = \"b\"\n", "plant.toml");
  REQUIRE(first.has_value());
  CHECK(first->usual_sensor()->name == "a");
  CHECK(parse_plant("", "plant.toml")->usual_sensor() == nullptr);
}

TEST_CASE("a plant file that is wrong is refused with line and key [src:contract]") {
  CHECK(has(error_of("mains = 50\n"), "plant.toml:1: 'mains' is not a key of a plant"));
  CHECK(has(error_of("mains_hz = 5\n"), "mains_hz: 5 is not between 10 and 500"));
  CHECK(has(error_of("default_sensor = \"x\"\n"), "'x' is not a sensor of the plant"));
  CHECK(has(error_of("[[sensor]]\nunit = \"g\"\n"), "a sensor has no name"));
  CHECK(has(error_of("[[sensor]]\nname = \"a\"\nunit = \"gg\"\n"), "'gg' is not known"));
  CHECK(has(error_of("[[sensor]]\nname = \"a\"\nfull_scale = 3\n"), "full_scale: has no unit"));
  CHECK(has(error_of("[[sensor]]\nname = \"a\"\n[[sensor]]\nname = \"A\"\n"), "is defined twice"));
}

TEST_CASE("points without a calibration of their own get that of their sensor [src:contract]") {
  const auto plant = parse_plant(text, "plant.toml");
  REQUIRE(plant.has_value());
  const auto machines = parse_machines(
      "[[machine]]\nname = \"fan\"\nrated_rpm = 1480\n"
      "[[machine.point]]\nend = \"DE\"\n"
      "[[machine.point]]\nend = \"NDE\"\nsensor = \"stud\"\n"
      "[[machine.point]]\nname = \"own\"\nend = \"DE\"\nunit = \"m/s2\"\n"
      "[[machine]]\nname = \"saw\"\nline_frequency_hz = 60\n",
      "machines.toml");
  REQUIRE(machines.has_value());
  const Machine fan = with_plant(machines->front(), *plant);
  CHECK(fan.line_frequency.value().value() == 50);
  CHECK(with_plant(machines->back(), *plant).line_frequency.value().value() == 60);
  CHECK(fan.points[0].unit == "g");
  CHECK(fan.points[0].full_scale == 10);
  CHECK(fan.points[0].channels == std::vector<std::string>{"2"});
  CHECK(fan.points[0].assumed);
  CHECK(fan.points[1].sensitivity_mv_per_g == 100);
  CHECK(fan.points[1].full_scale == 1.25);
  CHECK(fan.points[2].unit == "m/s2");
  CHECK_FALSE(fan.points[2].full_scale.has_value());
  CHECK_FALSE(fan.points[2].assumed);
}

TEST_CASE("an assumed unit gives way to that of the file [src:1 g = 9.80665 m/s2]") {
  const auto read = [](const std::string& head, const ReadOptions& options) {
    std::string csv = head + "\n";
    for (int i = 0; i < 100; ++i) csv += i % 2 == 0 ? "1\n" : "-1\n";
    return read_capture_bytes(std::as_bytes(std::span{csv}), "a.csv", options);
  };
  ReadOptions usual{.rate = Hz{25600}, .units = {"g"}, .full_scale = 10};
  usual.assumed = true;
  const auto without = read("x", usual);
  REQUIRE(without.has_value());
  CHECK(test::close_rel(without->channels[0].samples[0], 9.80665, 1e-14));
  const auto stated = read("x [m/s2]", usual);
  REQUIRE(stated.has_value());
  CHECK(stated->channels[0].samples[0] == 1);
  for (const Finding& f : stated->findings) CHECK(f.kind != FindingKind::unit_disagrees);
  // Not assumed: the contradiction is a finding, as before.
  usual.assumed = false;
  const auto given = read("x [m/s2]", usual);
  REQUIRE(given.has_value());
  CHECK(given->findings.front().kind == FindingKind::unit_disagrees);
  // Volts of the file with the sensitivity of the sensor.
  ReadOptions stud{.rate = Hz{25600}, .sensitivity_mv_per_g = {100}};
  stud.assumed = true;
  const auto volts = read("x [V]", stud);
  REQUIRE(volts.has_value());
  CHECK(test::close_rel(volts->channels[0].samples[0], 98.0665, 1e-14));
  const auto metres = read("x [m/s2]", stud);
  REQUIRE_MESSAGE(metres.has_value(), metres.error().message());
  CHECK(metres->channels[0].samples[0] == 1);
}

TEST_CASE("the plant is found in a folder or above it [src:contract]") {
  const test::Scratch scratch;
  const std::filesystem::path top{scratch.path("mill")};
  std::filesystem::create_directories(top / "recordings" / "fan");
  CHECK(find_plant((top / "recordings").string()).empty());
  std::ofstream{top / "plant.toml"} << "name = \"mill\"\n";
  CHECK(find_plant(top.string()) == "plant.toml");
  CHECK(find_plant((top / "recordings" / "fan").string()) == "../../plant.toml");
}

TEST_CASE("the route of a plant without a route file is every point [src:contract]") {
  const test::Scratch scratch;
  const std::string folder = scratch.path("mill/");
  std::filesystem::create_directories(folder);
  std::ofstream{folder + "plant.toml"} << "[[sensor]]\nname = \"a\"\nunit = \"g\"\n";
  const auto plant = read_plant(folder + "plant.toml");
  REQUIRE(plant.has_value());
  CHECK(plant_machines(*plant)->empty());
  const auto none = plant_route(*plant);
  REQUIRE_FALSE(none.has_value());
  CHECK(has(none.error().message(), "machine add"));
  std::ofstream{folder + "machines.toml"}
      << "[[machine]]\nname = \"fan\"\n[[machine.point]]\nend = \"DE\"\n[[machine.point]]\nend = "
         "\"NDE\"\n";
  const auto route = plant_route(*plant);
  REQUIRE(route.has_value());
  CHECK(route->points.size() == 2);
  CHECK(route->sensors.size() == 1);
  CHECK(route->point_of(route->points[1]).assumed);
}
