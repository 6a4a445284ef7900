#include <doctest/doctest.h>
#include <fmt/format.h>
#include <hdf5.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <regex>
#include <string>
#include <vector>

#include "bearingdsp/dataset/manifest.hpp"
#include "cli/run.hpp"
#include "support/close.hpp"

using nlohmann::json;
using test::Folder;
using test::has;
using test::Ran;
using test::run;

namespace {

/// A mill with two machines, `visits` rounds; the last of the saw shows a damaged outer ring.
void make_mill(const Folder& f, int visits) {
  f.write("mill.toml", R"(
[[machine]]
name = "big-saw"
rated_rpm = 1480
bearing.DE = { elements = 9, element_diameter_mm = 7.94, pitch_diameter_mm = 39.04 }
point = [{ name = "DE", end = "DE", unit = "m/s2" }]

[[machine]]
name = "fan"
rated_rpm = 1480
bearing.DE = { elements = 9, element_diameter_mm = 7.94, pitch_diameter_mm = 39.04 }
point = [{ name = "DE", end = "DE", unit = "m/s2" }]
)");
  f.write("route.toml", R"(
name = "mill"
machines = "mill.toml"
point = [{ machine = "big-saw", point = "DE", files = "{date}_saw.wav" },
         { machine = "fan", point = "DE", files = "{date}_fan.wav" }]
)");
  for (int i = 0; i < visits; ++i) {
    const std::string day = "2026-02-" + std::to_string(10 + i);
    const auto make = [&](const std::string& name, std::vector<std::string> more) {
      more.insert(more.end(), {"--rpm", "1480", "--rate", "12800", "--duration", "2", "--noise",
                               "0.5", "--seed", std::to_string(i)});
      (void)f.simulated(name, more);
    };
    const bool last = i + 1 == visits;
    make(day + "_saw.wav",
         last ? std::vector<std::string>{"--defect", "outer:20"} : std::vector<std::string>{});
    make(day + "_fan.wav", {});
  }
}

std::string text_attribute(hid_t of, const char* name) {
  const hid_t attribute = H5Aopen(of, name, H5P_DEFAULT);
  if (attribute < 0) return "";
  const hid_t type = H5Aget_type(attribute);
  std::string text(H5Tget_size(type), '\0');
  H5Aread(attribute, type, text.data());
  H5Tclose(type);
  H5Aclose(attribute);
  return text;
}

/// As the CSV has it: numbers in their shortest form, nothing where they are not known.
std::vector<std::string> column_text(hid_t data, std::size_t rows) {
  std::vector<std::string> out;
  const hid_t type = H5Dget_type(data);
  if (H5Tget_class(type) == H5T_STRING) {
    const std::size_t size = H5Tget_size(type);
    std::string all(rows * size, '\0');
    H5Dread(data, type, H5S_ALL, H5S_ALL, H5P_DEFAULT, all.data());
    for (std::size_t i = 0; i < rows; ++i)
      out.emplace_back(all.substr(i * size, size).c_str());  // up to the first zero
  } else {
    CHECK(H5Tequal(type, H5T_IEEE_F64LE) > 0);
    std::vector<double> all(rows);
    H5Dread(data, H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, all.data());
    for (const double x : all) out.push_back(std::isnan(x) ? "" : fmt::format("{}", x));
  }
  H5Tclose(type);
  return out;
}

std::vector<std::string> route(const Folder& f, const std::vector<std::string>& more = {}) {
  std::vector<std::string> words{
      "route", "run", f.file(""), "--route", f.file("route.toml"), "--store", f.file("h.db")};
  words.insert(words.end(), more.begin(), more.end());
  return words;
}

}  // namespace

