#pragma once
/// machine add, route add, sensor add: tables added to the files of a plant.
#include "commands.hpp"

namespace cli {

void add_machine_add(CLI::App& machine, Run& run);
void add_route_add(CLI::App& route, Run& run);
void add_sensor_add(CLI::App& sensor, Run& run);

}  // namespace cli
