#pragma once
/// Which bearings may be fitted where a designation, sizes or a type are all that is known: the one
/// place that resolves a bearing for every command.
#include <optional>
#include <string_view>
#include <vector>

#include "bearingdsp/bearing/catalogue.hpp"
#include "bearingdsp/bearing/designation.hpp"
#include "bearingdsp/bearing/estimate.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// What is known of a bearing besides its designation.
struct BearingHints {
  std::optional<int> rolling_elements;      ///< counted, in one row
  std::optional<BoundaryDimensions> sizes;  ///< measured, mm
};

/// Candidates for a designation, the likeliest first, weights summing to 1: the rows of the
/// catalogue for the basic number and its inside; else estimates from type and boundary dimensions,
/// whose half-widths hold the true orders in at least 95 % of the known bearings (once the count is
/// right). Suffixes of grease, noise, packing, seal and shield never change the answer; those of
/// capacity or contact angle pick a row or widen it. A word before the number is skipped.
/// "deep groove, bore 45" (type and bore alone) gives those of candidates_from_type().
/// `catalogue`: the user's own list, searched before the built-in one.
/// Errors: those of read_designation() for what cannot be read, without hints; bad_argument: an
///         empty designation, unreadable characters that leave several bearings, a count that is
///         not 3 to 200, sizes that contradict the designation, a type that is not known
/// Source: data/bearings.csv, data/inside_ranges.csv (made by data/generate), ISO 15
[[nodiscard]] Result<std::vector<BearingCandidate>> bearing_candidates(
    std::string_view designation, const BearingHints& hints = {},
    const Catalogue& catalogue = built_in_catalogue());

/// The same for a designation that was read.
/// Errors: bad_argument as above.
[[nodiscard]] Result<std::vector<BearingCandidate>> candidates_of(const Designation& designation,
                                                                  const BearingHints& hints = {});

/// Estimates from type and boundary dimensions alone, as if the catalogue did not hold the number.
/// `design`: "standard", "reinforced", "full complement"; empty: as the suffixes say, or not known.
[[nodiscard]] std::vector<BearingCandidate> estimated_candidates(const Designation& designation,
                                                                 std::string_view design = {});

/// Candidates where only boundary dimensions (mm) and perhaps the type are known; a deep groove
/// ball bearing where it is not. A size of the ISO 15 plan is taken as the bearing of that size.
/// Errors: bad_argument: a size that is not a positive number, bore >= outside diameter
[[nodiscard]] Result<std::vector<BearingCandidate>> candidates_from_sizes(
    const BoundaryDimensions& sizes, BearingType type = BearingType::deep_groove_ball,
    std::optional<int> rolling_elements = {});

/// Candidates where only type and bore (mm) are known: the sizes of that bore in the ISO 15
/// dimension series of motors (10, 02, 03: 60, 62 and 63 of deep groove), each as likely.
/// Errors: bad_argument: bore not in (0, 2000]
[[nodiscard]] Result<std::vector<BearingCandidate>> candidates_from_type(BearingType type,
                                                                         double bore);

/// The orders alone, in the same sequence.
[[nodiscard]] std::vector<DefectOrders> orders_of(const std::vector<BearingCandidate>& candidates);

}  // namespace bearingdsp
