#pragma once
/// What is the same for all recordings of a plant: a folder with plant.toml, recordings and history
/// (docs/plant-folder.md).
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/machine/machine.hpp"
#include "bearingdsp/machine/route.hpp"

namespace bearingdsp {

inline constexpr std::string_view plant_file_name = "plant.toml";

struct Plant {
  std::string path;            ///< of plant.toml
  std::string folder;          ///< that it is in, empty or ending in '/'
  std::string name;            ///< free words; may be empty
  std::optional<Hz> mains;     ///< of machines without line_frequency_hz
  std::string default_sensor;  ///< name; empty: the first one
  std::vector<Sensor> sensors;
  /// Paths, the folder of the plant in front.
  std::string machines{"machines.toml"}, route{"route.toml"}, store{"history.db"},
      recordings{"recordings"};
  std::string reports;  ///< folder of reports without a folder of their own; empty: none

  /// Of recordings that say nothing else; nullptr if the plant has no sensor.
  [[nodiscard]] const Sensor* usual_sensor() const noexcept;
  /// Of recordings of a point: the one that the point names, else the usual one; nullptr where the
  /// point has unit, sensitivity or full scale of its own, or the plant has no sensor.
  [[nodiscard]] const Sensor* sensor_of(const MeasuringPoint& point) const noexcept;
};

/// plant.toml of the folder or the nearest one above it, as a path relative to the folder; empty if
/// there is none.
[[nodiscard]] std::string find_plant(const std::string& folder);
/// Errors: io; corrupt_file with "file:line", the key and what was probably meant
[[nodiscard]] Result<Plant> read_plant(const std::string& path);
[[nodiscard]] Result<Plant> parse_plant(std::string_view text, std::string_view path);

/// The machine with what the plant says where the machine file says nothing: mains, and sensors of
/// its points (Plant::sensor_of).
[[nodiscard]] Machine with_plant(Machine machine, const Plant& plant);
/// The machines of the plant, each with_plant(); none if it has no machine file yet.
/// Errors: those of read_machines()
[[nodiscard]] Result<std::vector<Machine>> plant_machines(const Plant& plant);
/// The route of the plant, with its machines with_plant(); every point of every machine in turn,
/// found by names, if it has no route file.
/// Errors: those of read_route() and plant_machines(); not_found if there is no machine
[[nodiscard]] Result<Route> plant_route(const Plant& plant);

}  // namespace bearingdsp
