#pragma once
/// Which bearings would explain a series of impacts.
#include <string>
#include <vector>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/core/model.hpp"
#include "bearingdsp/core/quantity.hpp"

namespace bearingdsp {

/// Numbers of rolling elements with which a ring of a radial bearing is struck so often a turn.
struct ElementCounts {
  Part ring{Part::outer_ring};
  int min{0};
  int max{0};
};

/// The bearings whose outer or inner ring is struck `impacts` times a revolution; empty where no
/// bearing with 6 to 40 elements is. Impacts at an element's rate may fit as well.
/// Source: BPFO, BPFI = Z/2 (1 -+ d/D) without contact angle [randall2011], Z d = fill x pi D, with
///         the fill of UnknownModel: BPFO = (Z - fill pi) / 2, BPFI = (Z + fill pi) / 2
/// Errors: std::invalid_argument for impacts not above zero
[[nodiscard]] std::vector<ElementCounts> element_counts_for(Order impacts,
                                                            const ModelParameters& model = {});

/// "the outer ring of a bearing with 9 or 10 elements, or the inner ring of one with 6 or 7"; empty
/// for no counts.
/// Errors: none
[[nodiscard]] std::string words_of(const std::vector<ElementCounts>& counts);

}  // namespace bearingdsp
