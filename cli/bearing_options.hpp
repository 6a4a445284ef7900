#pragma once
/// Options that say which bearing it is.
#include <CLI/CLI.hpp>
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/bearing/candidates.hpp"
#include "bearingdsp/core/result.hpp"

namespace cli {

struct BearingOptions {
  std::string name, geometry, orders, sizes, catalogue;
  std::optional<int> elements;
};
void add_bearing_options(CLI::App& command, BearingOptions& options);

/// The bearing that was asked for: none, one, or the candidates that its name can mean.
struct ChosenBearing {
  std::string title;
  std::vector<bearingdsp::BearingCandidate> candidates;  ///< the likeliest first
  /// Their orders alone.
  [[nodiscard]] std::vector<bearingdsp::DefectOrders> variants() const;
};
[[nodiscard]] bearingdsp::Result<ChosenBearing> choose_bearing(const BearingOptions& options);
/// "8 or 9": the numbers of elements of the candidates.
[[nodiscard]] std::string element_counts(
    const std::vector<bearingdsp::BearingCandidate>& candidates);

}  // namespace cli
