#pragma once
/// The table that `validate --against` reads.
#include <string>
#include <vector>

#include "bearingdsp/dataset/validate.hpp"

namespace cli {

/// Outcomes of an earlier run. Errors: those of reading the file and of parse_results()
[[nodiscard]] bearingdsp::Result<std::vector<bearingdsp::Outcome>> results_in(
    const std::string& path);

}  // namespace cli
