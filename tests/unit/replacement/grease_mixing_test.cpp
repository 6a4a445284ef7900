#include "bearingdsp/replacement/grease_mixing.hpp"

#include <doctest/doctest.h>

#include <array>
#include <string>
#include <string_view>

using namespace bearingdsp;

TEST_CASE(
    "all 48 entries of the table of 1990, either way round [src:US Bureau of Reclamation FIST 2-4, "
    "1990, table 2, confirmed]") {
  constexpr std::array<std::string_view, 8> with{"sodium",   "calcium",          "calcium complex",
                                                 "clay",     "lithium",          "lithium complex",
                                                 "polyurea", "aluminium complex"};
  struct {
    std::string_view one, mixes;
  } const rows[] = {{"lithium", "IBIICCIB"},  {"lithium complex", "ICIICCIC"},
                    {"polyurea", "IIIIIICI"}, {"sodium", "CIIIIIII"},
                    {"clay", "IIIBIIII"},     {"calcium complex", "IICIIIII"}};
  for (const auto& row : rows)
    for (std::size_t k = 0; k < with.size(); ++k) {
      CAPTURE(row.one);
      CAPTURE(with.at(k));
      const GreaseMix expected = row.mixes[k] == 'C'   ? GreaseMix::compatible
                                 : row.mixes[k] == 'B' ? GreaseMix::borderline
                                                       : GreaseMix::incompatible;
      CHECK(grease_mix(row.one, with.at(k)).value() == expected);
      CHECK(grease_mix(with.at(k), row.one).value() == expected);
    }
  CHECK(thickeners().size() == 8);
}

TEST_CASE("a pair that the table does not have, and a word that it does not know, give no answer") {
  CHECK(grease_mix("calcium", "aluminium complex").error().code == Errc::not_found);
  const auto unknown = grease_mix("lithium", "calcium sulfonate");
  REQUIRE_FALSE(unknown);
  CHECK(unknown.error().advice.find("polyurea") != std::string::npos);
  CHECK(thickener("Lithium-Complex").value() == "lithium complex");
  CHECK(thickener("bentonite").value() == "clay");
  CHECK(thickener("aluminum complex").value() == "aluminium complex");
}

TEST_CASE("the thickener in the words of a machine file") {
  CHECK(thickener_in("Lithium complex EP2, 2024") == "lithium complex");
  CHECK(thickener_in("lithium") == "lithium");
  CHECK(thickener_in("polyurea, NLGI 2") == "polyurea");
  CHECK(thickener_in("aluminum complex") == "aluminium complex");
  CHECK(thickener_in("bentonite grease") == "clay");
  CHECK(thickener_in("sealed for life").empty());
  CHECK(thickener_in("lithium or polyurea").empty());
  CHECK(thickener_in("").empty());
}
