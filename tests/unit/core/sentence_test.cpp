#include "bearingdsp/core/sentence.hpp"

#include <doctest/doctest.h>

using namespace bearingdsp;

TEST_CASE("sentences: capitals, full stops and lists in one line") {
  CHECK(capital("zone A") == "Zone A");
  CHECK(capital("") == "");
  CHECK(upper("stop it 3x") == "STOP IT 3X");
  CHECK(full_stop("done..") == "done.");
  std::string list;
  add_part(list, "x");
  add_part(list, "y");
  CHECK(list == "x, y");
  add_part(list, "z", " or ");
  CHECK(list == "x, y or z");
}
