#include "bearingdsp/core/result.hpp"

#include <doctest/doctest.h>

#include <set>
#include <string>

using namespace bearingdsp;

TEST_CASE("an error prints as one line, empty parts left out") {
  CHECK(Error{Errc::io, "a.wav", "does not exist", "check the path"}.message() ==
        "a.wav: does not exist; check the path");
  CHECK(Error{Errc::io, "", "does not exist", ""}.message() == "does not exist");
  CHECK(Error{Errc::io, "a\nb\x1b[2J", "cut off", ""}.message() == "a\\x0ab\\x1b[2J: cut off");
}

TEST_CASE("every error code has a name of its own") {
  std::set<std::string_view> names;
  for (int i = 0; i < errc_count; ++i) names.insert(token(static_cast<Errc>(i)));
  CHECK(names.size() == static_cast<std::size_t>(errc_count));
  CHECK(token(Errc::bad_argument) == "bad_argument");
}

TEST_CASE("a result is a value or an error, and says which") {
  const Result<int> good = 3;
  CHECK(good.has_value());
  CHECK(*good == 3);
  CHECK(good.value_or(4) == 3);
  const Result<int> bad = Error{Errc::too_short, "x", "0.1 s long, 2 s needed", ""};
  CHECK_FALSE(bad.has_value());
  CHECK(bad.error().code == Errc::too_short);
  CHECK(bad.value_or(4) == 4);
  CHECK_THROWS_WITH_AS(static_cast<void>(bad.value()), "x: 0.1 s long, 2 s needed", BadResult);

  const Result<void> done;
  CHECK(done.has_value());
  CHECK_NOTHROW(done.value());
  const Result<void> failed = Error{Errc::io, "out.csv", "disk full", ""};
  CHECK_FALSE(failed.has_value());
  CHECK_THROWS_AS(failed.value(), BadResult);
}