TEST_CASE("route run: the worst machine is first, with what to do [src:the simulation's truth]") {
  const Folder f;
  make_mill(f, 6);
  const Ran r = run(route(f));
  INFO(r.err);
  CHECK(r.code == 1);
  CHECK(r.err.empty());
  CHECK(has(r.out, "1 OF 2 MACHINES NEEDS ATTENTION"));
  CHECK(has(r.out, "1. big-saw (DE): PLAN: Outer ring of the bearing damaged"));
  CHECK(has(r.out, "Order: "));
  CHECK(has(r.out, "was none"));
  CHECK_FALSE(has(r.out, "\x1b"));

  const Ran again = run(route(f, {"--json", "--report", f.file("r.html")}));
  const std::string page = f.read("r.html");
  CHECK(has(page, "<a href=\"#point-1\">big-saw, DE</a>"));
  CHECK(has(page, "id=\"point-2\""));
  // Number and sign stay in one line.
  CHECK(std::regex_search(
      page, std::regex{"Outer ring of the bearing damaged \\([0-9]+\u00a0%\\), developed stage"}));
  CHECK(has(page, "level above 1 kHz over time"));
  const json j = json::parse(again.out);
  CHECK(j["schema"] == "bearingdsp.standings/2");
  CHECK(j["run"]["were_there"] == 12);
  CHECK(j["run"]["stored"] == 0);
  CHECK(j["points"][0]["machine"] == "big-saw");
  CHECK(j["points"][0]["place"] == "outer ring");
  CHECK(has(j["points"][0]["since_utc"].get<std::string>(), "2026-02-15"));
  CHECK(j["points"][0]["bearing_to_order"].is_null());  // the machine file has no number

  // The list without a run, the trend, and the way out.
  const Ran list = run({"history", "list", "--store", f.file("h.db")});
  CHECK(list.code == 0);
  CHECK(has(list.out, "big-saw (DE)"));
  const Ran trend = run({"trend", "Big_Saw", "--store", f.file("h.db")});
  CHECK(trend.code == 1);
  CHECK(has(trend.out, "BEARING FAULT: outer ring"));
  CHECK(has(trend.out, "baseline"));
  CHECK(has(trend.out, "2026-02-15"));
  CHECK(run({"trend", "big-saw", "--store", f.file("h.db"), "--report", f.file("t.html")}).code ==
        1);
  // Limits, forecast and chart of any level; the limits are drawn.
  const auto level = [&](const std::string& word) {
    return run({"trend", "big-saw", "--store", f.file("h.db"), "--level", word});
  };
  CHECK(level("high-frequency").out == trend.out);
  const Ran bpfo = level("BPFO");
  CHECK(bpfo.code == 1);
  CHECK(has(bpfo.out, "Level: BPFO, dB"));
  CHECK(has(bpfo.out, "alert: lines present; alarm: damage likely"));
  CHECK(has(level("kurtosis").out, "Level: kurtosis, dB"));
  CHECK(has(level("1x").out, "Level: 1x, dB"));
  for (const char* line : {"\nbaseline ", "\n   alert ", "\n   alarm "})
    CHECK(has(level("velocity").out, line));
  const Ran unknown = level("loudness");
  CHECK(unknown.code == 2);
  CHECK(has(unknown.err, "'loudness' is no level; one of velocity"));
  CHECK(has(f.read("t.html"), "BEARING FAULT: outer ring"));
  CHECK(json::parse(run({"trend", "fan", "--store", f.file("h.db"), "--json"}).out)["readings"]
            .size() == 6);
  const Ran out = run({"history", "export", "--store", f.file("h.db")});
  CHECK(out.code == 0);
  CHECK(std::count(out.out.begin(), out.out.end(), '\n') == 13);
  CHECK(has(run({"history", "check", "--files", "--store", f.file("h.db")}).out, "DATABASE OK"));
  // What the run kept of each recording is drawn without it.
  for (const char* name : {"saw", "fan"})
    for (int i = 0; i < 6; ++i)
      f.write("2026-02-" + std::to_string(10 + i) + "_" + name + ".wav", "gone");
  const Ran drawn = run({"trend", "big-saw", "--store", f.file("h.db"), "--picture",
                         f.file("t.svg"), "--report", f.file("t.html"), "--force"});
  CHECK(drawn.out == trend.out);
  for (const char* file : {"t.svg", "t.html"}) {
    CHECK(has(f.read(file), "nvelope spectrum of all readings"));
    CHECK(has(f.read(file), "elocity spectrum of all readings"));
    CHECK(has(f.read(file), "velocity / mm/s rms"));
  }
}

