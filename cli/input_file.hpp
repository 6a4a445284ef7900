#pragma once
/// Files that are read.
#include <string>

#include "bearingdsp/core/result.hpp"

namespace cli {

/// Whether its name ends as those of recordings do.
[[nodiscard]] bool looks_like_recording(const std::string& path);
/// The text of a file that is read as a whole. Errors: io.
[[nodiscard]] bearingdsp::Result<std::string> text_of(const std::string& path);

}  // namespace cli
