#include "bearingdsp/core/letters.hpp"

#include <doctest/doctest.h>

using namespace bearingdsp;

TEST_CASE("letters: only those of ASCII change, and only figures are digits [src:definition]") {
  CHECK(upper("stop it 3x \xc3\xa4") == "STOP IT 3X \xc3\xa4");
  CHECK(lower("Zone A@[`{ \xc3\x84") == "zone a@[`{ \xc3\x84");
  for (const char c : {'0', '9'}) CHECK(is_digit(c));
  for (const char c : {'/', ':', 'a'}) CHECK_FALSE(is_digit(c));
  for (const char c : {'a', 'z', 'A', 'Z', '7', '\xc3'}) CHECK(in_word(c));
  for (const char c : {'@', '[', '`', '{', '-', ' '}) CHECK_FALSE(in_word(c));
}
