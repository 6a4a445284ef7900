#include "bearingdsp/bearing/element_counts.hpp"

#include <doctest/doctest.h>

#include <stdexcept>

#include "bearingdsp/bearing/defect_orders.hpp"

using namespace bearingdsp;

namespace {

bool holds(const std::vector<ElementCounts>& counts, Part ring, int elements) {
  for (const ElementCounts& c : counts)
    if (c.ring == ring && c.min <= elements && elements <= c.max) return true;
  return false;
}

}  // namespace

TEST_CASE(
    "element counts: bearings with published defect orders are among those that would fit "
    "[src:orders printed with the 6205 and 6203 of a public test stand, smith2015]") {
  struct Known {
    int elements;
    double bpfo, bpfi;
  };
  // 6205: 9 balls; 6203: 8 balls.
  for (const Known& k : {Known{9, 3.5848, 5.4152}, Known{8, 3.0530, 4.9469}}) {
    CAPTURE(k.elements);
    CHECK(holds(element_counts_for(Order{k.bpfo}), Part::outer_ring, k.elements));
    CHECK(holds(element_counts_for(Order{k.bpfi}), Part::inner_ring, k.elements));
    CHECK_FALSE(holds(element_counts_for(Order{k.bpfo}), Part::outer_ring, k.elements + 3));
    CHECK_FALSE(holds(element_counts_for(Order{k.bpfi}), Part::inner_ring, k.elements - 3));
  }
}

TEST_CASE("element counts: in words, and where no bearing fits [src:contract]") {
  CHECK(words_of(element_counts_for(Order{3.585})) ==
        "the outer ring of a bearing with 9 or 10 elements");
  CHECK(words_of(element_counts_for(Order{5.415})) ==
        "the outer ring of a bearing with 13 elements, or the inner ring of one with 8 or 9");
  CHECK(element_counts_for(Order{0.4}).empty());
  CHECK(words_of({}).empty());
  CHECK_THROWS_AS((void)element_counts_for(Order{0}), std::invalid_argument);
}
