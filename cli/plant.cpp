#include "plant.hpp"

#include <fmt/format.h>

#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "terminal.hpp"

namespace cli {
using namespace bearingdsp;

Result<std::optional<Plant>> plant_here() {
  const std::string path = find_plant(".");
  if (path.empty()) return std::optional<Plant>{};
  auto plant = read_plant(path);
  if (!plant) return plant.error();
  return std::optional<Plant>{std::move(*plant)};
}

Result<Plant> required_plant() {
  auto plant = plant_here();
  if (!plant) return plant.error();
  if (*plant) return std::move(**plant);
  return Error{Errc::not_found, std::string{plant_file_name},
               "there is none in this folder or above it", "make a plant folder: bearingdsp init"};
}

Result<std::vector<Machine>> chosen_machines(const std::string& file) {
  if (!file.empty()) return read_machines(file);
  const auto plant = required_plant();
  if (!plant) {
    Error error = plant.error();
    if (error.code == Errc::not_found) error.advice += ", or give a machine file: --machines FILE";
    return error;
  }
  auto machines = plant_machines(*plant);
  if (!machines) return machines.error();
  if (machines->empty())
    return Error{Errc::not_found, plant->machines, "the plant has no machine yet",
                 "add one: bearingdsp machine add"};
  print_note(fmt::format("from {}: machines {}", plant->path, plant->machines));
  return machines;
}

std::string store_taken(const Plant& plant) {
  return fmt::format("from {}: store {}", plant.path, plant.store);
}

Result<Route> chosen_route(std::string& folder, const std::string& typed,
                           const std::string& store) {
  if (!folder.empty() && !typed.empty()) {
    const auto plant = plant_here();
    if (!plant) return plant.error();
    if (*plant && (*plant)->store == store) print_note(store_taken(**plant));
    return read_route(typed);
  }
  const auto plant = required_plant();
  if (!plant && plant.error().code == Errc::not_found)
    return Error{Errc::bad_argument, folder.empty() ? "folder" : "--route",
                 "is not given, and there is no plant folder here",
                 "give FOLDER and --route FILE, or make a plant folder: bearingdsp init"};
  if (!plant) return plant.error();
  if (folder.empty()) folder = plant->recordings;
  auto route = typed.empty() ? plant_route(*plant) : read_route(typed);
  if (route)
    print_note(fmt::format("from {}: recordings {}, route {}{}", plant->path, folder, route->path,
                           plant->store == store ? ", store " + store : ""));
  return route;
}

std::string taken_from(const Plant& plant, const RecordingPlace& place, const std::string& sensor,
                       bool mains) {
  std::string text;
  if (place.machine) {
    std::string at = "machine " + place.machine->name;
    if (place.point) at += ", point " + place.point->name;
    const std::string_view origin = words(place.origin);
    add_part(text, origin.empty() ? at : fmt::format("{} (by {})", at, origin));
  }
  if (place.speed) add_part(text, fmt::format("speed {:.5g} rpm", place.speed->value()));
  if (!sensor.empty()) add_part(text, fmt::format("sensor {}", sensor));
  if (mains && plant.mains) add_part(text, fmt::format("mains {:g} Hz", plant.mains->value()));
  return text.empty() ? "" : "from " + plant.path + ": " + text;
}

}  // namespace cli
