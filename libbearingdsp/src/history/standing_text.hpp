#pragma once
/// A standing as the store keeps it.
#include <optional>
#include <string>
#include <string_view>

#include "bearingdsp/history/standing.hpp"

namespace bearingdsp::standing_text {

/// With the version and the options it was found with.
[[nodiscard]] std::string write(const Standing& standing, const TrendOptions& options);
/// Nothing if the text is empty, of another version or found with other options.
[[nodiscard]] std::optional<Standing> read(std::string_view text, const PointKey& at,
                                           const TrendOptions& options);

}  // namespace bearingdsp::standing_text
