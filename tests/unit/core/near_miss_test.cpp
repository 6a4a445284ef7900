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

TEST_CASE("terms are found by the words that describe them, rare words first [src:definition]") {
  const std::vector<DescribedTerm> terms{{"rust", "red-brown spots"},
                                         {"fretting", "brown powder on the seat"},
                                         {"fluting", "grooves like a washboard"},
                                         {"wear", "dull tracks"}};
  using Names = std::vector<std::string>;
  CHECK(alike_by_words("brown powder", terms) == Names{"fretting", "rust"});
  CHECK(alike_by_words("flutes", terms) == Names{"fluting"});  // begins alike
  CHECK(alike_by_words("a washboard of grooves", terms) == Names{"fluting"});
  CHECK(alike_by_words("on the of", terms).empty());  // words that say nothing
  CHECK(alike_by_words("", terms).empty());
  CHECK(alike_by_words(std::string(100000, 'x'), terms).empty());
  const Names known{"rust", "fretting", "fluting", "wear"};
  CHECK(did_you_mean("rsut", known, terms, "no") == "did you mean rust?");
  CHECK(did_you_mean("brown stuff", known, terms, "no") == "did you mean rust or fretting?");
  CHECK(did_you_mean("qqq", known, terms, "no") == "no");
}
