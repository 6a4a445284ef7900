#include "bearingdsp/history/followed.hpp"

#include <doctest/doctest.h>

#include <cstddef>
#include <set>
#include <string>

using namespace bearingdsp;

TEST_CASE("followed: every one has a name of its own, by which it is found") {
  std::set<std::string> names;
  for (std::size_t i = 0; i < followed_count; ++i) {
    const auto what = static_cast<Followed>(i);
    names.emplace(token(what));
    CHECK(followed_named(token(what)) == what);
  }
  CHECK(names.size() == followed_count);
  CHECK(followed(Indicator::floor) == Followed::floor);
  CHECK(followed(Part::cage) == Followed::cage);
  CHECK(indicator_of(Followed::kurtosis) == Indicator::kurtosis);
  CHECK_FALSE(indicator_of(Followed::shaft_1x));
  CHECK_FALSE(part_of(Followed::shaft_3x));
  CHECK(part_of(Followed::outer_ring) == Part::outer_ring);
}

TEST_CASE("followed: words as people write them") {
  CHECK(followed_named("high-frequency") == Followed::high_band);
  CHECK(followed_named("High_Band") == Followed::high_band);
  CHECK(followed_named("noise-floor") == Followed::floor);
  CHECK(followed_named("floor") == Followed::floor);
  CHECK(followed_named("bpfo") == Followed::outer_ring);
  CHECK(followed_named("outer-ring") == Followed::outer_ring);
  CHECK(followed_named("1X") == Followed::shaft_1x);
  CHECK_FALSE(followed_named("4x"));
  CHECK_FALSE(followed_named(""));
  CHECK_FALSE(followed_named("velocity of it"));
}

TEST_CASE("followed: its value is that of the recording") {
  Levels levels;
  levels.at(Indicator::kurtosis) = 3.5;
  levels.shaft[1] = 0.002;
  const std::array<double, part_count> strength{0.1, 0.2, 0.3, 0.4};
  CHECK(value_of(Followed::kurtosis, levels, strength) == 3.5);
  CHECK_FALSE(value_of(Followed::velocity, levels, strength));
  CHECK(value_of(Followed::shaft_2x, levels, strength) == 0.002);
  CHECK_FALSE(value_of(Followed::shaft_1x, levels, strength));
  CHECK(value_of(Followed::rolling_element, levels, strength) == 0.3);
}