TEST_CASE("export: the history as a table, and recordings analysed now [src:two roads]") {
  const Folder f;
  make_mill(f, 2);
  REQUIRE(run(route(f)).code == 1);
  const std::string store = f.file("h.db");
  const Ran csv = run({"export", "--store", store});
  CHECK(csv.code == 0);
  CHECK(csv.err.empty());
  CHECK(csv.out == run({"history", "export", "--store", store}).out);
  REQUIRE(run({"export", "--store", store, "--out", f.file("all.jsonl")}).code == 0);
  std::vector<json> rows;
  const std::string text = f.read("all.jsonl");
  for (std::size_t at = 0; at < text.size(); at = text.find('\n', at) + 1)
    rows.push_back(json::parse(text.substr(at, text.find('\n', at) - at)));
  REQUIRE(rows.size() == 4);
  // 9 elements, d/D = 7.94/39.04, no contact angle [src:closed-form docs/theory/kinematics.md].
  const double ratio = 7.94 / 39.04;
  for (const json& row : rows) {
    CHECK(test::close_rel(row["bearing"]["bpfo_orders"].get<double>(), 4.5 * (1 - ratio), 1e-9));
    CHECK(test::close_rel(row["bearing"]["ftf_orders"].get<double>(), 0.5 * (1 - ratio), 1e-9));
  }
  const json& last = rows[1];
  CHECK(last["machine"] == "big-saw");
  CHECK(last["place"] == "outer ring");

  const std::string wav = f.file("2026-02-11_saw.wav");
  const std::vector<std::string> words{"export", wav,      "--geometry", "9,7.94,39.04", "--rpm",
                                       "1480",   "--unit", "m/s2",       "--format",     "jsonl"};
  const json now = json::parse(run(words).out);
  CHECK(now["machine"] == "");
  CHECK(now["entry"].is_null());
  CHECK(now["place"] == "outer ring");
  CHECK(now["sha256"] == last["sha256"]);
  CHECK(test::close_rel(now["parts"]["outer_ring"]["strength"].get<double>(),
                        last["parts"]["outer_ring"]["strength"].get<double>(), 1e-9));
  CHECK(now["levels"]["peak_in_unit"] == last["levels"]["peak_in_unit"]);

  // One that cannot be read is named, the others are exported.
  f.write("bad.wav", "no audio");
  auto more = words;
  more.insert(more.begin() + 2, f.file("bad.wav"));
  const Ran some = run(more);
  CHECK(some.code == 2);
  CHECK(has(some.err, "bad.wav"));
  CHECK(json::parse(some.out)["path"] == wav);
  CHECK(run({"export", "--store", f.file("none.db"), "--out", f.file("x.csv")}).code == 2);
  CHECK_FALSE(std::filesystem::exists(f.file("x.csv")));
}

TEST_CASE(
    "export: HDF5 has the columns of the table, typed and with units [src:the HDF5 library]") {
  const Folder f;
  make_mill(f, 2);
  REQUIRE(run(route(f)).code == 1);
  const std::string store = f.file("h.db");
  const Ran made = run({"export", "--store", store, "--out", f.file("all.h5")});
  REQUIRE_MESSAGE(made.code == 0, made.err);
  CHECK(made.err.empty());
  const auto table = bearingdsp::parse_csv(run({"export", "--store", store}).out, "csv").value();
  const hid_t file = H5Fopen(f.file("all.h5").c_str(), H5F_ACC_RDONLY, H5P_DEFAULT);
  REQUIRE(file >= 0);
  CHECK(text_attribute(file, "schema") == "bearingdsp.readings/1");
  H5G_info_t members;
  REQUIRE(H5Gget_info_by_name(file, "readings", &members, H5P_DEFAULT) >= 0);
  CHECK(members.nlinks == table[0].size());
  for (std::size_t i = 0; i < table[0].size(); ++i) {
    INFO(table[0][i]);
    const hid_t data = H5Dopen2(file, ("readings/" + table[0][i]).c_str(), H5P_DEFAULT);
    REQUIRE(data >= 0);
    const auto column = column_text(data, table.size() - 1);
    for (std::size_t row = 1; row < table.size(); ++row) CHECK(column[row - 1] == table[row][i]);
    const bool number = H5Aexists(data, "unit") > 0;
    if (table[0][i].ends_with("_rpm")) CHECK(text_attribute(data, "unit") == "rpm");
    if (table[0][i].ends_with("_mm_s")) CHECK(text_attribute(data, "unit") == "mm/s rms");
    if (table[0][i].ends_with("_hz")) CHECK(text_attribute(data, "unit") == "Hz");
    if (table[0][i] == "bearing" || table[0][i] == "verdict") CHECK_FALSE(number);
    H5Dclose(data);
  }
  H5Fclose(file);
  // The same bytes each time; never to a terminal or pipe.
  REQUIRE(run({"export", "--store", store, "--format", "hdf5", "--out", f.file("b.bin")}).code ==
          0);
  CHECK(f.read("b.bin") == f.read("all.h5"));
  const Ran piped = run({"export", "--store", store, "--format", "hdf5"});
  CHECK(piped.code == 2);
  CHECK(piped.out.empty());
  CHECK(has(piped.err, "name a file"));
}

