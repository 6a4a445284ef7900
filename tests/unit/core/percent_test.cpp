#include "bearingdsp/core/percent.hpp"

#include <doctest/doctest.h>

#include <limits>

using namespace bearingdsp;

TEST_CASE("percent: one rule, never 0 or 100") {
  CHECK(percent(0.974) == "97 %");
  CHECK(percent(0.99) == "99 %");
  CHECK(percent(0.991) == "> 99 %");
  CHECK(percent(0.009) == "< 1 %");
  CHECK(percent(0.01) == "1 %");
  CHECK(percent(std::numeric_limits<double>::quiet_NaN()) == "-");
}
