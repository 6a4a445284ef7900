#include "bearingdsp/core/sentence.hpp"

#include <doctest/doctest.h>

using namespace bearingdsp;

TEST_CASE("sentences: capitals, full stops and lists in one line") {
  CHECK(capital("zone A") == "Zone A");
  CHECK(capital("") == "");
  CHECK(full_stop("done..") == "done.");
  CHECK(counted(1, "run") == "1 run");
  CHECK(counted(0U, "run") == "0 runs");
  std::string list;
  add_part(list, "x");
  add_part(list, "y");
  CHECK(list == "x, y");
  add_part(list, "z", " or ");
  CHECK(list == "x, y or z");
}
