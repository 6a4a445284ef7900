#pragma once
/// --machine FILE#NAME with --point and --end, for every command that can take what it needs from a
/// machine file.
#include <CLI/CLI.hpp>
#include <string>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/machine/machine.hpp"

namespace cli {

struct MachineOptions {
  std::string machine, point, end;
  [[nodiscard]] bool given() const { return !machine.empty(); }
};
void add_machine_option(CLI::App& command, MachineOptions& options);
/// --point and --end, for commands about recordings.
void add_point_options(CLI::App& command, MachineOptions& options);

/// The machine of "FILE#NAME", or the only one of "FILE", or in a plant folder that of "NAME"; with
/// what the plant says where the machine file says nothing.
/// Errors: those of read_machines(), find_machine() and plant_here()
[[nodiscard]] bearingdsp::Result<bearingdsp::Machine> choose_machine(const std::string& asked);
/// The same, and a note where it came from the plant: for commands about a machine, not about
/// recordings (known_recording).
[[nodiscard]] bearingdsp::Result<bearingdsp::Machine> choose_machine_aloud(
    const std::string& asked);
/// The end that is asked for by "DE" or "NDE", case ignored.
/// Errors: bad_argument
[[nodiscard]] bearingdsp::Result<bearingdsp::MachineEnd> parse_end(const std::string& text);
/// The same for a machine; left out, the only end whose bearing is known.
/// Errors: bad_argument
[[nodiscard]] bearingdsp::Result<bearingdsp::MachineEnd> chosen_end(
    const bearingdsp::Machine& machine, const std::string& text);
/// The point that --point names, or the only one (at --end). Where the file lists no point of that
/// end, the end alone makes one: its bearing is known, how to read the file is not.
/// Errors: not_found, bad_argument with the points there are
[[nodiscard]] bearingdsp::Result<bearingdsp::MeasuringPoint> choose_point(
    const bearingdsp::Machine& machine, const MachineOptions& options);

}  // namespace cli
