#pragma once
/// Names as people type them.
#include <string_view>

namespace bearingdsp {

/// Equal but for case (of a-z), blanks, hyphens and underscores.
[[nodiscard]] bool same_name(std::string_view a, std::string_view b) noexcept;

}  // namespace bearingdsp
