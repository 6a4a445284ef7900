#pragma once
/// Pages as PDF and drawings as PNG, made by the Chromium that is installed.
#include <string>
#include <string_view>

#include "bearingdsp/core/result.hpp"

namespace cli {

/// Chromium on PATH, or the program that the environment variable CHROMIUM names. `path`: the
/// output that needs it, for the error.
/// Errors: not_found
[[nodiscard]] bearingdsp::Result<std::string> find_chromium(const std::string& path);
/// The page as a PDF document.
/// Errors: io, also where it takes longer than five minutes
[[nodiscard]] bearingdsp::Result<std::string> pdf_of(const std::string& chromium,
                                                     std::string_view html);
/// The drawing as a PNG picture of twice its size in pixels.
/// Errors: io, as above
[[nodiscard]] bearingdsp::Result<std::string> png_of(const std::string& chromium,
                                                     std::string_view svg);

}  // namespace cli
