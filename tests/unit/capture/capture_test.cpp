#include "bearingdsp/capture/capture.hpp"

#include <doctest/doctest.h>

using namespace bearingdsp;

TEST_CASE("a channel is found by its name, for another name those that there are are listed") {
  const Capture c{"a.wav", "WAV", Hz{1000}, {{"x", {}, {}, {}}, {"tacho", {}, {}, {}}},
                  {},      {},    {},       {}};
  CHECK(channel_index(c, "tacho").value() == 1);
  const auto none = channel_index(c, "y");
  REQUIRE(!none);
  CHECK(none.error().code == Errc::not_found);
  CHECK(none.error().where == "a.wav");
  CHECK(none.error().what == "has no channel 'y'");
  CHECK(none.error().advice == "it has: x, tacho");
}
