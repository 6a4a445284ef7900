#pragma once
/// Files that are read.
#include <string>

namespace cli {

/// Whether its name ends as those of recordings do.
[[nodiscard]] bool looks_like_recording(const std::string& path);

}  // namespace cli
