#pragma once
/// A bearing's number, read, as a report and as JSON; and the search by measured sizes.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/bearing/facts.hpp"
#include "bearingdsp/bearing/size.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// What one designation says: each part of it, sizes, clearance, defect orders (in Hz too where a
/// speed is given), each with where it is known from.
[[nodiscard]] Report bearing_report(const BearingFacts& facts, std::optional<Rpm> speed = {});
/// The designations that fit a number with unreadable characters. `asked` is the text as given.
[[nodiscard]] Report candidates_report(std::string_view asked,
                                       const std::vector<Designation>& candidates);
/// The sizes and designations that fit what was measured.
[[nodiscard]] Report size_search_report(const MeasuredSize& measured, const SizeSearch& search);

/// "bearingdsp.bearing/1": readings of a designation, with all facts of each.
[[nodiscard]] std::string bearing_json(std::string_view asked,
                                       const std::vector<BearingFacts>& readings,
                                       std::optional<Rpm> speed = {},
                                       const JsonOptions& options = {});
/// "bearingdsp.bearing-size/1": the outcome of find_by_size().
[[nodiscard]] std::string size_search_json(const MeasuredSize& measured, const SizeSearch& search,
                                           const JsonOptions& options = {});

}  // namespace bearingdsp