TEST_CASE("summary and calendar: what the list says, by machine [src:contract]") {
  const Folder f;
  make_mill(f, 2);
  const Ran list = run(route(f, {"--json"}));
  REQUIRE(list.code == 1);
  const json points = json::parse(list.out)["points"];
  const std::string store = f.file("h.db");
  const Ran shown = run({"summary", "--store", store, "--report", f.file("page.html")});
  CHECK(shown.code == 1);
  CHECK(has(shown.out, "1 OF 2 MACHINES NEEDS ATTENTION"));
  CHECK(has(shown.out, "1. big-saw: "));
  CHECK(has(f.read("page.html"), "Cost of waiting"));
  const json machines = json::parse(run({"summary", "--store", store, "--json"}).out)["machines"];
  REQUIRE(machines.size() == 2);
  CHECK(machines[0]["urgency"] == points[0]["urgency"]);
  CHECK(machines[0]["conditions"][0] == points[0]["headline"]);
  CHECK(machines[0]["deadline"] == points[0]["assessment"]["deadline"]);
  CHECK(machines[1]["due_date"].is_null());
  const Ran ics = run({"calendar", "--store", store});
  CHECK(ics.code == 0);
  CHECK(has(ics.out, "SUMMARY:big-saw: "));
  CHECK(has(ics.out, "BEGIN:VCALENDAR\r\n"));
  REQUIRE(run({"calendar", "--store", store, "--out", f.file("due.ics")}).code == 0);
  CHECK(has(f.read("due.ics"), "END:VCALENDAR\r\n"));
  CHECK(run({"calendar", "--store", store, "--out", store}).code == 2);
}

TEST_CASE("trend: one picture for several points is refused, and nothing is written") {
  const Folder f;
  make_mill(f, 1);
  f.write("mill.toml", R"(
[[machine]]
name = "saw"
rated_rpm = 1480
bearing.DE = { elements = 9, element_diameter_mm = 7.94, pitch_diameter_mm = 39.04 }
point = [{ name = "DE", end = "DE", unit = "m/s2" }, { name = "DE axial", end = "DE", unit = "m/s2" }]
)");
  f.write("route.toml", R"(
machines = "mill.toml"
point = [{ machine = "saw", point = "DE", files = "{date}_saw.wav" },
         { machine = "saw", point = "DE axial", files = "{date}_fan.wav" }]
)");
  REQUIRE(run(route(f)).code == 1);
  const auto trend = [&](std::vector<std::string> more) {
    more.insert(more.begin(), {"trend", "saw", "--store", f.file("h.db")});
    return run(more);
  };
  const Ran r = trend({"--picture", f.file("t.svg")});
  CHECK(r.code == 2);
  CHECK(r.out.empty());
  CHECK(r.err ==
        "bearingdsp: --picture: one picture for several points; choose one with --point\n");
  CHECK_FALSE(std::filesystem::exists(f.file("t.svg")));
  // A page has room for both; one point can be drawn.
  CHECK(trend({"--report", f.file("t.html")}).code == 1);
  CHECK(has(f.read("t.html"), "id=\"point-2\""));
  CHECK(trend({"--point", "DE", "--picture", f.file("t.svg")}).code == 1);
  CHECK(has(f.read("t.svg"), "</svg>"));
}

TEST_CASE("route run: copies within the round's folder are refused before anything is made") {
  const Folder f;
  make_mill(f, 1);
  const std::size_t before = f.count();
  const Ran r = run(route(f, {"--keep-copies", f.file("kept")}));
  CHECK(r.code == 2);
  CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
  CHECK(has(r.err, "lies in the folder of the round"));
  CHECK(f.count() == before);
}

