#pragma once
/// Designations as people write them.
#include <string>
#include <string_view>
#include <vector>

namespace bearingdsp {

/// Upper case without blanks, hyphens, slashes, dots and underscores.
[[nodiscard]] std::string compact_designation(std::string_view designation);

/// The compact designation and all that is left of it after dropping suffixes one after another,
/// longest first: "6205-2Z/C3" -> 62052ZC3, 62052Z, 62052, 6205.
[[nodiscard]] std::vector<std::string> basic_designations(std::string_view designation);

}  // namespace bearingdsp
