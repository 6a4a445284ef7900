#pragma once
/// The plant folder of the working directory, for every command that can take something from it.
/// What is typed goes before it.
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/machine/plant.hpp"
#include "bearingdsp/machine/recording_place.hpp"

namespace cli {

/// The plant of the working directory or of a folder above it; nothing if there is none.
/// Errors: those of read_plant()
[[nodiscard]] bearingdsp::Result<std::optional<bearingdsp::Plant>> plant_here();
/// The plant, for a command that cannot do without.
/// Errors: also not_found, with how to make one
[[nodiscard]] bearingdsp::Result<bearingdsp::Plant> required_plant();

/// The machines of a file, or of the plant where the name is empty, with a note.
/// Errors: those of read_machines() and required_plant(); not_found for a plant without machines
[[nodiscard]] bearingdsp::Result<std::vector<bearingdsp::Machine>> chosen_machines(
    const std::string& file);

/// "from plant.toml: store history.db"
[[nodiscard]] std::string store_taken(const bearingdsp::Plant& plant);

/// The route file that was typed, or that of the plant, whose folder of recordings an empty
/// `folder` becomes; a note says so, and which store if that is of the plant.
/// Errors: bad_argument where one is not given and there is no plant; those of read_route() and
/// plant_route()
[[nodiscard]] bearingdsp::Result<bearingdsp::Route> chosen_route(std::string& folder,
                                                                 const std::string& route,
                                                                 const std::string& store);

/// "sensor 'recorder A', mains 50 Hz: from plant.toml": what a diagnosis took from the plant.
[[nodiscard]] std::string taken_from(const bearingdsp::Plant& plant,
                                     const bearingdsp::RecordingPlace& place,
                                     const std::string& sensor, bool mains);

}  // namespace cli
