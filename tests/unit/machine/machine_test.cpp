#include "bearingdsp/machine/machine.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "paths.hpp"
#include "support/close.hpp"
#include "support/scratch.hpp"

using namespace bearingdsp;

namespace {

constexpr const char* fan = R"([[machine]]
name = "fan"
power_kw = 7.5
rated_rpm = 1478
line_frequency_hz = 50
poles = 4
frame = "IEC 132M"
mounting = "flexible"
drive = "direct on line"
surroundings = ["dusty", "hot"]
bearing.DE = { designation = "6205-2Z C3", locating = true, radial_load_n = 800 }
bearing.NDE = { elements = 9 }

[[machine.point]]
end = "DE"
direction = "horizontal"
unit = "V"
sensitivity_mv_per_g = 100
channel = ["x", "y"]
tacho = "marker"

[[machine.point]]
name = "far end"
end = "nde"
)";

Error only_error(const std::string& text) {
  const auto check = check_machine_text(text, "m.toml");
  REQUIRE(check.errors.size() == 1);
  CHECK(check.machines.empty());
  return check.errors.front();
}

}  // namespace

TEST_CASE("machine: every key of a file arrives in its field [src:docs/machine-files.md]") {
  const auto machines = parse_machines(fan, "m.toml");
  REQUIRE(machines);
  REQUIRE(machines->size() == 1);
  const Machine& m = machines->front();
  CHECK(m.name == "fan");
  CHECK(m.where == "m.toml:1");
  CHECK(m.power == Kilowatts{7.5});
  CHECK(m.rated_speed == Rpm{1478});
  CHECK(m.line_frequency == Hz{50});
  CHECK(m.poles == 4);
  CHECK(m.shaft_height == Millimetres{132});
  CHECK(m.mounting == Mounting::flexible);
  CHECK(m.orientation == Orientation::horizontal);
  CHECK(m.drive == Drive::direct_on_line);
  CHECK(m.surroundings == std::vector{Surroundings::dusty, Surroundings::hot});
  REQUIRE(m.bearing(MachineEnd::drive_end));
  CHECK(m.drive_end->designation == "6205-2Z C3");
  CHECK(m.drive_end->locating == true);
  CHECK(m.drive_end->radial_load == Newtons{800});
  CHECK(m.bearing(MachineEnd::non_drive_end)->rolling_elements == 9);
  REQUIRE(m.points.size() == 2);
  CHECK(m.points[0].name == "DE horizontal");
  CHECK(m.points[0].channels == std::vector<std::string>{"x", "y"});
  CHECK(m.points[1].name == "far end");
  CHECK(m.points[1].end == MachineEnd::non_drive_end);
}

TEST_CASE("machine: what its point says of the samples becomes reading options") {
  const auto m = parse_machines(fan, "m.toml").value().front();
  const ReadOptions o = reading_options(m.points[0]);
  CHECK(o.units == std::vector<std::string>{"V"});
  CHECK(o.sensitivity_mv_per_g == std::vector<double>{100});
  CHECK(o.select == std::vector<std::string>{"x", "y", "marker"});
  CHECK(reading_options(m.points[1]).select.empty());
}

TEST_CASE("machine: the demo's file is without fault and every bearing has its orders") {
  const auto machines = read_machines(std::string{TESTDATA_DIR} + "/machines.toml");
  REQUIRE(machines);
  CHECK(machines->size() == 4);
  for (const Machine& m : *machines)
    for (const auto end : {MachineEnd::drive_end, MachineEnd::non_drive_end}) {
      INFO(m.name);
      REQUIRE(m.bearing(end));
      CHECK(bearing_variants(*m.bearing(end)));
    }
}

TEST_CASE("machine: a misspelt key is named with its line and what was meant") {
  const Error e = only_error("[[machine]]\nname = \"a\"\n\nrated_rmp = 1478\n");
  CHECK(e.code == Errc::corrupt_file);
  CHECK(e.where == "m.toml:4");
  CHECK(e.what == "'rated_rmp' is not a key of a machine");
  CHECK(e.advice == "did you mean rated_rpm?");
}

TEST_CASE("machine: a misspelt word is named with its line and what was meant") {
  const Error e = only_error("[[machine]]\nname = \"a\"\nmounting = \"flexibel\"\n");
  CHECK(e.where == "m.toml:3");
  CHECK(e.what == "mounting: 'flexibel' is not known");
  CHECK(e.advice == "did you mean flexible?");
}

