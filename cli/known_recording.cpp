#include "known_recording.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "plant.hpp"
#include "terminal.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

/// Where the file belongs: as typed, else what the plant knows of it.
Result<RecordingPlace> place_for(const std::string& file, const MachineOptions& at,
                                 const std::optional<Plant>& plant, Wanted wanted) {
  RecordingPlace place;
  if (at.given()) {
    auto machine = choose_machine(at.machine);
    if (!machine) return machine.error();
    place.machine = std::move(*machine);
  } else if (plant) {
    auto found = place_of(*plant, file);
    if (!found) return found.error();
    place = std::move(*found);
  }
  // What the recorder noticed counts wherever the machine is from. Without a plant a file of that
  // name may be anything.
  if (at.given() || !plant)
    if (const auto notes = read_sidecar(file); notes && *notes) place.findings = (*notes)->findings;
  if (!place.machine) {
    if (at.point.empty() && at.end.empty()) return place;
    return Error{
        Errc::bad_argument, at.point.empty() ? "--end" : "--point",
        plant ? file + " does not name a machine of the plant" : "only valid with a machine file",
        plant ? "add --machine NAME" : "add --machine FILE"};
  }
  if (place.point && at.point.empty() && at.end.empty()) return place;
  auto point = choose_point(*place.machine, at);
  if (!point && wanted == Wanted::reading && at.point.empty()) return place;
  if (!point) return point.error();
  place.point = std::move(*point);
  return place;
}

/// The sensor of the plant, into what does not say its own; its name.
std::string take_plant_sensor(const RecordingPlace& place, MeasuringPoint& point,
                              const Plant& plant) {
  const Sensor* sensor = place.sensor.empty() ? nullptr : find_sensor(plant.sensors, place.sensor);
  // The points of machines have theirs already, and are marked.
  if (sensor == nullptr && !point.assumed && place.point) sensor = plant.sensor_of(point);
  if (sensor == nullptr && !place.point) sensor = plant.usual_sensor();
  if (sensor != nullptr) take_sensor(point, *sensor);
  if (sensor != nullptr) return sensor->name;
  if (!point.assumed) return {};
  const Sensor* named = find_sensor(plant.sensors, point.sensor);
  return (named != nullptr ? named : plant.usual_sensor())->name;
}

/// In words what came from the plant and was not typed.
std::string taken_by(const TypedFacts& typed, const Plant& plant, RecordingPlace place,
                     const std::string& sensor) {
  if (typed.speed) place.speed.reset();
  const bool mains =
      !typed.mains && (!place.machine || place.machine->line_frequency == plant.mains);
  return taken_from(plant, place, typed.calibration ? "" : sensor, mains);
}

std::string point_words(const KnownRecording& k) {
  return k.point.name.empty() ? k.machine->name : k.machine->name + ", " + k.point.name;
}

}  // namespace

TypedFacts typed_facts(const ReadingOptions& reading, bool speed, bool mains) {
  return {speed, !reading.units.empty() || !reading.sensitivities.empty() || reading.full_scale,
          mains};
}

Result<KnownRecording> known_recording(const std::string& file, const MachineOptions& at,
                                       const TypedFacts& typed, Wanted wanted) {
  const auto plant = plant_here();
  if (!plant) return plant.error();
  auto place = place_for(file, at, *plant, wanted);
  if (!place) return place.error();
  KnownRecording known;
  known.file = file;
  known.point = place->point.value_or(MeasuringPoint{});
  const std::string sensor = *plant ? take_plant_sensor(*place, known.point, **plant) : "";
  known.machine = place->machine;
  known.speed = place->speed;
  known.sensor = sensor;
  known.findings = place->findings;
  if (!*plant) return known;
  if (!known.machine) known.mains = (*plant)->mains;
  known.taken = taken_by(typed, **plant, std::move(*place), sensor);
  return known;
}

Result<std::vector<KnownRecording>> known_recordings(const std::vector<std::string>& files,
                                                     const MachineOptions& at,
                                                     const TypedFacts& typed) {
  std::vector<KnownRecording> all;
  for (const std::string& file : files) {
    auto known = known_recording(file, at, typed);
    if (!known) return known.error();
    all.push_back(std::move(*known));
  }
  const auto named = [](const KnownRecording& k) { return k.machine.has_value(); };
  const auto first = std::find_if(all.begin(), all.end(), named);
  if (first == all.end()) return all;
  const KnownRecording known = *first;
  for (KnownRecording& k : all) {
    if (!k.machine) {
      const std::string file = std::exchange(k.file, {});
      k = known;
      k.file = file;
      k.speed.reset();
    } else if (k.machine->name != known.machine->name || k.point.name != known.point.name) {
      return Error{
          Errc::bad_argument, k.file,
          fmt::format("is of {}, but {} of {}", point_words(k), known.file, point_words(known)),
          "give recordings of one measuring point, or name it: --machine NAME --point "
          "NAME"};
    }
  }
  return all;
}

Result<PointSetup> setup_of(const KnownRecording& known, std::optional<Rpm> speed) {
  if (!speed) speed = known.speed;
  if (known.machine) return point_setup(*known.machine, known.point, speed);
  PointSetup setup;
  setup.reading = reading_options(known.point);
  setup.diagnosis.line_frequency = known.mains;
  setup.diagnosis.speed = speed;
  return setup;
}

void say_taken(const std::vector<KnownRecording>& all) {
  std::vector<std::string> said;
  for (const KnownRecording& k : all) {
    if (k.taken.empty() || std::find(said.begin(), said.end(), k.taken) != said.end()) continue;
    said.push_back(k.taken);
    const auto same = std::count_if(all.begin(), all.end(),
                                    [&](const KnownRecording& o) { return o.taken == k.taken; });
    const std::string more = same > 1 ? fmt::format(" and {} more", same - 1) : "";
    print_note(fmt::format("{}{}: {}", k.file, more, k.taken));
  }
}

}  // namespace cli