TEST_CASE("route run: JSON lines come a recording, and a bad one does not end it") {
  const Folder f;
  make_mill(f, 1);
  f.write("2026-03-01_fan.wav", "no sound at all");
  const Ran r = run(route(f, {"--ndjson", "--jobs", "2"}));
  CHECK(r.code == 2);
  CHECK(has(r.err, "2026-03-01_fan.wav"));
  CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
  std::vector<json> lines;
  for (std::size_t at = 0, end = 0; (end = r.out.find('\n', at)) != std::string::npos; at = end + 1)
    lines.push_back(json::parse(r.out.substr(at, end - at)));
  REQUIRE(lines.size() == 4);
  CHECK(lines.back()["schema"] == "bearingdsp.standings/2");
  CHECK(lines.back()["run"]["failures"].size() == 1);
  CHECK(std::count_if(lines.begin(), lines.end(), [](const json& l) {
          return l["schema"] == "bearingdsp.record/2" && l["outcome"] == "stored";
        }) == 2);
}

TEST_CASE("history event: noted, shown, and a slip of the pen refused with what there is") {
  const Folder f;
  make_mill(f, 1);
  REQUIRE(run(route(f)).code == 1);
  const std::string store = f.file("h.db");
  const Ran noted = run({"history", "event", "BIG SAW", "bearing-replaced", "--time", "2026-02-20",
                         "--note", "6205 C3", "--store", store});
  INFO(noted.err);
  CHECK(noted.code == 0);
  const Ran trend = run({"trend", "big-saw", "--store", store});
  CHECK(has(trend.out, "2026-02-20 bearing replaced: 6205 C3"));
  CHECK(has(trend.out, "New bearing, not measured yet"));
  CHECK(has(run({"history", "export", "--json", "--store", store}).out, "\"bearing replaced\""));

  const Ran slip =
      run({"history", "event", "big-saq", "greased", "--time", "2026-02-20", "--store", store});
  CHECK(slip.code == 2);
  CHECK(has(slip.err, "it has: big-saw; fan"));
  CHECK(has(run({"history", "event", "fan", "oiled", "--time", "2026-02-20", "--store", store}).err,
            "choose one of bearing-replaced"));
  CHECK(has(run({"history", "event", "fan", "greased", "--time", "soon", "--store", store}).err,
            "is no time"));
}

TEST_CASE("history: what is not there is an error in one line, and nothing is made") {
  const Folder f;
  for (const std::vector<std::string>& words :
       {std::vector<std::string>{"trend", "fan"},
        {"history", "list"},
        {"history", "export"},
        {"history", "check"},
        {"history", "event", "fan", "note", "--time", "2026-01-01"}}) {
    std::vector<std::string> all = words;
    all.insert(all.end(), {"--store", f.file("none/h.db")});
    const Ran r = run(all);
    CHECK(r.code == 2);
    CHECK(r.out.empty());
    CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
  }
  CHECK(f.count() == 0);
  f.write("text.db", std::string(2000, 'x'));
  CHECK(has(run({"history", "list", "--store", f.file("text.db")}).err, "is no history"));
  // A list makes no store.
  CHECK(run({"history", "list", "--store", f.file("new.db")}).code == 2);
  CHECK_FALSE(std::filesystem::exists(f.file("new.db")));
}

namespace {

/// A recording of the saw; the bearing's outer ring is damaged where `damaged`.
void record(const Folder& f, const std::string& name, bool damaged, int seed,
            const std::string& duration = "2") {
  std::vector<std::string> options{"--rpm",  "1480",    "--rate", "12800",  "--duration",
                                   duration, "--noise", "0.5",    "--seed", std::to_string(seed)};
  if (damaged) options.insert(options.end(), {"--defect", "outer:20"});
  (void)f.simulated(name, options);
}

Ran history(const Folder& f, std::vector<std::string> words) {
  words.insert(words.begin(), "history");
  words.insert(words.end(), {"--store", f.file("h.db")});
  return run(words);
}

}  // namespace

