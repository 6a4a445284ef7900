#pragma once
/// Lists of words as they are kept in one column: JSON arrays.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/finding.hpp"
#include "bearingdsp/evidence/other_causes.hpp"
#include "bearingdsp/history/record.hpp"
#include "bearingdsp/machine/limits.hpp"

namespace bearingdsp::lists {

[[nodiscard]] std::string write(const std::vector<std::string>& texts);
[[nodiscard]] std::string write(const std::vector<CauseEvidence>& causes);
[[nodiscard]] std::string write(const Findings& findings);
[[nodiscard]] std::string write(const KnownLimits& limits);
/// What cannot be read is left out: History::check tells of it.
[[nodiscard]] std::vector<std::string> read_texts(std::string_view json);
[[nodiscard]] std::vector<CauseEvidence> read_causes(std::string_view json);
[[nodiscard]] Findings read_findings(std::string_view json);

[[nodiscard]] std::string write(const std::vector<Part>& parts);
[[nodiscard]] std::vector<Part> read_parts(std::string_view json);

/// Without them why_none says what would bring them.
[[nodiscard]] KnownLimits read_limits(std::string_view json);

/// Empty where nothing is known of the other end.
[[nodiscard]] std::string write(const std::optional<OtherEnd>& other);
[[nodiscard]] std::optional<OtherEnd> read_other_end(std::string_view json);

/// Empty for a bearing of which nothing is known.
[[nodiscard]] std::string write(const FittedBearing& bearing);
[[nodiscard]] FittedBearing read_bearing(std::string_view json);

}  // namespace bearingdsp::lists
