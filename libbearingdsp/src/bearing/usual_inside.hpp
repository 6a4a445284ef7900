#pragma once
/// What is usual inside bearings of a type: data/inside_ranges.csv.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/bearing/catalogue.hpp"
#include "bearingdsp/bearing/designation.hpp"
#include "bearingdsp/bearing/estimate.hpp"

namespace bearingdsp::usual_inside {

/// What is known of a bearing whose inside is estimated.
struct Known {
  BearingType type{BearingType::deep_groove_ball};
  std::string series;  ///< figures of the designation, "222"; may be empty
  std::string design;  ///< "standard", "reinforced", "full complement"; empty: not known
  std::optional<BoundaryDimensions> sizes;  ///< mm; the width is not used
  std::optional<Degrees> contact_angle;
};

/// Candidates, the likeliest first, weights summing to 1. They hold the true count in at least 95 %
/// of the known bearings.
[[nodiscard]] std::vector<BearingCandidate> candidates(const Known& known);
/// The one with that count of elements in a row (3 to 200).
[[nodiscard]] BearingCandidate counted(const Known& known, int rolling_elements);

/// Candidates of one count become one whose half-widths cover all of them; weights are added, then
/// scaled to the sum 1; the likeliest first.
[[nodiscard]] std::vector<BearingCandidate> by_count(std::vector<BearingCandidate> list);

}  // namespace bearingdsp::usual_inside
