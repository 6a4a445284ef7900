#include "bearingdsp/machine/catalogue_file.hpp"

#include <doctest/doctest.h>

#include <string>

#include "bearingdsp/bearing/catalogue.hpp"
#include "paths.hpp"

using namespace bearingdsp;

TEST_CASE("the catalogue's own data file loads as a user's file") {
  const std::string path = std::string{TESTS_SOURCE_DIR} + "/../libbearingdsp/data/bearings.csv";
  const auto c = load_catalogue(path);
  REQUIRE(c);
  CHECK(c->entries.size() == built_in_catalogue().entries.size());
}

TEST_CASE("a catalogue file that is not there or is a folder is one line of error") {
  for (const std::string path : {"/no/such/bearings.csv", "/"}) {
    const auto c = load_catalogue(path);
    REQUIRE_FALSE(c);
    CHECK(c.error().code == Errc::io);
    CHECK(c.error().message().find(path) == 0);
  }
}
