#pragma once
/// A file that is read as a whole.
#include <string>

#include "bearingdsp/core/result.hpp"

namespace cli {

/// Its text. Errors: io.
[[nodiscard]] bearingdsp::Result<std::string> text_of(const std::string& path);

}  // namespace cli
