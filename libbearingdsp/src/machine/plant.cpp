#include "bearingdsp/machine/plant.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <utility>

#include "bearingdsp/capture/file_unit.hpp"
#include "bearingdsp/core/near_miss.hpp"
#include "bearingdsp/machine/text_file.hpp"
#include "machine/toml_reader.hpp"

namespace bearingdsp {
namespace {

namespace fs = std::filesystem;

Sensor read_sensor(TomlReader& r) {
  Sensor s;
  s.name = r.required_text("name");
  s.note = r.text("note");
  s.unit = r.text("unit");
  if (!s.unit.empty() && !find_file_unit(s.unit))
    r.fail("unit", fmt::format("'{}' is not known", s.unit), "write g, m/s2, mm/s or V");
  s.sensitivity_mv_per_g = r.number("sensitivity_mv_per_g", 1e-3, 1e5);
  s.full_scale = r.number("full_scale", 1e-9, 1e9);
  if (s.full_scale && s.unit.empty() && !s.sensitivity_mv_per_g)
    r.fail("full_scale", "has no unit", "add unit, for example \"g\"");
  s.rate = r.quantity<Hz>("rate_hz", 1, 1e8);
  s.channels = r.texts("channel");
  s.input = r.text("input");
  r.finish();
  return s;
}

void read_sensors(TomlReader& top, Plant& plant, std::vector<Error>& errors) {
  if (!top.has("sensor")) return;
  for (const toml::table* t : top.tables("sensor")) {
    TomlReader r{*t, "a sensor", plant.path, errors};
    Sensor s = read_sensor(r);
    if (find_sensor(plant.sensors, s.name) != nullptr)
      r.fail("name", fmt::format("the sensor '{}' is defined twice", s.name),
             "give each a different name");
    plant.sensors.push_back(std::move(s));
  }
}

void read_paths(TomlReader& top, Plant& plant) {
  for (const auto& [key, path] :
       {std::pair{"machines", &plant.machines}, std::pair{"route", &plant.route},
        std::pair{"store", &plant.store}, std::pair{"recordings", &plant.recordings},
        std::pair{"reports", &plant.reports}}) {
    if (std::string given = top.text(key); !given.empty()) *path = std::move(given);
    const bool none = path->empty();
    if (!none && !fs::path{*path}.is_absolute()) *path = plant.folder + *path;
  }
}

}  // namespace

const Sensor* Plant::usual_sensor() const noexcept {
  if (!default_sensor.empty()) return find_sensor(sensors, default_sensor);
  return sensors.empty() ? nullptr : &sensors.front();
}

const Sensor* Plant::sensor_of(const MeasuringPoint& point) const noexcept {
  if (!point.unit.empty() || point.sensitivity_mv_per_g || point.full_scale) return nullptr;
  const Sensor* named = point.sensor.empty() ? nullptr : find_sensor(sensors, point.sensor);
  return named != nullptr ? named : usual_sensor();
}

std::string find_plant(const std::string& folder) {
  std::error_code code;
  const fs::path here =
      fs::weakly_canonical(fs::absolute(folder.empty() ? "." : folder, code), code);
  if (code) return {};
  std::string up;
  for (fs::path at = here;; at = at.parent_path()) {
    if (fs::is_regular_file(at / plant_file_name, code)) return up + std::string{plant_file_name};
    if (at == at.parent_path()) return {};
    up += "../";
  }
}

Result<Plant> parse_plant(std::string_view text, std::string_view path) {
  const auto parsed = parse_toml(text, path);
  if (!parsed) return parsed.error();
  Plant plant;
  plant.path = path;
  const auto slash = plant.path.rfind('/');
  plant.folder = slash == std::string::npos ? "" : plant.path.substr(0, slash + 1);
  std::vector<Error> errors;
  TomlReader top{*parsed, "a plant", path, errors};
  plant.name = top.text("name");
  plant.mains = top.quantity<Hz>("mains_hz", 10, 500);
  read_paths(top, plant);
  plant.default_sensor = top.text("default_sensor");
  read_sensors(top, plant, errors);
  if (!plant.default_sensor.empty() &&
      find_sensor(plant.sensors, plant.default_sensor) == nullptr) {
    std::vector<std::string> names;
    for (const Sensor& s : plant.sensors) names.push_back(s.name);
    top.fail("default_sensor",
             fmt::format("'{}' is not a sensor of the plant", plant.default_sensor),
             did_you_mean(plant.default_sensor, names, "add it with: bearingdsp sensor add"));
  }
  top.finish();
  if (!errors.empty()) return errors.front();
  return plant;
}

Result<Plant> read_plant(const std::string& path) {
  const auto text = read_text_file(path);
  if (!text) return text.error();
  return parse_plant(*text, path);
}

Machine with_plant(Machine machine, const Plant& plant) {
  // A drive makes its own frequency; without one the motor turns with the mains of the plant.
  if (!machine.line_frequency) machine.line_frequency = plant.mains;
  for (MeasuringPoint& point : machine.points)
    if (const Sensor* sensor = plant.sensor_of(point)) take_sensor(point, *sensor);
  return machine;
}

Result<std::vector<Machine>> plant_machines(const Plant& plant) {
  if (std::error_code code; !fs::exists(plant.machines, code)) return std::vector<Machine>{};
  auto machines = read_machines(plant.machines);
  if (!machines) return machines;
  for (Machine& m : *machines) m = with_plant(std::move(m), plant);
  return machines;
}

Result<Route> plant_route(const Plant& plant) {
  if (std::error_code code; fs::exists(plant.route, code)) {
    auto route = read_route(plant.route);
    if (!route) return route;
    for (Machine& m : route->machines) m = with_plant(std::move(m), plant);
    route->sensors = plant.sensors;
    return route;
  }
  auto machines = plant_machines(plant);
  if (!machines) return machines.error();
  if (machines->empty())
    return Error{Errc::not_found, plant.path, "the plant has no machines yet",
                 "add one with: bearingdsp machine add NAME --bearing 6205 --rpm 1480"};
  Route route;
  route.name = plant.name;
  route.path = plant.path;
  for (std::size_t m = 0; m < machines->size(); ++m)
    for (std::size_t p = 0; p < (*machines)[m].points.size(); ++p) {
      RoutePoint stop;
      stop.machine = m;
      stop.point = p;
      stop.where = (*machines)[m].where;
      route.points.push_back(std::move(stop));
    }
  route.machines = std::move(*machines);
  route.sensors = plant.sensors;
  return route;
}

}  // namespace bearingdsp
