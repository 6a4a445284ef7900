#pragma once
/// A page or text to print and write on: job card, check sheets.
#include <optional>
#include <string>

#include "bearingdsp/core/result.hpp"
#include "output_file.hpp"

namespace cli {

/// Ends in .html or .htm.
[[nodiscard]] bool is_page(const std::string& path);
/// The file to write; nothing for an empty name and for -.
/// Errors: those of OutputFiles; bad_argument for a name that ends in no known format
[[nodiscard]] bearingdsp::Result<std::optional<OutputFile>> sheet_file(const OutputRules& rules,
                                                                       const std::string& path);

}  // namespace cli
