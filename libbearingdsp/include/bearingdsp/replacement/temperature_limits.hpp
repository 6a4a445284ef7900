#pragma once
/// Between which temperatures the parts of a bearing may run.
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/bearing/designation.hpp"

namespace bearingdsp {

/// The limits of one part, degrees Celsius. An empty limit is not known here: ask the manufacturer.
struct PartLimit {
  std::string part;   ///< "rings", "cage", "seals", "grease"
  std::string words;  ///< what it is of: "polyamide 66 cage"
  std::optional<double> lowest_c;
  std::optional<double> highest_c;  ///< lasting
  std::optional<double> briefly_c;  ///< for a short time
  std::string remedy;               ///< what to order for more; may be empty
  std::string source;
};

/// Limits of the parts that a designation names: rings (S0 to S4 or as usual), cage where it is not
/// of metal, rubbing and gap seals, the grease of a bearing closed on both sides. A part that the
/// suffixes do not name is taken as usual: rings of bearing steel, metal cage, nitrile rubber,
/// lithium grease.
/// Source: data/temperature_limits.csv, each row with its own
[[nodiscard]] std::vector<PartLimit> temperature_limits(const Designation& designation);

}  // namespace bearingdsp
