#pragma once
/// A small text file as a whole.
#include <string>

#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// Errors: io if the file cannot be read or is larger than 16 MB
[[nodiscard]] Result<std::string> file_text(const std::string& path);

}  // namespace bearingdsp
