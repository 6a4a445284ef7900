#include "bearingdsp/replacement/temperature_limits.hpp"

#include <doctest/doctest.h>

#include <optional>
#include <string>

using namespace bearingdsp;

namespace {

std::optional<PartLimit> limit(std::string_view text, std::string_view part) {
  for (const auto& l : temperature_limits(read_designation(text).value().front()))
    if (l.part == part) return l;
  return std::nullopt;
}

std::optional<double> highest(std::string_view text, std::string_view part) {
  const auto l = limit(text, part);
  return l ? l->highest_c : std::nullopt;
}

}  // namespace

TEST_CASE(
    "rings: 120 as usual, S0 150, S1 200, S2 250, S3 300, S4 350 [src:manufacturer's catalogue D, "
    "confirmed, 120 lasting and 150 for a short time: a bearing manufacturer's page, confirmed]") {
  CHECK(highest("6309", "rings") == 120);
  CHECK(limit("6309", "rings")->briefly_c == 150);
  CHECK(highest("6309 S0", "rings") == 150);
  CHECK(highest("6309 S1", "rings") == 200);
  CHECK(highest("6309-S2", "rings") == 250);
  CHECK(highest("6309 C3 S3", "rings") == 300);
  CHECK(highest("6309/S4", "rings") == 350);
  CHECK_FALSE(highest("6309 S11", "rings"));  // a code whose temperature was not read
}

TEST_CASE(
    "cages: polyamide 66 from -40 to 120 whatever the suffix is called, metal without a limit "
    "[src:manufacturer's catalogue D, -40 confirmed, 120 from memory]") {
  for (const char* text : {"6309 TN9", "6309 TNG", "7309 B-TVP", "NU309 ECP", "6309 TV",
                           "6309 ETN9", "NU309 TVP2", "6309 TNH"}) {
    CAPTURE(text);
    CHECK(highest(text, "cage") == 120);
    CHECK(limit(text, "cage")->lowest_c == -40);
  }
  CHECK_FALSE(limit("6309", "cage"));
  CHECK_FALSE(limit("6309 M", "cage"));
  CHECK_FALSE(limit("NU309 ECJ", "cage"));
  CHECK(limit("NU309 PH", "cage").has_value());
  CHECK_FALSE(highest("NU309 PH", "cage"));  // PEEK: its limit was not read
}

TEST_CASE(
    "seals of nitrile rubber from -40 to 100, 120 for a short time, shields have none "
    "[src:manufacturer's catalogue D, confirmed]") {
  for (const char* text : {"6309-2RS1", "6309 DDU", "6309 2RZ", "6309-RS", "6309 LLU"}) {
    CAPTURE(text);
    const auto l = limit(text, "seals");
    REQUIRE(l);
    CHECK(l->lowest_c == -40);
    CHECK(l->highest_c == 100);
    CHECK(l->briefly_c == 120);
  }
  CHECK_FALSE(limit("6309-2Z", "seals"));
  CHECK(limit("6309-2RS2", "seals")->words.find("fluoro") != std::string::npos);
}

TEST_CASE(
    "grease of a closed bearing: -20 as usual (from memory), WT -40 to 160, GJN -30 to 150 "
    "[src:manufacturer's catalogue D, confirmed]") {
  CHECK(limit("6309-2Z", "grease")->lowest_c == -20);
  CHECK(highest("6309-2Z WT", "grease") == 160);
  CHECK(limit("6309-2Z WT", "grease")->lowest_c == -40);
  CHECK(highest("6309-2Z GJN", "grease") == 150);
  CHECK_FALSE(limit("6309", "grease"));    // an open bearing is greased on site
  CHECK_FALSE(limit("6309-Z", "grease"));  // as is one with a shield on one side
  CHECK_FALSE(highest("6309-2Z HT", "grease"));
}

TEST_CASE("every row of the table is reached, and says where it is from") {
  for (const char* text : {"6309", "6309 S0", "6309-2RS TN9 S4", "6309-2Z WT", "NU309 PH", "6309 T",
                           "6309 VA201", "6309-2RS2", "22218-K", "51105"})
    for (const auto& l : temperature_limits(read_designation(text).value().front())) {
      CAPTURE(text);
      CHECK_FALSE(l.words.empty());
      CHECK_FALSE(l.source.empty());
      if (l.highest_c && l.lowest_c) CHECK(*l.lowest_c < *l.highest_c);
      if (l.highest_c && l.briefly_c) CHECK(*l.briefly_c > *l.highest_c);
    }
}
