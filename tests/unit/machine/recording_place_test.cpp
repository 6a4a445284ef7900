#include "bearingdsp/machine/recording_place.hpp"

#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "support/scratch.hpp"

using namespace bearingdsp;

namespace {

std::vector<Machine> machines() {
  const auto all = parse_machines(
      "[[machine]]\nname = \"fan\"\n[[machine.point]]\nend = \"DE\"\ndirection = \"horizontal\"\n"
      "[[machine]]\nname = \"dust-extraction-fan\"\n"
      "[[machine.point]]\nend = \"DE\"\ndirection = \"horizontal\"\n"
      "[[machine.point]]\nend = \"NDE\"\ndirection = \"horizontal\"\n"
      "[[machine.point]]\nname = \"bearing 2\"\nend = \"NDE\"\ndirection = \"axial\"\n"
      "[[machine]]\nname = \"pump 1-1\"\n[[machine.point]]\nend = \"DE\"\n"
      "[[machine]]\nname = \"pump 11\"\n[[machine.point]]\nend = \"DE\"\n",
      "machines.toml");
  REQUIRE_MESSAGE(all.has_value(), all.error().message());
  return *all;
}

/// "machine/point", "machine/?" or "" for none.
std::string found(const std::string& path) {
  const auto all = machines();
  const auto place = find_names(all, path);
  if (!place) return "";
  const Machine& m = all[place->machine];
  return m.name + "/" + (place->point ? m.points[*place->point].name : "?");
}

}  // namespace

TEST_CASE("machine and point by the names in a path [src:contract]") {
  CHECK(found("fan.wav") == "fan/DE horizontal");
  CHECK(found("FAN_2026-03-02.wav") == "fan/DE horizontal");
  CHECK(found("fan/2026-03-02_DE_horizontal.wav") == "fan/DE horizontal");
  // The longest name, though "fan" is a part of it.
  CHECK(found("dust_extraction_fan/2026-03-02_NDE_horizontal.wav") ==
        "dust-extraction-fan/NDE horizontal");
  CHECK(found("dust-extraction-fan_bearing2.wav") == "dust-extraction-fan/bearing 2");
  CHECK(found("dust-extraction-fan_axial_NDE.wav") == "dust-extraction-fan/bearing 2");
  CHECK(found("dust-extraction-fan.wav") == "dust-extraction-fan/?");
  // Within a word it is none.
  CHECK(found("infant.wav").empty());
  CHECK(found("saw.wav").empty());
  // A sign between two digits counts.
  CHECK(found("pump_1_1.wav") == "pump 1-1/DE");
  CHECK(found("pump11.wav") == "pump 11/DE");
  // Two machines: whose it is is not clear.
  CHECK(found("fan/pump11.wav").empty());
}

TEST_CASE("date and time anywhere in a path [src:contract]") {
  CHECK(date_in("fan_2026-03-02.wav").date == "2026-03-02");
  CHECK(date_in("fan_20260302_0745.wav").time == "07:45");
  CHECK(date_in("fan_20260302_0745.wav").date == "2026-03-02");
  CHECK(date_in("fan.wav").date.empty());
  CHECK(date_in("fan_20269902.wav").date.empty());
}

TEST_CASE("the file beside a recording [src:contract]") {
  const auto notes = parse_sidecar(
      "machine = \"fan\"\npoint = \"DE\"\nspeed_rpm = 1475\nload_percent = 80\ndate = "
      "\"2026-03-02\"\ntime = \"07-45\"\nsensor = \"stud\"\nnote = \"noise\"\n",
      "a.wav.toml");
  REQUIRE_MESSAGE(notes.has_value(), notes.error().message());
  CHECK(notes->speed.value().value() == 1475);
  CHECK(notes->taken.time == "07:45");
  CHECK(notes->sensor == "stud");
  const auto refused = [](const std::string& text) {
    const auto n = parse_sidecar(text, "a.wav.toml");
    REQUIRE_FALSE(n.has_value());
    return n.error().message();
  };
  CHECK(refused("machin = \"fan\"\n").find("'machin' is not a key") != std::string::npos);
  CHECK(refused("point = \"DE\"\n").find("without its machine") != std::string::npos);
  CHECK(refused("speed_rpm = \"fast\"\n").find("a.wav.toml:1") != std::string::npos);
}