TEST_CASE("route run: damage of a recorder whose clock was reset is not hidden by healthy dates") {
  // In one run, and in two.
  for (const bool together : {true, false}) {
    const Folder f;
    make_mill(f, 0);
    const auto healthy = [&] {
      for (int i = 0; i < 4; ++i) record(f, "2026-02-1" + std::to_string(i) + "_saw.wav", false, i);
    };
    healthy();
    if (!together) CHECK(run(route(f)).code == 0);
    for (int i = 0; i < 2; ++i)
      record(f, "2000-01-0" + std::to_string(1 + i) + "_saw.wav", true, 10 + i);
    const Ran r = run(route(f));
    CHECK(r.code == 1);
    CHECK(has(r.out, "Dates in doubt"));
    const json list = json::parse(run(route(f, {"--json"})).out);
    CHECK(list["points"][0]["urgency"] == "check");
    CHECK(has(list["points"][0]["headline"].get<std::string>(),
              "Outer ring of the bearing damaged in a recording dated 2000-01-0"));
    // The entries give the numbers; corrected, it is what it is.
    const Ran entries = history(f, {"entries", "big-saw", "--json"});
    CHECK(entries.code == 0);
    CHECK(has(entries.out, "behind the others"));
    CHECK(has(history(f, {"entries", "big-saw"}).out, "READINGS AND EVENTS"));
    const std::string a = together ? "r1" : "r5";
    const std::string b = together ? "r2" : "r6";
    CHECK(history(f, {"edit", a, b, "--shift", "9546", "--why", "battery"}).code == 0);
    const Ran trend = run({"trend", "big-saw", "--store", f.file("h.db")});
    CHECK(trend.code == 1);
    CHECK(has(trend.out, "BEARING FAULT: outer ring"));
    const Ran changes = history(f, {"changes"});
    CHECK(has(changes.out, "edit " + a));
    CHECK(has(changes.out, "battery"));
  }
}

TEST_CASE("route run: the answer of two recordings of one day does not depend on the jobs") {
  for (const char* jobs : {"1", "2"}) {
    const Folder f;
    make_mill(f, 0);
    f.write("route.toml", R"(
machines = "mill.toml"
point = [{ machine = "big-saw", point = "DE", files = "{date}_saw_*.wav" }]
)");
    record(f, "2026-02-10_saw_a.wav", true, 1, "6");
    record(f, "2026-02-10_saw_b.wav", false, 2, "1");
    const Ran r = run(route(f, {"--jobs", jobs}));
    CHECK(r.code == 1);
    CHECK(has(r.out, "Outer ring"));
  }
}

TEST_CASE("route run: what is dated in the future neither is the latest nor hides damage") {
  const Folder f;
  make_mill(f, 2);  // the saw is damaged on 2026-02-11
  record(f, "2062-02-12_saw.wav", false, 9);
  const Ran r = run(route(f));
  CHECK(r.code == 1);
  CHECK(has(r.err, "2062-02-12_saw.wav: is dated 2062-02-12, in the future"));
  CHECK(has(r.out, "Outer ring of the bearing"));
  CHECK(has(r.out, "Dates in doubt"));
  const Ran event = history(f, {"event", "big-saw", "bearing-replaced", "--time", "2062-03-01"});
  CHECK(event.code == 2);
  CHECK(has(event.err, "2062-03-01 is in the future"));
  CHECK(run(route(f, {"--time", "2062-03-01"})).code == 2);
  CHECK(run({"trend", "big-saw", "--store", f.file("h.db")}).code == 1);
}

TEST_CASE("--store: a name under which nothing is kept is refused by every command") {
  const Folder f;
  make_mill(f, 1);
  const std::size_t before = f.count();
  for (const char* store : {"", ":memory:", "file:h.db", "/dev/null"}) {
    for (std::vector<std::string> words :
         {std::vector<std::string>{"route", "run", f.file(""), "--route", f.file("route.toml")},
          {"trend", "fan"},
          {"compare", "fan"},
          {"acceptance", f.file("2026-02-10_fan.wav"), "--rpm", "1480", "--unit", "m/s2",
           "--shaft-height", "90"},
          {"history", "list"},
          {"history", "export"},
          {"history", "check"},
          {"history", "changes"},
          {"history", "entries", "fan"},
          {"history", "edit", "r1", "--time", "2026-01-01"},
          {"history", "remove", "r1"},
          {"history", "restore", "r1"},
          {"history", "rename", "fan", "fun"},
          {"history", "event", "fan", "note", "--time", "2026-01-01"}}) {
      words.insert(words.end(), {"--store", store});
      const Ran r = run(words);
      INFO(words[0], " ", words[1], " ", store, r.err);
      CHECK(r.code == 2);
      CHECK(r.out.empty());
      CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
      CHECK(has(r.err, "give the name of a file"));
    }
  }
  CHECK(f.count() == before);
}

