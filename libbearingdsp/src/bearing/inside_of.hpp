#pragma once
/// Which numbers share their rolling elements, and what the suffixes say of them.
#include <string>
#include <vector>

#include "bearing/naming.hpp"

namespace bearingdsp {

/// The series whose rolling elements a bearing has: 62 for UC2, NU3 for NJ3; its own else.
[[nodiscard]] const naming::Series& inside_series(const Designation& d);

/// Which design the suffixes name: "full complement", "reinforced"; empty where they name none.
[[nodiscard]] std::string design_of(const Designation& d);

/// The bore codes of the sizes whose elements it may have: inserts up to 17 mm sit in the rings of
/// a larger size, that of 17 or 20 mm.
[[nodiscard]] std::vector<std::string> size_codes(const Designation& d);

}  // namespace bearingdsp
