#include <algorithm>
#include <cmath>
#include <utility>

#include "bearingdsp/capture/file_unit.hpp"
#include "bearingdsp/machine/machine.hpp"
#include "bearingdsp/machine/text_file.hpp"
#include "machine/same_name.hpp"
#include "machine/toml_reader.hpp"

namespace bearingdsp {
namespace {

using namespace std::string_view_literals;
template <class E>
using Word = std::pair<std::string_view, E>;

constexpr std::array mountings{Word<Mounting>{"rigid"sv, Mounting::rigid},
                               Word<Mounting>{"flexible"sv, Mounting::flexible},
                               Word<Mounting>{"unknown"sv, Mounting::unknown}};
constexpr std::array orientations{Word<Orientation>{"horizontal"sv, Orientation::horizontal},
                                  Word<Orientation>{"vertical"sv, Orientation::vertical}};
constexpr std::array drives{Word<Drive>{"direct on line"sv, Drive::direct_on_line},
                            Word<Drive>{"vfd"sv, Drive::vfd},
                            Word<Drive>{"unknown"sv, Drive::unknown}};
constexpr std::array rotors{Word<Rotor>{"squirrel cage"sv, Rotor::squirrel_cage},
                            Word<Rotor>{"wound"sv, Rotor::wound},
                            Word<Rotor>{"permanent magnet"sv, Rotor::permanent_magnet},
                            Word<Rotor>{"unknown"sv, Rotor::unknown}};
constexpr std::array ends{Word<MachineEnd>{"DE"sv, MachineEnd::drive_end},
                          Word<MachineEnd>{"NDE"sv, MachineEnd::non_drive_end}};
constexpr std::array directions{Word<Direction>{"horizontal"sv, Direction::horizontal},
                                Word<Direction>{"vertical"sv, Direction::vertical},
                                Word<Direction>{"axial"sv, Direction::axial},
                                Word<Direction>{"radial"sv, Direction::radial}};
constexpr std::array surroundings{Word<Surroundings>{"clean"sv, Surroundings::clean},
                                  Word<Surroundings>{"dusty"sv, Surroundings::dusty},
                                  Word<Surroundings>{"wet"sv, Surroundings::wet},
                                  Word<Surroundings>{"hot"sv, Surroundings::hot},
                                  Word<Surroundings>{"cold"sv, Surroundings::cold},
                                  Word<Surroundings>{"outdoors"sv, Surroundings::outdoors},
                                  Word<Surroundings>{"corrosive"sv, Surroundings::corrosive}};

constexpr std::array severity_standards{
    Word<SeverityStandard>{"automatic"sv, SeverityStandard::automatic},
    Word<SeverityStandard>{"ISO 20816-3"sv, SeverityStandard::iso20816_3},
    Word<SeverityStandard>{"ISO 10816-3"sv, SeverityStandard::iso10816_3},
    Word<SeverityStandard>{"ISO 10816-1"sv, SeverityStandard::iso10816_1},
    Word<SeverityStandard>{"ISO 10816-7"sv, SeverityStandard::iso10816_7},
    Word<SeverityStandard>{"ISO 14694"sv, SeverityStandard::iso14694}};
constexpr std::array driven_machines{Word<DrivenMachine>{"pump"sv, DrivenMachine::pump},
                                     Word<DrivenMachine>{"fan"sv, DrivenMachine::fan},
                                     Word<DrivenMachine>{"other"sv, DrivenMachine::other},
                                     Word<DrivenMachine>{"unknown"sv, DrivenMachine::unknown}};
constexpr std::array pump_categories{Word<PumpCategory>{"I"sv, PumpCategory::one},
                                     Word<PumpCategory>{"II"sv, PumpCategory::two},
                                     Word<PumpCategory>{"unknown"sv, PumpCategory::unknown}};
constexpr std::array fan_categories{Word<FanCategory>{"BV-1"sv, FanCategory::bv1},
                                    Word<FanCategory>{"BV-2"sv, FanCategory::bv2},
                                    Word<FanCategory>{"BV-3"sv, FanCategory::bv3},
                                    Word<FanCategory>{"BV-4"sv, FanCategory::bv4},
                                    Word<FanCategory>{"BV-5"sv, FanCategory::bv5},
                                    Word<FanCategory>{"unknown"sv, FanCategory::unknown}};

/// Where the tables of one file leave their errors.
struct Source {
  std::string_view file;
  std::vector<Error>& errors;
};

std::optional<DefectOrders> read_orders(TomlReader& r) {
  const auto v = r.numbers("orders", 4, 1e-3, 1000);
  if (v.empty()) return std::nullopt;
  DefectOrders o;
  o.bpfo = Order{v[0]};
  o.bpfi = Order{v[1]};
  o.bsf = Order{v[2]};
  o.ftf = Order{v[3]};
  o.origin = OrdersOrigin::given;
  o.source = "given in " + r.place("orders");
  if (o.ftf < o.bsf && o.bpfo < o.bpfi) return o;
  r.fail("orders", "these cannot belong to one bearing", "give them as [BPFO, BPFI, BSF, FTF]");
  return std::nullopt;
}

std::optional<BearingGeometry> read_geometry(TomlReader& r, std::optional<int> elements) {
  const auto d = r.number("element_diameter_mm", 0.1, 1000);
  const auto pitch = r.number("pitch_diameter_mm", 1, 10000);
  const auto angle = r.number("contact_angle_deg", 0, 89);
  if (!d && !pitch && !angle) return std::nullopt;
  if (!d || !pitch || !elements) {
    r.fail({}, "the geometry of the bearing is not complete",
           "give elements, element_diameter_mm and pitch_diameter_mm");
    return std::nullopt;
  }
  const BearingGeometry g{*elements, *d, *pitch, Degrees{angle.value_or(0)}};
  if (const auto orders = defect_orders(g); !orders) {
    r.fail("element_diameter_mm", orders.error().what, orders.error().advice);
    return std::nullopt;
  }
  return g;
}

MachineBearing read_bearing(const toml::table& table, Source source) {
  TomlReader r{table, "a bearing", source.file, source.errors};
  const std::size_t before = source.errors.size();
  MachineBearing b;
  b.designation = r.text("designation");
  b.rolling_elements = r.whole("elements", 4, 200);
  b.geometry = read_geometry(r, b.rolling_elements);
  b.orders = read_orders(r);
  b.locating = r.flag("locating");
  b.insulated = r.flag("insulated");
  b.radial_load = r.quantity<Newtons>("radial_load_n", 0, 1e7);
  b.axial_load = r.quantity<Newtons>("axial_load_n", 0, 1e7);
  b.temperature = r.quantity<Celsius>("temperature_c", -60, 300);
  b.lubricant = r.text("lubricant");
  b.seal = r.text("seal");
  r.finish();
  if (source.errors.size() > before) return b;
  if (b.designation.empty() && !b.rolling_elements && !b.orders)
    r.fail({}, "the bearing is not described", "give its designation, or its number of elements");
  else if (const auto variants = bearing_variants(b); !variants)
    r.fail(b.designation.empty() ? "elements" : "designation", variants.error().message(), {});
  return b;
}

MeasuringPoint read_point(const toml::table& table, Source source) {
  TomlReader r{table, "a measuring point", source.file, source.errors};
  MeasuringPoint p;
  const std::string end = r.required_text("end");
  if (!end.empty()) p.end = r.word("end", end, ends, MachineEnd::drive_end);
  p.direction = r.choice("direction", directions, Direction::unknown);
  p.name = r.text("name");
  if (p.name.empty()) {
    p.name = token(p.end);
    if (p.direction != Direction::unknown) p.name += " " + std::string{token(p.direction)};
  }
  p.sensor = r.text("sensor");
  p.sensitivity_mv_per_g = r.number("sensitivity_mv_per_g", 1e-3, 1e5);
  p.unit = r.text("unit");
  if (!p.unit.empty() && !find_file_unit(p.unit))
    r.fail("unit", fmt::format("'{}' is not known", p.unit), "write g, m/s2, mm/s or V");
  p.full_scale = r.number("full_scale", 1e-9, 1e9);
  p.rate = r.quantity<Hz>("rate_hz", 1, 1e8);
  p.channels = r.texts("channel");
  p.tacho = r.text("tacho");
  p.pulses_per_revolution = r.number("pulses_per_revolution", 1e-3, 1e5).value_or(1);
  r.finish();
  return p;
}

std::optional<SpeedRange> read_speed_range(TomlReader& r) {
  const auto v = r.numbers("speed_range_rpm", 2, 1, 1e6);
  if (v.empty()) return std::nullopt;
  if (v[0] <= v[1]) return SpeedRange{Rpm{v[0]}, Rpm{v[1]}};
  r.fail("speed_range_rpm", "the first speed is above the second", "give [lowest, highest]");
  return std::nullopt;
}

void read_nameplate(TomlReader& r, Machine& m) {
  m.power = r.quantity<Kilowatts>("power_kw", 1e-3, 1e6);
  m.rated_speed = r.quantity<Rpm>("rated_rpm", 1, 1e6);
  m.speed_range = read_speed_range(r);
  m.line_frequency = r.quantity<Hz>("line_frequency_hz", 10, 500);
  m.poles = r.whole("poles", 2, 100);
  if (m.poles && *m.poles % 2 != 0)
    r.fail("poles", fmt::format("{} is an odd number", *m.poles),
           "poles come in pairs: 2, 4, 6 ...");
  m.rated_voltage = r.quantity<Volts>("rated_v", 1, 1e5);
  m.rated_current = r.quantity<Amperes>("rated_a", 0.01, 1e5);
  m.rotor = r.choice("rotor", rotors, Rotor::unknown);
  m.explosion_protected = r.flag("explosion_protected").value_or(false);
  m.frame = r.text("frame");
  m.shaft_height = r.quantity<Millimetres>("shaft_height_mm", 20, 5000);
  if (!m.shaft_height) m.shaft_height = shaft_height_of_frame(m.frame);
  m.duty = r.text("duty");
}

void read_place(TomlReader& r, Machine& m) {
  m.mounting = r.choice("mounting", mountings, Mounting::unknown);
  m.orientation = r.choice("orientation", orientations, Orientation::horizontal);
  m.drive = r.choice("drive", drives, Drive::unknown);
  for (const std::string& word : r.texts("surroundings"))
    m.surroundings.push_back(r.word("surroundings", word, surroundings, Surroundings::clean));
  m.severity_standard =
      r.choice("severity_standard", severity_standards, SeverityStandard::automatic);
  m.driven = r.choice("driven", driven_machines, DrivenMachine::unknown);
  m.pump_category = r.choice("pump_category", pump_categories, PumpCategory::unknown);
  m.fan_category = r.choice("fan_category", fan_categories, FanCategory::unknown);
  if (m.pump_category != PumpCategory::unknown && m.driven != DrivenMachine::pump)
    r.fail("pump_category", "the driven machine is not a pump", "write driven = \"pump\"");
  if (m.fan_category != FanCategory::unknown && m.driven != DrivenMachine::fan)
    r.fail("fan_category", "the driven machine is not a fan", "write driven = \"fan\"");
  m.ambient = r.quantity<Celsius>("ambient_c", -60, 150);
  m.shaft_grounded = r.flag("shaft_grounded");
}

/// An induction motor on the mains turns a little slower than its field, a synchronous one with it.
void check_speed(TomlReader& r, const Machine& m) {
  if (!m.rated_speed || !m.line_frequency || !m.poles) return;
  const Rpm field{120 * m.line_frequency->value() / *m.poles};
  constexpr double largest_slip = 0.2;
  if (*m.rated_speed <= 1.001 * field && *m.rated_speed >= (1 - largest_slip) * field) return;
  r.fail("rated_rpm",
         fmt::format("{} does not fit {} poles at {} Hz, with a synchronous speed of {} rpm",
                     m.rated_speed->value(), *m.poles, m.line_frequency->value(), field.value()),
         "check speed, poles and mains on the nameplate");
}

void read_bearings(TomlReader& r, Machine& m, Source source) {
  const toml::table* both = r.table("bearing");
  if (both == nullptr) return;
  TomlReader of_ends{*both, "the bearings of a machine", source.file, source.errors};
  if (const auto* t = of_ends.table("DE")) m.drive_end = read_bearing(*t, source);
  if (const auto* t = of_ends.table("NDE")) m.non_drive_end = read_bearing(*t, source);
  of_ends.finish();
}

void read_points(TomlReader& r, Machine& m, Source source) {
  for (const toml::table* t : r.tables("point")) {
    MeasuringPoint p = read_point(*t, source);
    const bool twice = std::any_of(m.points.begin(), m.points.end(), [&](const auto& other) {
      return same_name(other.name, p.name);
    });
    if (twice)
      TomlReader{*t, "a measuring point", source.file, source.errors}.fail(
          {}, fmt::format("the point '{}' is defined twice", p.name), "give each a different name");
    m.points.push_back(std::move(p));
  }
}

Machine read_machine(const toml::table& table, Source source) {
  TomlReader r{table, "a machine", source.file, source.errors};
  Machine m;
  m.where = r.place();
  m.name = r.required_text("name");
  m.description = r.text("description");
  m.drives = r.text("drives");
  read_nameplate(r, m);
  read_place(r, m);
  check_speed(r, m);
  read_bearings(r, m, source);
  read_points(r, m, source);
  r.finish();
  return m;
}

/// A file with faults gives the first of them.
Result<std::vector<Machine>> all_or_first(MachineCheck check) {
  if (!check.errors.empty()) return check.errors.front();
  return std::move(check.machines);
}

}  // namespace

MachineCheck check_machine_text(std::string_view text, std::string_view where) {
  const auto parsed = parse_toml(text, where);
  if (!parsed) return {{}, {parsed.error()}};
  MachineCheck check;
  TomlReader top{*parsed, "a machine file", where, check.errors};
  if (!top.has("machine"))
    top.fail({}, "no machine is described", "begin each with a line [[machine]]");
  for (const toml::table* t : top.tables("machine")) {
    const std::size_t before = check.errors.size();
    Machine m = read_machine(*t, {where, check.errors});
    const auto same = std::find_if(check.machines.begin(), check.machines.end(),
                                   [&](const Machine& o) { return same_name(o.name, m.name); });
    if (same != check.machines.end())
      check.errors.push_back({Errc::corrupt_file, m.where,
                              fmt::format("the machine '{}' is defined twice", m.name),
                              fmt::format("the other one is at {}", same->where)});
    if (check.errors.size() == before) check.machines.push_back(std::move(m));
  }
  top.finish();
  return check;
}

MachineCheck check_machines(const std::string& path) {
  const auto text = read_text_file(path);
  if (!text) return {{}, {text.error()}};
  return check_machine_text(*text, path);
}

Result<std::vector<Machine>> parse_machines(std::string_view text, std::string_view where) {
  return all_or_first(check_machine_text(text, where));
}

Result<std::vector<Machine>> read_machines(const std::string& path) {
  return all_or_first(check_machines(path));
}

}  // namespace bearingdsp
