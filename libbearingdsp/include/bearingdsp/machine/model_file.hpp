#pragma once
/// The engine's constants from a file of the user's.
#include <string>
#include <string_view>

#include "bearingdsp/core/model.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// Reads constants in the form of data/model.csv: comma-separated lines with the columns name and
/// value, others ignored, # comments. What is not named keeps its shipped value.
/// Errors: corrupt_file for a table without those columns, a name given twice, a value that is not
/// a number; not_found for an unknown name; bad_argument for a value out of range, or for limits
/// that are not in their order
[[nodiscard]] Result<ModelParameters> parse_model(std::string_view text, std::string_view where);

/// The same of a file.
/// Errors: io if it cannot be read or is larger than 16 MB; those of parse_model()
[[nodiscard]] Result<ModelParameters> read_model(const std::string& path);

}  // namespace bearingdsp
