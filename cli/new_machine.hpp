#pragma once
/// A machine as it is typed or asked for, and its text for a machine file.
#include <CLI/CLI.hpp>
#include <optional>
#include <string>
#include <vector>

#include "show.hpp"

namespace cli {

struct NewMachine {
  std::string name, description, drives, bearing, other_bearing, frame, mounting, drive;
  std::optional<double> rpm, power, mains;
  std::optional<int> poles;
  std::vector<std::string> points;
  Printing printing;
};
void add_new_machine_options(CLI::App& command, NewMachine& options);
/// Asks for bearings, speed, power and point where they were not typed; false at the end of the
/// input.
[[nodiscard]] bool ask_machine(NewMachine& machine);
/// [[machine]] with its points.
[[nodiscard]] std::string machine_table(const NewMachine& machine);

}  // namespace cli