TEST_CASE("machine: each kind of wrong value is refused in its line") {
  struct Case {
    const char* line;
    const char* what;
  };
  for (const auto& [line, what] : {
           Case{"power_kw = \"7.5\"", "power_kw: is text"},
           Case{"power_kw = -1", "power_kw: -1 is not between 0.001 and 1000000"},
           Case{"power_kw = nan", "power_kw: nan is not between"},
           Case{"poles = 3", "poles: 3 is an odd number"},
           Case{"poles = 2.5", "poles: 2.5 is not a whole number"},
           Case{"description = 5", "description: is a number"},
           Case{"shaft_grounded = \"yes\"", "shaft_grounded: is text"},
           Case{"surroundings = [\"dusty\", 1]", "surroundings: holds a number"},
           Case{"speed_range_rpm = [1500, 600]", "speed_range_rpm: the first speed is above"},
           Case{"speed_range_rpm = 1500", "speed_range_rpm: is not a list of 2 numbers"},
           Case{"bearing = 6205", "bearing: is a number"},
           Case{"bearing.DR = { designation = \"6205\" }", "'DR' is not a key of the bearings"},
           Case{"bearing.DE = { locating = true }", "the bearing is not described"},
           Case{"bearing.DE = { designation = \"none such\" }", "no bearing series is recognised"},
           Case{"bearing.DE = { element_diameter_mm = 8 }", "geometry of the bearing is not comp"},
           Case{"bearing.DE = { orders = [5.4, 3.5, 2.3, 0.4] }", "cannot belong to one bearing"},
           Case{"point = [{ direction = \"axial\" }]", "a measuring point has no end"},
           Case{"point = [{ end = \"DE\", unit = \"furlong\" }]", "'furlong' is not known"},
           Case{"point = [{ end = \"DE\" }, { end = \"de\" }]", "the point 'DE' is defined twice"},
           Case{"point = { end = \"DE\" }", "point: is not a list of tables"},
       }) {
    const Error e = only_error(std::string{"[[machine]]\nname = \"a\"\n"} + line + "\n");
    INFO(e.message());
    CHECK(e.where == "m.toml:3");
    CHECK(e.what.find(what) != std::string::npos);
    CHECK_FALSE(e.what.empty());
  }
}

TEST_CASE("machine: a rated speed has to fit poles and mains [src:closed form 120 f / poles]") {
  const auto with = [](const char* rpm) {
    return std::string{
               "[[machine]]\nname = \"a\"\nline_frequency_hz = 50\npoles = 4\nrated_rpm = "} +
           rpm + "\n";
  };
  CHECK(parse_machines(with("1500"), "m"));  // synchronous
  CHECK(parse_machines(with("1395"), "m"));
  CHECK(only_error(with("1510")).where == "m.toml:5");
  CHECK(only_error(with("1190")).what.find("with a synchronous speed of 1500 rpm") !=
        std::string::npos);
}

TEST_CASE("machine: one pass finds every fault, and machines without fault are kept") {
  const auto check = check_machine_text(
      "nmae = 1\n[[machine]]\nname = \"a\"\npoles = 3\npower = 1\n[[machine]]\nname = \"b\"\n"
      "[[machine]]\nname = \"B\"\n",
      "m.toml");
  CHECK(check.errors.size() == 4);
  REQUIRE(check.machines.size() == 1);
  CHECK(check.machines.front().name == "b");
  const auto first = parse_machines("[[machine]]\n", "m.toml");
  REQUIRE_FALSE(first);
  CHECK(first.error().message() == "m.toml:1: a machine has no name; add name = \"...\"");
}

TEST_CASE("machine: text that is not TOML, an empty file, a file that is not there") {
  CHECK(only_error("[[machine]]\nname = fan\n").where == "m.toml:2");
  CHECK(only_error("").what == "no machine is described");
  CHECK(only_error("machine = 1\n").what.find("not a list of tables") != std::string::npos);
  CHECK(read_machines("/nonexistent/m.toml").error().code == Errc::io);
  const test::Scratch scratch;
  CHECK(read_machines(scratch.file("m.toml", fan)));
  CHECK(read_machines(scratch.path("")).error().code == Errc::io);
}

