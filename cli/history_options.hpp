#pragma once
/// What the commands about the history share.
#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include "bearingdsp/history/store.hpp"
#include "bearingdsp/machine/route.hpp"

namespace cli {

void add_store_option(CLI::App& command, std::string& store);
/// Points of the machine of that name (case, blanks, hyphens and underscores do not count), or the
/// one point asked for. Errors: not_found with what there is
[[nodiscard]] bearingdsp::Result<std::vector<bearingdsp::PointKey>> choose_points(
    bearingdsp::History& history, const std::string& machine, const std::string& point);

/// The machine files of a route, and the store: what no option may name.
[[nodiscard]] std::vector<std::string> read_by(const bearingdsp::Route& route,
                                               const std::string& store);

}  // namespace cli
