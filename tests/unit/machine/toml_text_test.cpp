#include "bearingdsp/machine/toml_text.hpp"

#include <doctest/doctest.h>

#include <string>

#include "bearingdsp/machine/plant.hpp"

using namespace bearingdsp;

TEST_CASE("what is written reads back, whatever is in it [src:TOML 1.0.0, basic strings]") {
  for (const std::string name : {"fan", "a \"b\" \\ c", "tab\tline\nend", "Säge 3", "#7", "[x]"}) {
    TomlLines t{"[[sensor]]"};
    t.add("name", name);
    t.add("full_scale", 0.1);
    t.add("unit", std::string{"g"});
    t.add("note", std::string{});
    const auto plant = parse_plant(with_table("", t.text()), "plant.toml");
    REQUIRE_MESSAGE(plant.has_value(), plant.error().message());
    REQUIRE(plant->sensors.size() == 1);
    CHECK(plant->sensors[0].name == name);
    CHECK(plant->sensors[0].full_scale == 0.1);
    CHECK(t.text().find("note") == std::string::npos);
  }
  CHECK(toml_number(25600) == "25600");
  CHECK(toml_number(0.1) == "0.1");
}

TEST_CASE("a table is added behind all that was there [src:contract]") {
  CHECK(with_table("", "[[a]]\n") == "[[a]]\n");
  CHECK(with_table("# mine\nx = 1\n", "[[a]]\n") == "# mine\nx = 1\n\n[[a]]\n");
  CHECK(with_table("x = 1 # no end of line", "[[a]]\n") == "x = 1 # no end of line\n\n[[a]]\n");
}

TEST_CASE("a key is set in its line, and every comment stays [src:contract]") {
  CHECK(with_key("# top\ndefault_sensor = \"a\"  # why\n[[sensor]]\nname = \"a\"\n",
                 "default_sensor",
                 "b") == "# top\ndefault_sensor = \"b\"  # why\n[[sensor]]\nname = \"a\"\n");
  CHECK(with_key("x = 'default_sensor'\n\n[[sensor]]\ndefault_sensor = \"no\"\n", "default_sensor",
                 "b") ==
        "x = 'default_sensor'\n\ndefault_sensor = \"b\"\n\n[[sensor]]\ndefault_sensor = \"no\"\n");
  // A backslash is no escape in a literal string.
  CHECK(with_key("default_sensor='a\\' # 'x'\n", "default_sensor", "\"") ==
        "default_sensor=\"\\\"\" # 'x'\n");
  CHECK(with_key("", "default_sensor", "b") == "default_sensor = \"b\"\n");
  CHECK(with_key("# default_sensor = \"x\"", "default_sensor", "b") ==
        "# default_sensor = \"x\"\ndefault_sensor = \"b\"\n");
}
