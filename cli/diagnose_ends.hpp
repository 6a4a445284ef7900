#pragma once
/// Which end of a machine it is, after the recordings of both.
#include <vector>

#include "bearingdsp/verdict/diagnosis.hpp"
#include "show.hpp"

namespace cli {

/// Recordings at both ends of one machine also answer which bearing it is. Where an end has
/// several, that which speaks loudest for damage stands for it.
void print_ends(const std::vector<bearingdsp::Diagnosis>& done, bool as_json,
                const Printing& printing);

}  // namespace cli