TEST_CASE("what a recorder writes beside a recording is read back [src:contract]") {
  RecordingNotes n;
  n.machine = "fan \"2\"";
  n.point = "DE horizontal";
  n.sensor = "stud";
  n.taken = {"2026-03-02", "07:45:10"};
  n.speed = Rpm{1475.5};
  n.load_percent = 80;
  n.input = "USB\tinput";
  n.gain = "+12 dB";
  n.note = "noise";
  n.findings = {
      {FindingKind::gap, Weight::caution, "", "2 overruns of the input", "", ""},
      {FindingKind::truncated, Weight::note, "", "was stopped after 3.2 of 10 s", "", ""}};
  for (const std::size_t kept : {2U, 1U, 0U}) {
    n.findings.resize(kept);
    const auto read = parse_sidecar(sidecar_text(n), "a.wav.toml");
    REQUIRE_MESSAGE(read.has_value(), read.error().message());
    CHECK(read->machine == n.machine);
    CHECK(read->point == n.point);
    CHECK(read->sensor == n.sensor);
    CHECK(read->taken.date == n.taken.date);
    CHECK(read->taken.time == n.taken.time);
    CHECK(read->speed == n.speed);
    CHECK(read->load_percent == n.load_percent);
    CHECK(read->input == n.input);
    CHECK(read->gain == n.gain);
    CHECK(read->note == n.note);
    REQUIRE(read->findings.size() == kept);
    for (std::size_t i = 0; i < kept; ++i) {
      CHECK(read->findings[i].kind == n.findings[i].kind);
      CHECK(read->findings[i].what == n.findings[i].what);
      CHECK_FALSE(read->findings[i].consequence.empty());
    }
  }
  CHECK_FALSE(parse_sidecar("findings = \"clipped: 3 samples\"\n", "a").has_value());
  CHECK_FALSE(parse_sidecar("findings = \"gap\"\n", "a").has_value());
}

TEST_CASE("where a recording of a plant belongs: sidecar, list, pattern, names [src:contract]") {
  const test::Scratch scratch;
  const std::string folder = scratch.path("mill/");
  std::filesystem::create_directories(folder + "recordings/a");
  const auto put = [&](const std::string& name, const std::string& text) {
    std::ofstream{folder + name} << text;
  };
  put("plant.toml", "[[sensor]]\nname = \"stud\"\nunit = \"g\"\n");
  put("machines.toml",
      "[[machine]]\nname = \"fan\"\n[[machine.point]]\nend = \"DE\"\n[[machine.point]]\nend = "
      "\"NDE\"\n[[machine]]\nname = \"saw\"\n[[machine.point]]\nend = \"DE\"\n");
  put("route.toml",
      "machines = \"machines.toml\"\n[[point]]\nmachine = \"fan\"\npoint = \"DE\"\nfiles = "
      "\"r{date}.wav\"\nspeed_rpm = 1470\n[[point]]\nmachine = \"saw\"\n");
  put("recordings/a/recordings.toml", "[[recording]]\nfile = \"x1.wav\"\nmachine = \"saw\"\n");
  for (const char* name : {"recordings/r2026-03-02.wav", "recordings/a/x1.wav", "saw.wav", "y.wav"})
    put(name, "");
  put("y.wav.toml", "machine = \"fan\"\npoint = \"NDE\"\nspeed_rpm = 1475\nsensor = \"stud\"\n");
  const auto plant = read_plant(folder + "plant.toml");
  REQUIRE(plant.has_value());
  const auto at = [&](const std::string& file) {
    auto place = place_of(*plant, folder + file);
    REQUIRE_MESSAGE(place.has_value(), place.error().message());
    return *place;
  };
  const RecordingPlace pattern = at("recordings/r2026-03-02.wav");
  CHECK(pattern.origin == PlaceOrigin::pattern);
  CHECK(pattern.point->name == "DE");
  CHECK(pattern.point->assumed);
  CHECK(pattern.speed.value().value() == 1470);
  CHECK(at("recordings/a/x1.wav").origin == PlaceOrigin::list);
  CHECK(at("recordings/a/x1.wav").machine->name == "saw");
  CHECK(at("saw.wav").origin == PlaceOrigin::names);
  const RecordingPlace side = at("y.wav");
  CHECK(side.origin == PlaceOrigin::sidecar);
  CHECK(side.point->name == "NDE");
  CHECK(side.speed.value().value() == 1475);
  CHECK(side.sensor == "stud");
  CHECK_FALSE(at("other.wav").machine.has_value());
  put("y.wav.toml", "machine = \"fn\"\n");
  const auto wrong = place_of(*plant, folder + "y.wav");
  REQUIRE_FALSE(wrong.has_value());
  CHECK(wrong.error().message().find("y.wav.toml") != std::string::npos);
}
