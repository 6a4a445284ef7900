#pragma once
/// Names as people type them.
#include <string_view>

namespace bearingdsp {

/// Equal but for case (of a-z), blanks, hyphens and underscores: "M-1" and "m1" are one name.
/// Between two digits a separator counts, whichever it is: pump 1-1 is not pump 11.
[[nodiscard]] bool same_name(std::string_view a, std::string_view b) noexcept;

}  // namespace bearingdsp
