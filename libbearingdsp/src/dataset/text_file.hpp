#pragma once
#include <string>

#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// A whole text file. Errors: io.
[[nodiscard]] Result<std::string> read_text_file(const std::string& path);

}  // namespace bearingdsp
