#include "machine_option.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <utility>
#include <vector>

#include "bearingdsp/core/sentence.hpp"
#include "plant.hpp"
#include "terminal.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

std::string names_of(const std::vector<MeasuringPoint>& points) {
  std::string text;
  for (const MeasuringPoint& p : points) add_part(text, fmt::format("\"{}\"", p.name));
  return text;
}

}  // namespace

void add_machine_option(CLI::App& c, MachineOptions& o) {
  c.add_option("--machine", o.machine,
               "take bearing, speed, mains and sensor from a machine file (add #NAME if it has "
               "several machines); in a plant folder the name is enough")
      ->type_name("FILE[#NAME]")
      ->group("The machine (instead of the options below)");
}

void add_point_options(CLI::App& c, MachineOptions& o) {
  const std::string group = "The machine (instead of the options below)";
  c.add_option("--point", o.point, "measuring point, as in the machine file")
      ->type_name("NAME")
      ->group(group);
  c.add_option("--end", o.end, "end at which it was measured, if there is no point")
      ->type_name("DE|NDE")
      ->group(group);
}

namespace {

/// "FILE#NAME"
struct AskedMachine {
  std::string file, wanted;
  /// In a plant a name alone is of its machine file, unless there is a file of that name.
  [[nodiscard]] bool name_alone() const {
    std::error_code code;
    return file.empty() || (wanted.empty() && !std::filesystem::exists(file, code));
  }
};
AskedMachine read_asked(const std::string& asked) {
  const auto hash = asked.rfind('#');
  return {asked.substr(0, hash), hash == std::string::npos ? "" : asked.substr(hash + 1)};
}

}  // namespace

Result<Machine> choose_machine_aloud(const std::string& asked) {
  auto machine = choose_machine(asked);
  const auto plant = plant_here();
  if (machine && plant && *plant && read_asked(asked).name_alone())
    print_note(
        fmt::format("from {}: machine {} ({})", (*plant)->path, machine->name, machine->where));
  return machine;
}

Result<Machine> choose_machine(const std::string& asked) {
  const auto plant = plant_here();
  if (!plant) return plant.error();
  const AskedMachine typed = read_asked(asked);
  const auto& [file, wanted] = typed;
  if (*plant && typed.name_alone()) {
    const auto machines = plant_machines(**plant);
    if (!machines) return machines.error();
    if (machines->empty())
      return Error{Errc::not_found, (*plant)->path, "the plant has no machines yet",
                   "add one with: bearingdsp machine add NAME --bearing 6205 --rpm 1480"};
    return find_machine(*machines, wanted.empty() ? file : wanted);
  }
  const auto machines = read_machines(file);
  if (!machines) return machines.error();
  auto machine = find_machine(*machines, wanted);
  if (machine && *plant) machine = with_plant(std::move(*machine), **plant);
  return machine;
}

Result<MachineEnd> parse_end(const std::string& text) {
  if (const auto end = from_token<MachineEnd>(upper(text))) return *end;
  return Error{Errc::bad_argument, "--end", "'" + text + "' is not an end of a motor",
               "write DE (drive end) or NDE (non-drive end)"};
}

Result<MachineEnd> chosen_end(const Machine& machine, const std::string& text) {
  if (!text.empty()) return parse_end(text);
  if (machine.drive_end && !machine.non_drive_end) return MachineEnd::drive_end;
  if (machine.non_drive_end && !machine.drive_end) return MachineEnd::non_drive_end;
  return Error{Errc::bad_argument, "machine '" + machine.name + "'", "has two ends",
               "add --end DE or --end NDE"};
}

Result<MeasuringPoint> choose_point(const Machine& machine, const MachineOptions& o) {
  std::vector<MeasuringPoint> points = machine.points;
  if (!o.end.empty()) {
    const auto end = parse_end(o.end);
    if (!end) return end.error();
    std::erase_if(points, [&](const MeasuringPoint& p) { return p.end != *end; });
    if (points.empty() && o.point.empty()) {
      MeasuringPoint bare;
      bare.name = token(*end);
      bare.end = *end;
      return bare;
    }
  }
  const std::string where = fmt::format("machine '{}'", machine.name);
  if (points.empty() && o.point.empty())
    return Error{Errc::not_found, where, "has no measuring points",
                 "give --end DE or --end NDE, or add a [[machine.point]]"};
  if (points.size() > 1 && o.point.empty())
    return Error{Errc::bad_argument, where,
                 fmt::format("has {} measuring points{}", points.size(),
                             o.end.empty() ? "" : " at that end"),
                 "choose one with --point: " + names_of(points)};
  if (o.point.empty()) return points.front();
  auto point = find_point(machine, o.point);
  if (!point || o.end.empty() || point->end == *parse_end(o.end)) return point;
  return Error{Errc::bad_argument, "--end", fmt::format("'{}' is at the other end", point->name),
               "remove --end"};
}

}  // namespace cli