// Found by a fuzzer: in toml++ 3.3 such letters take a road that it declares unreachable, which the
// sanitizers of the preset asan see.
TEST_CASE("machine: letters beyond ASCII are text in quotes and an error outside them") {
  CHECK(only_error("[[machine]]\nlüfter = 1\n").where == "m.toml:2");
  CHECK(only_error("[[machine]]\nname = ß\n").where == "m.toml:2");
  CHECK(only_error("[[machine]]\n\xe3\x80\x81 = 1\n").where == "m.toml:2");  // U+3001
  const auto read = parse_machines(
      "[[machine]]\nname = \"lüfter\"  # größer\ndescription = \"\"\"der \\\n  äußere\"\"\"\n",
      "m.toml");
  REQUIRE(read);
  CHECK(read->front().name == "lüfter");
  CHECK(read->front().description == "der äußere");
}

TEST_CASE("machine: a key of thousands of parts is refused, dots elsewhere are not") {
  std::string parts = "a";
  for (int i = 0; i < 200'000; ++i) parts += ".a";
  for (const std::string before :
       {"", "[", R"(x = { y = "", )", R"(x = { y = '', )", R"(x = { y = """a"""", )",
        R"(x = { y = '''a'''', )", "x = \"\\\"\" # \"\n"}) {
    INFO(before);
    const auto machines = parse_machines(before + parts + " = 1", "m.toml");
    REQUIRE_FALSE(machines);
    CHECK(machines.error().code == Errc::corrupt_file);
    CHECK(machines.error().what.find("parts between dots") != std::string::npos);
  }
  CHECK(parse_machines("\n'''\n''' . a\n" + parts + " = 1", "m.toml").error().where == "m.toml:4");
  const std::string dots(100, '.');
  const auto fine =
      parse_machines("# " + dots + "\n[[machine]]\nname = \"" + dots + "\"\nduty = \"\"\"\\\"\n" +
                         dots + "\"\"\"\ndescription = '" + dots + "'\ndrives = '''\n" + dots +
                         "'''\nspeed_range_rpm = [1.0, 2.0]\n"
                         "bearing.DE.designation = \"6205\"\n"
                         "[[machine.point]]\nend = \"DE\"\n",
                     "m.toml");
  REQUIRE(fine);
  CHECK(fine->front().name == dots);
}

TEST_CASE("machine: found by name whatever the case, blanks and hyphens") {
  const auto machines = read_machines(std::string{TESTDATA_DIR} + "/machines.toml").value();
  CHECK(find_machine(machines, "Dust Extraction fan")->name == "dust-extraction-fan");
  const auto none = find_machine(machines, "dust-extration-fan");
  REQUIRE_FALSE(none);
  CHECK(none.error().code == Errc::not_found);
  CHECK(none.error().advice == "did you mean dust-extraction-fan?");
  CHECK(find_machine(machines, "").error().code == Errc::bad_argument);
  const Machine& m = machines.front();
  CHECK(find_point(m, "de_HORIZONTAL")->name == "DE horizontal");
  CHECK(find_point(m, "DE axial").error().code == Errc::not_found);
  CHECK(find_point(Machine{}, "DE").error().code == Errc::not_found);
}

TEST_CASE("machine: the orders of a bearing, best knowledge first") {
  MachineBearing b;
  CHECK_FALSE(bearing_variants(b));
  b.rolling_elements = 9;
  CHECK(bearing_variants(b)->front().orders.origin == OrdersOrigin::element_count);
  b.designation = "6205-2Z C3";
  const auto listed = bearing_variants(b);
  REQUIRE(listed);
  for (const auto& o : *listed) CHECK(o.orders.rolling_elements == 9);
  CHECK(bearing_variants(b)->front().orders.origin == OrdersOrigin::catalogue);
  b.rolling_elements = 7;  // counted otherwise than listed
  CHECK(bearing_variants(b)->front().orders.origin == OrdersOrigin::element_count);
  b.rolling_elements.reset();
  // d/D = 1/4, 8 elements, 0 degrees: 3 and 5 exactly (closed form)
  b.geometry = BearingGeometry{8, 10, 40, Degrees{0}};
  CHECK(bearing_variants(b)->front().orders.bpfo == Order{3});
  DefectOrders given;
  given.bpfo = Order{3.1};
  b.orders = given;
  CHECK(bearing_variants(b)->front().orders.bpfo == Order{3.1});
  MachineBearing unlisted;
  unlisted.designation = "6040";
  REQUIRE_FALSE(find_bearing("6040"));  // else this shows nothing
  CHECK(bearing_variants(unlisted)->front().orders.origin == OrdersOrigin::boundary);
}

TEST_CASE("machine: pole pairs and field speed from the nameplate [src:closed form 60 f / pairs]") {
  Machine m;
  CHECK_FALSE(pole_pairs(m));
  m.line_frequency = Hz{50};
  struct Case {
    double rpm;
    int pairs;
    double field;
  };
  for (const auto& [rpm, pairs, field] :
       {Case{2925, 1, 3000}, Case{1478, 2, 1500}, Case{1500, 2, 1500}, Case{965, 3, 1000},
        Case{735, 4, 750}, Case{3001, 1, 3000}}) {
    m.rated_speed = Rpm{rpm};
    CHECK(pole_pairs(m) == pairs);
    CHECK(synchronous_speed(m) == Rpm{field});
  }
  m.rated_speed = Rpm{6000};
  CHECK_FALSE(pole_pairs(m));
  m.poles = 6;
  CHECK(synchronous_speed(m) == Rpm{1000});
}

TEST_CASE("machine: shaft height of a frame [src:IEC 60072-1 and NEMA MG 1 part 4, memory]") {
  const auto height = [](const char* frame) { return shaft_height_of_frame(frame); };
  CHECK(height("IEC 132S") == Millimetres{132});
  CHECK(height("iec 56") == Millimetres{56});
  CHECK(height("160L") == Millimetres{160});
  CHECK(test::close_abs(height("NEMA 213T")->value(), 133.35, 1e-9));  // 5.25 in
  CHECK(test::close_abs(height("143T")->value(), 88.9, 1e-9));         // 3.5 in
  CHECK(test::close_abs(height("NEMA 56C")->value(), 88.9, 1e-9));     // 3.5 in
  CHECK(test::close_abs(height("NEMA 449T")->value(), 279.4, 1e-9));   // 11 in
  for (const char* frame : {"", "56", "IEC 133", "foot", "NEMA", "IEC", "5", "99999999999"})
    CHECK_FALSE(height(frame));
}

TEST_CASE("machine: type and bore in place of a number give candidates, and nothing to order") {
  const auto machines = parse_machines(
      "[[machine]]\nname = \"fan\"\nbearing.DE = { designation = \"deep groove, bore 45\" }\n"
      "bearing.NDE = { designation = \"6309 C3\" }\n",
      "m.toml");
  REQUIRE(machines);
  const Machine& m = machines->front();
  const auto list = bearing_variants(*m.bearing(MachineEnd::drive_end));
  REQUIRE(list);
  CHECK(list->size() >= 2);
  double total = 0;
  for (const auto& c : *list) total += c.weight;
  CHECK(test::close_abs(total, 1, 1e-9));
  CHECK(bearing_to_order(m, MachineEnd::drive_end).empty());
  CHECK(bearing_to_order(m, MachineEnd::non_drive_end) == "6309 C3 (NDE)");
  CHECK_FALSE(parse_machines(
      "[[machine]]\nname = \"fan\"\nbearing.DE = { designation = \"square, bore 45\" }\n",
      "m.toml"));
}

TEST_CASE("machine: a bracket without the name of a table is refused with its line") {
  for (const std::string bad :
       {"[=machine]", "[", "[[ ", "[[*machine]]", "[\x01machine]", "[\xc3\xa9]"}) {
    CAPTURE(bad);
    const auto read = parse_machines("# fans\n" + bad + "\nname = \"fan\"\n", "a.toml");
    REQUIRE_FALSE(read.has_value());
    CHECK(read.error().where == "a.toml:2");
    CHECK(read.error().what.find("name of a table") != std::string::npos);
  }
  // Text may hold brackets, a comment may end with one, and a list over several lines, too.
  const auto fine = parse_machines(
      "[[machine]]\nname = \"fan\"\nrated_rpm = 1480\ndrives = \"\"\"\n[=\n\"\"\"\n# a list [",
      "a.toml");
  REQUIRE(fine.has_value());
  CHECK(fine->front().drives.find("[=") != std::string::npos);
  const auto list =
      parse_machines("[[machine]]\nname = \"fan\"\nnotes = [\n[{a = 1}],\n]\n", "a.toml");
  REQUIRE_FALSE(list.has_value());
  CHECK(list.error().what.find("notes") != std::string::npos);
}