TEST_CASE("history: corrections of readings, events and names") {
  const Folder f;
  make_mill(f, 2);
  REQUIRE(run(route(f)).code == 1);
  // The damaged reading was of another machine's sensor.
  const Ran entries = history(f, {"entries", "Big Saw", "--json"});
  const std::string fault = [&] {
    for (std::size_t at = 0, end = 0; (end = entries.out.find('\n', at)) != std::string::npos;
         at = end + 1) {
      const json line = json::parse(entries.out.substr(at, end - at));
      if (line["what"] == "fault: outer ring") return line["entry"].get<std::string>();
    }
    return std::string{};
  }();
  REQUIRE_FALSE(fault.empty());
  const Ran moved = history(f, {"edit", fault, "--machine", "FAN"});
  CHECK(moved.code == 0);
  CHECK(has(moved.out, "edit " + fault + ": big-saw, DE"));
  CHECK(has(moved.out, "-> fan, DE"));
  CHECK(run({"trend", "fan", "--store", f.file("h.db")}).code == 1);
  CHECK(run({"trend", "big-saw", "--store", f.file("h.db")}).code == 0);
  CHECK(has(run(route(f)).out, "0 new"));
  CHECK(history(f, {"remove", fault}).code == 0);
  CHECK(run(route(f)).code == 0);
  CHECK(history(f, {"restore", fault}).code == 0);
  CHECK(run(route(f)).code == 1);

  REQUIRE(history(f, {"event", "fan", "greased", "--time", "2026-02-10"}).code == 0);
  CHECK(history(f, {"edit", "e1", "--note", "30 g", "--kind", "bearing_replaced"}).code == 0);
  CHECK(has(run({"trend", "fan", "--store", f.file("h.db")}).out, "bearing replaced: 30 g"));
  // What a person typed reaches no terminal as a control character.
  for (const Ran& r : {history(f, {"edit", "e1", "--note", "30 g \x1b[31m"}),
                       history(f, {"changes"}), history(f, {"changes", "--json"}),
                       history(f, {"entries", "fan"}), history(f, {"entries", "fan", "--json"})}) {
    CHECK(r.code == 0);
    CHECK(has(r.out, "30"));  // a line may be broken after it
    CHECK_FALSE(has(r.out, "\x1b"));
  }
  CHECK(history(f, {"rename", "fan", "dust-fan"}).code == 0);
  CHECK(has(run({"trend", "dust fan", "--store", f.file("h.db")}).out, "30 g"));
  CHECK(has(run({"trend", "fan", "--store", f.file("h.db")}).err, "it has: big-saw; dust-fan"));
  CHECK(has(history(f, {"rename", "big-saw", "dustfan"}).err, "--join"));
  CHECK(has(history(f, {"changes"}).out, "rename"));
  CHECK(
      json::parse(history(f, {"changes", "--json"})
                      .out.substr(0, history(f, {"changes", "--json"}).out.find('\n')))["action"] ==
      "edit");

  for (const std::vector<std::string>& wrong :
       {std::vector<std::string>{"edit", "r1"},
        {"edit", "12", "--time", "2026-01-01"},
        {"edit", "r99", "--time", "2026-01-01"},
        {"edit", "r1", "--time", "2099-01-01"},
        {"edit", "r1", "--time", "2026-01-01", "--shift", "1"},
        {"edit", "r1", "--note", "x"},
        {"edit", "r1", "--point", "none"},
        {"remove", "e9"},
        {"restore", "r1"},
        {"rename", "none", "x"}}) {
    const Ran r = history(f, wrong);
    INFO(wrong[1], " ", wrong.back());
    CHECK(r.code == 2);
    CHECK(r.out.empty());
    CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
  }
}

TEST_CASE("history check --files: a recording that changed is reported, and ends with 1") {
  const Folder f;
  make_mill(f, 1);
  REQUIRE(run(route(f)).code == 1);
  CHECK(history(f, {"check", "--files"}).code == 0);
  const std::string saw = f.read("2026-02-10_saw.wav");
  f.write("2026-02-10_saw.wav", saw.substr(0, saw.size() / 2));
  const Ran r = history(f, {"check", "--files"});
  CHECK(r.code == 1);
  CHECK(has(r.out, "RECORDINGS CHANGED"));
  const Ran again = run(route(f));
  CHECK(has(again.err, "2026-02-10_saw.wav: is cut short; the history has the whole recording"));
  CHECK(has(again.out, "0 new"));
  CHECK(again.code == 1);
}
