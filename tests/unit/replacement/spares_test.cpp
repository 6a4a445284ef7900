#include "bearingdsp/replacement/spares.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <stdexcept>
#include <string>

using namespace bearingdsp;

namespace {

bool among(const std::vector<std::string>& list, const std::string& item) {
  return std::find(list.begin(), list.end(), item) != list.end();
}

Designation number(std::string_view text) { return read_designation(text).value().front(); }

}  // namespace

TEST_CASE(
    "pieces for a Poisson demand [src:scipy 1.10 stats.poisson.ppf(0.95, m): 0.1 -> 1, 0.5 -> 2, 1 "
    "-> 3, 3.7 -> 7, 20 -> 28, 1000 -> 1052]") {
  CHECK(pieces_for(0, 0.05) == 0);
  CHECK(pieces_for(0.04, 0.05) == 0);
  CHECK(pieces_for(0.1, 0.05) == 1);
  CHECK(pieces_for(0.5, 0.05) == 2);
  CHECK(pieces_for(1, 0.05) == 3);
  CHECK(pieces_for(3.7, 0.05) == 7);
  CHECK(pieces_for(20, 0.05) == 28);
  CHECK(pieces_for(1000, 0.05) == 1052);
  CHECK_THROWS_AS((void)pieces_for(1, 0), std::invalid_argument);
  CHECK_THROWS_AS((void)pieces_for(1e12, 0.05), std::invalid_argument);
}

TEST_CASE(
    "suffixes of other manufacturers that mean the same [src:data/designation_suffixes.csv]") {
  const auto shields = equivalent_designations(number("6205-2Z C3"));
  CHECK(among(shields, number("6205 ZZ C3").text()));
  const auto seals = equivalent_designations(number("6205-2RS1"));
  CHECK(among(seals, number("6205 LLU").text()));
  CHECK(among(seals, number("6205 DDU").text()));
  CHECK_FALSE(among(seals, number("6205-2RS2").text()));  // another rubber with some
  CHECK_FALSE(among(seals, number("6205-2Z").text()));
  CHECK(equivalent_designations(number("6205")).empty());
  // Read again, each is closed in the same way.
  for (const auto& text : shields) {
    CAPTURE(text);
    CHECK(number(text).closure == Closure::shield);
    CHECK(number(text).closed_sides == 2);
    CHECK(number(text).clearance == ClearanceClass::c3);
  }
}

TEST_CASE("one item for one bearing, however it is written, seals, what is not known") {
  const auto machines = parse_machines(
      "[[machine]]\nname = \"saw\"\nbearing.DE = { designation = \"6205-2Z C3\", seal = \"V-ring "
      "25\" }\nbearing.NDE = { designation = \"6205 ZZ/C3\" }\n"
      "[[machine]]\nname = \"fan\"\nbearing.DE = { designation = \"6205-2RS C3\" }\n"
      "bearing.NDE = { elements = 9 }\n"
      "[[machine]]\nname = \"mill\"\nbearing.DE = { designation = \"6205-2Z C3\", insulated = true "
      "}\n",
      "mill.toml");
  REQUIRE(machines.has_value());
  const SpareList list = spare_list(*machines);
  REQUIRE(list.spares.size() == 4);
  CHECK(list.spares[0].used_at == std::vector<std::string>{"saw DE", "saw NDE"});
  CHECK(list.spares[0].keep == 2);  // both ends of one motor
  CHECK(list.spares[1].keep == 1);
  CHECK(list.spares[2].notes.front().find("insulated") != std::string::npos);
  CHECK(list.spares[3].seal);
  CHECK(list.spares[3].item == "V-ring 25");
  CHECK(list.not_known == std::vector<std::string>{"fan NDE"});
}

TEST_CASE("a large fleet and a long lead time need more [src:closed-form Poisson]") {
  std::string text;
  for (int i = 0; i < 40; ++i)
    text += "[[machine]]\nname = \"m" + std::to_string(i) +
            "\"\nbearing.DE = { designation = \"6205 C3\" }\n";
  const auto machines = parse_machines(text, "mill.toml");
  REQUIRE(machines.has_value());
  SpareOptions o;
  o.lead_weeks = 52.18 / 4;
  o.life_years = 5;                                          // 40 places x 0.25 years / 5 years = 2
  CHECK(spare_list(*machines, o).spares.front().keep == 5);  // poisson.ppf(0.95, 2)
  o.lead_weeks = 0;
  CHECK_THROWS_AS((void)spare_list(*machines, o), std::invalid_argument);
}

TEST_CASE("every part has a storage time with how far it is known") {
  CHECK(shelf_lives().size() >= 5);
  for (const ShelfLife& l : shelf_lives()) {
    CHECK(l.years > 0);
    CHECK((l.source.find("memory") != std::string::npos ||
           l.source.find("common practice") != std::string::npos));
  }
}
