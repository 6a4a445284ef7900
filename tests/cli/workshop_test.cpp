#include <doctest/doctest.h>

#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>

#include "cli/run.hpp"

using nlohmann::json;
using test::Folder;
using test::has;
using test::Ran;
using test::run;
namespace fs = std::filesystem;

namespace {

void write_mill(const Folder& f) {
  f.write("mill.toml", R"(
[[machine]]
name = "big-saw"
rated_rpm = 1480
line_frequency_hz = 50
poles = 4
rated_v = 400
rated_a = 55
frame = "IEC 200L"
mounting = "rigid"
drives = "saw, V-belt"
ambient_c = 30
bearing.DE = { designation = "6312 C3", lubricant = "polyurea NLGI 2", seal = "V-ring 60" }
bearing.NDE = { designation = "6312-2Z C3" }
point = [{ name = "DE", end = "DE", unit = "m/s2" }]

[[machine]]
name = "fan"
rated_rpm = 2960
rotor = "permanent magnet"
explosion_protected = true
bearing.DE = { designation = "6205 ZZ C3" }
bearing.NDE = { designation = "6205-2Z C3" }
)");
}

}  // namespace

TEST_CASE("checks: sheets without readings, 0, 1 and 3 by what was read [src:ieee43 5 Mohm]") {
  const Folder f;
  write_mill(f);
  const Ran sheets = run({"checks", "--machine", f.file("mill.toml") + "#big-saw", "--end", "DE"});
  CHECK(sheets.code == 0);
  for (const char* words : {"Insulation resistance", "CAUTION", "Belt tension", "from memory"})
    CHECK(has(sheets.out, words));
  CHECK_FALSE(has(sheets.out, "Coupling alignment"));
  const Ran bad = run({"checks", "--insulation", "12", "--winding-temperature", "20"});
  CHECK(bad.code == 1);
  CHECK(has(bad.out, "NOT GOOD"));
  const Ran open = run({"checks", "--soft-foot", "0.2"});
  CHECK(open.code == 3);
  const Ran good = run({"checks", "--soft-foot", "0.02", "--json"});
  CHECK(good.code == 0);
  CHECK(json::parse(good.out)["readings"][0]["outcome"] == "good");
  const Ran zero =
      run({"checks", "--insulation", "12", "--winding-temperature", "20", "--rated-voltage", "0"});
  CHECK(zero.code == 2);
  CHECK(has(zero.err, "--rated-voltage: 0 is not between 1 and 100000"));
  const Ran half = run({"checks", "--insulation", "12"});
  CHECK(half.code == 2);
  CHECK(has(half.err, "--winding-temperature"));
  CHECK(run({"checks", "--current", "1,2"}).code == 2);
}

TEST_CASE("checks: the room, the nameplate and the belt are those of the machine file") {
  const Folder f;
  write_mill(f);
  const Ran r = run({"checks", "--machine", f.file("mill.toml") + "#big-saw", "--end", "DE",
                     "--temperature", "65", "--current", "20,20,20", "--json"});
  INFO(r.err);
  CHECK(r.code == 0);
  const json j = json::parse(r.out);
  CHECK(has(j["readings"][0]["found"].get<std::string>(), "36.4 %"));
  CHECK(has(j["readings"][3]["found"].get<std::string>(), "35 K"));
}

TEST_CASE("checks: sheets are written whole or not at all") {
  const Folder f;
  write_mill(f);
  const std::string page = f.file("sheets.html");
  CHECK(run({"checks", "--sheet", page, "--magnet-rotor", "--belt"}).code == 0);
  CHECK(has(f.read("sheets.html"), "makes voltage"));
  CHECK(run({"checks", "--sheet", page}).code == 2);  // it is there
  const Ran wrong = run({"checks", "--sheet", f.file("sheets.pdf")});
  CHECK(wrong.code == 2);
  CHECK(has(wrong.err, ".html"));
  CHECK_FALSE(fs::exists(f.file("sheets.pdf")));
  CHECK(has(run({"checks", "--sheet", "-"}).out, "**CAUTION:**"));
}

TEST_CASE("grease: strokes and steps of one bearing, the fleet as a table and a calendar") {
  const Folder f;
  write_mill(f);
  const Ran one = run({"grease", "--machine", f.file("mill.toml") + "#big-saw", "--end", "DE",
                       "--per-stroke", "1.2"});
  CHECK(one.code == 0);
  for (const char* words : {"20.2 g = 17 strokes", "polyurea NLGI 2", "CAUTION", "1000 bar"})
    CHECK(has(one.out, words));
  const Ran mixed =
      run({"grease", "6312", "--rpm", "1480", "--old-grease", "lithium", "--grease", "polyurea"});
  CHECK(has(mixed.out, "incompatible"));
  const std::string mill = f.file("mill.toml");
  const Ran fleet = run(
      {"grease", "--machines", mill, "--store", f.file("none.db"), "--calendar", f.file("g.ics")});
  CHECK(fleet.code == 0);
  CHECK(has(fleet.out, "for life"));
  CHECK(has(f.read("g.ics"), "RRULE:FREQ=DAILY"));
  CHECK_FALSE(fs::exists(f.file("none.db")));
  const Ran both = run({"grease", "6312", "--calendar", f.file("x.ics")});
  CHECK(both.code == 2);
  CHECK_FALSE(fs::exists(f.file("x.ics")));
  CHECK(run({"grease", "--per-stroke", "0", "6312"}).code == 2);
}

TEST_CASE("spares: one item for two spellings, seals, equivalents, storage") {
  const Folder f;
  write_mill(f);
  const Ran r = run({"spares", "--machines", f.file("mill.toml")});
  INFO(r.err);
  CHECK(r.code == 0);
  for (const char* words : {"fan DE, fan NDE", "V-ring 60", "also written", "Storage", "Poisson"})
    CHECK(has(r.out, words));
  const json j = json::parse(run({"spares", "--machines", f.file("mill.toml"), "--json"}).out);
  CHECK(j["schema"] == "bearingdsp.spares/1");
  CHECK(j["spares"][0]["keep"] == 2);
  const Ran nowhere = run({"spares", "--machines", f.file("no.toml")});
  CHECK(nowhere.code == 2);
}

TEST_CASE("replacement: a magnet rotor and a hazardous area put their cautions on the card") {
  const Folder f;
  write_mill(f);
  const Ran r = run({"replacement", "--machine", f.file("mill.toml") + "#fan", "--end", "DE",
                     "--job-card", "-", "--long"});
  CHECK(r.code == 0);
  for (const char* words : {"makes voltage", "IEC 60079-19", "Press it on cold"})
    CHECK(has(r.out, words));
}
