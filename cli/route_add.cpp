#include <fmt/format.h>

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/machine/route.hpp"
#include "bearingdsp/machine/toml_text.hpp"
#include "checks.hpp"
#include "machine_add.hpp"
#include "output_file.hpp"
#include "plant.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct RouteAddCommand {
  std::string machine, point;
  std::vector<std::string> files;
  std::optional<double> rpm, load;
};

std::string stop_table(const RouteAddCommand& o, const std::string& machine,
                       const std::string& point) {
  TomlLines t{"[[point]]"};
  t.add("machine", machine);
  t.add("point", point);
  t.add("files", o.files);
  t.add("speed_rpm", o.rpm);
  t.add("load_percent", o.load);
  return t.text();
}

/// A new route names its machine file, relative to itself, and the plant.
std::string head_of(const Plant& plant) {
  TomlLines t{
      "# Stops of the survey: docs/machine-files.md. Recordings are found by the names of "
      "machine and\n# point in their path, or by patterns in files."};
  t.add("name", plant.name.empty() ? "survey" : plant.name);
  const bool beside = plant.machines.starts_with(plant.folder) && !plant.folder.empty();
  t.add("machines", beside ? plant.machines.substr(plant.folder.size()) : plant.machines);
  return t.text();
}

Exit run_add(const RouteAddCommand& o) {
  const auto plant = required_plant();
  if (!plant) return fail(plant.error());
  auto machines = plant_machines(*plant);
  if (!machines) return fail(machines.error());
  const auto machine = find_machine(*machines, o.machine);
  if (!machine) return fail(machine.error());
  std::vector<std::string> points;
  if (!o.point.empty()) {
    const auto point = find_point(*machine, o.point);
    if (!point) return fail(point.error());
    points.push_back(point->name);
  } else {
    for (const MeasuringPoint& p : machine->points) points.push_back(p.name);
  }
  if (points.empty())
    return fail({Errc::not_found, "machine '" + machine->name + "'", "has no measuring points",
                 "add a [[machine.point]] to " + plant->machines});
  auto file = EditedFile::open(plant->route);
  if (!file) return fail(file.error());
  std::string text = file->is_new() ? head_of(*plant) : file->text();
  for (const std::string& point : points)
    text = with_table(text, stop_table(o, machine->name, point));
  const auto route = parse_route(text, plant->route, std::move(*machines));
  if (!route) return fail(route.error());
  if (auto done = file->save(text); !done) return fail(done.error());
  for (const std::string& point : points)
    print_line(fmt::format("added to {}: {}, {}", plant->route, machine->name, point));
  return Exit::no_fault;
}

}  // namespace

void add_route_add(CLI::App& route, Run& run) {
  auto o = std::make_shared<RouteAddCommand>();
  CLI::App* c = route.add_subcommand(
      "add",
      "Adds a machine of the plant folder to its route: all its points, or one.\n"
      "Example: bearingdsp route add fan --point \"DE horizontal\"");
  c->add_option("machine", o->machine, "as in the machine file")->type_name("MACHINE")->required();
  c->add_option("--point", o->point, "only this measuring point")->type_name("NAME");
  c->add_option("--files", o->files,
                "pattern of its recordings, for example \"fan/{date}_*.wav\"; can be repeated "
                "(without: found by names)")
      ->type_name("PATTERN")
      ->allow_extra_args(false);
  c->add_option("-n,--rpm", o->rpm, "speed at measuring, if not the rated one")
      ->type_name("RPM")
      ->check(between(1.0, 1e6));
  c->add_option("--load", o->load, "load at measuring, percent of the rated load")
      ->type_name("PERCENT")
      ->check(between(0.0, 500.0));
  set_run(*c, run, o, run_add);
}

}  // namespace cli
