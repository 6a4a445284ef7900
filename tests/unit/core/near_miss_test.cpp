#include "bearingdsp/core/near_miss.hpp"

#include <doctest/doctest.h>

#include <string>
#include <vector>

using namespace bearingdsp;

TEST_CASE("edit distance counts insertions, deletions, replacements and swaps [src:definition]") {
  CHECK(edit_distance("", "") == 0);
  CHECK(edit_distance("abc", "") == 3);
  CHECK(edit_distance("", "abc") == 3);
  CHECK(edit_distance("6205", "6205") == 0);
  CHECK(edit_distance("6205", "6250") == 1);
  CHECK(edit_distance("kitten", "sitting") == 3);
  CHECK(edit_distance("rate", "rates") == 1);
}

TEST_CASE("near misses are few, near and ordered") {
  const std::vector<std::string> known{"rate_hz", "range_m_s2", "duration_s", "seed"};
  CHECK(near_misses("rate_h", known) == std::vector<std::string>{"rate_hz"});
  CHECK(near_misses("nothing", known).empty());
  CHECK(near_misses(std::string(100000, 'x'), known).empty());
  CHECK(did_you_mean("sed", known, "no") == "did you mean seed?");
  CHECK(did_you_mean("zzzz", known, "no") == "no");
}
