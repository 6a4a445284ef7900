#include "bearingdsp/bearing/designation.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "support/close.hpp"

using namespace bearingdsp;

namespace {

Designation only(std::string_view text) {
  const auto readings = read_designation(text).value();
  REQUIRE(readings.size() == 1);
  return readings.front();
}

bool offers(std::string_view text, std::string_view wanted) {
  const auto readings = read_designation(text).value();
  return std::any_of(readings.begin(), readings.end(),
                     [&](const Designation& d) { return d.text() == wanted; });
}

}  // namespace

TEST_CASE(
    "bore codes [src:manufacturers' catalogue B, confirmed: 00 01 02 03 are 10 12 15 17 mm, from "
    "04 "
    "times 5, 36 is 180, /22 /28 /32 and above 480 in mm, 623 and 608 in mm]") {
  CHECK(only("6200").bore_mm == 10);
  CHECK(only("6201").bore_mm == 12);
  CHECK(only("6202").bore_mm == 15);
  CHECK(only("6203").bore_mm == 17);
  CHECK(only("6204").bore_mm == 20);
  CHECK(only("6205").bore_mm == 25);
  CHECK(only("6036").bore_mm == 180);
  CHECK(only("60/22").bore_mm == 22);
  CHECK(only("62/28").bore_mm == 28);
  CHECK(only("230/500").bore_mm == 500);
  CHECK(only("623").bore_mm == 3);
  CHECK(only("608").bore_mm == 8);
}

TEST_CASE("one bearing written in many ways is one [src:the trade's habits]") {
  for (const char* text : {"6205-2Z/C3", "6205 2Z C3", "62052ZC3", "6205.2z.c3", " 6205 - 2Z / C3 ",
                           "6205-2Z-C3", "62 05 2Z C3",
                           "6205\xE2\x80\x93"
                           "2Z C3"}) {
    CAPTURE(text);
    const auto d = only(text);
    CHECK(d.text() == "6205-2Z/C3");
    CHECK(d.type == BearingType::deep_groove_ball);
    CHECK(d.closure == Closure::shield);
    CHECK(d.closed_sides == 2);
    CHECK(d.clearance == ClearanceClass::c3);
    CHECK(d.clearance_marked);
    CHECK(d.makers_own().empty());
  }
}

TEST_CASE("suffixes are taken apart [src:data/designation_suffixes.csv]") {
  CHECK(only("6205").closure == Closure::open);
  CHECK_FALSE(only("6205").clearance_marked);
  CHECK(only("6205").clearance == ClearanceClass::normal);
  CHECK(only("6205-Z").closed_sides == 1);
  CHECK(only("6205-2RS1").closure == Closure::seal);
  CHECK(only("6205 LLB").closure == Closure::light_seal);
  CHECK(only("6205 P63").clearance == ClearanceClass::c3);
  CHECK(only("NU205 ECP").plastic_cage);
  CHECK(only("22210 K C3 W33").tapered_bore);
  CHECK(only("6316 M C3 VL0241").insulated_ring);
  CHECK(only("6208 HC5").ceramic_balls);
  const auto own = only("6205-2RS JEM WX").makers_own();
  REQUIRE(own.size() == 1);
  CHECK(own.front() == "WX");
  CHECK(only("W6205").prefix == "W");
}

TEST_CASE("an unknown word is not picked to pieces, what is separate in it is still read") {
  const auto own = [](std::string_view text) { return only(text).makers_own(); };
  CHECK(own("6205 OPEN") == std::vector<std::string>{"OPEN"});
  CHECK(own("6205-2Z/C3GXN") == std::vector<std::string>{"GXN"});
  CHECK(own("6205-2ZGXN") == std::vector<std::string>{"GXN"});
  CHECK(own("6205WXC3") == std::vector<std::string>{"WX"});
  CHECK(only("6205WXC3").clearance == ClearanceClass::c3);
  CHECK(own("6205 JEM WX M").size() == 1);
  CHECK(own("6205-2Z/C3GJN").empty());
  CHECK(own("6309DDUC3E").empty());
  CHECK(only("6309DDUC3E").clearance == ClearanceClass::c3);
}

TEST_CASE("letters taken for figures are put right in the advice") {
  CHECK(read_designation("NU2O5").error().advice == "did you mean NU205?");
  CHECK(read_designation("6O05-2Z").error().advice == "did you mean 6005-2Z?");
  for (const char* text : {"620S", "6Z0S", "G2O5", "62O5"}) {
    CAPTURE(text);
    CHECK(read_designation(text).error().advice == "did you mean 6205?");
  }
  CHECK(read_designation("630B").error().advice == "did you mean 6308?");
  CHECK(read_designation("62I0").error().advice == "did you mean 6210?");
}

TEST_CASE(
    "special bores: the outer ring and balls of the plain number [src:common practice, no "
    "source]") {
  const auto bore = [](std::string_view text) { return only(text).bore_mm; };
  CHECK(bore("6203/16") == 16);
  CHECK(bore("6202-16") == 16);
  CHECK(test::close_abs(bore("6202-5/8"), 15.875, 1e-9));
  CHECK(test::close_abs(bore("6202-10"), 15.875, 1e-9));
  CHECK(test::close_abs(bore("6201-2RS 1/2"), 12.7, 1e-9));
  CHECK(test::close_abs(bore("6204-12-2RS"), 19.05, 1e-9));
  CHECK(test::close_abs(bore("6205-16"), 25.4, 1e-9));
  CHECK(only("6203/16").basic() == "6203");
  CHECK(only("6202-5/8-2RS").text() == "6202-5/8-2RS");
  CHECK(only("6203/16-2RS").text() == "6203/16-2RS");
  CHECK(bore("6205-2RS1/C3") == 25);
  CHECK(bore("60/22") == 22);
}

TEST_CASE("words before the number are skipped, prefixes are kept, other numbering is read") {
  CHECK(only("somemaker 6309-2Z C3").text() == "6309-2Z/C3");
  CHECK(only("DE bearing: NU 316 C3").text() == "NU316/C3");
  CHECK(only("ABC6205").prefix == "ABC");
  CHECK(only("E2.6205-2Z").basic() == "6205");
  CHECK(only("R8-2RS").bore_mm == 12.7);
  CHECK(only("1614").bore_mm == 9.525);
  CHECK(only("99502H").bore_mm == 15.875);
  // [src:GOST 3189, from memory: 180000 is two seals, 80000 two shields]
  CHECK(only("180205").closure == Closure::seal);
  CHECK(only("180205").closed_sides == 2);
  CHECK(only("80206").bore_mm == 30);
  CHECK(only("60222Z").basic() == "6022");
}

TEST_CASE("contact angles [src:a page on angle codes, confirmed: 7205B 40, 7205C 15 degrees]") {
  CHECK(only("7205 B").contact_angle == Degrees{40});
  CHECK(only("7205C").contact_angle == Degrees{15});
  CHECK(only("7205C").clearance == ClearanceClass::normal);
  CHECK_FALSE(only("7205").contact_angle);
}

TEST_CASE("type and dimension series of the common kinds [src:data/designation_series.csv]") {
  CHECK(only("NU1012").type == BearingType::cylindrical_roller);
  CHECK(only("NU1012").dimension_series == "10");
  CHECK(only("NJ 2312").bore_mm == 60);
  CHECK(only("30205").type == BearingType::tapered_roller);
  CHECK(only("3205").type == BearingType::double_row_angular_contact_ball);
  CHECK(only("22210").type == BearingType::spherical_roller);
  CHECK(only("2210").type == BearingType::self_aligning_ball);
  CHECK(only("51105").type == BearingType::thrust_ball);
  CHECK(only("UC205").type == BearingType::insert_ball);
  CHECK(only("16005").series == "160");
  CHECK(only("62205-2RS").series == "622");
  CHECK(only("61805").bore_mm == 25);
  CHECK(only("6805").dimension_series == "18");
}

TEST_CASE("rollers, moving rings and missing cages [common practice, no source]") {
  for (const char* rollers : {"NU205", "22210", "30205", "NA4905", "29412"})
    CHECK(has_rollers(only(rollers).type));
  for (const char* balls : {"6205", "7205", "3205", "QJ210", "2210", "51105", "UC205"})
    CHECK_FALSE(has_rollers(only(balls).type));
  CHECK(only("NU205").floats);
  CHECK(only("N205").floats);
  CHECK_FALSE(only("NJ205").floats);
  CHECK_FALSE(only("6205").floats);
  CHECK(only("NCF2205").full_complement);
  CHECK(only("NJ2312 V").full_complement);
  CHECK_FALSE(only("NJ2312").full_complement);
}

TEST_CASE("unreadable characters give every bearing that fits, the commonest first") {
  const auto r = read_designation("62?5-2Z C3").value();
  REQUIRE(r.size() == 2);
  CHECK(r[0].text() == "6205-2Z/C3");
  CHECK(r[1].text() == "6215-2Z/C3");
  CHECK(offers("?205", "6205"));
  CHECK(offers("?205", "7205"));
  CHECK(offers("6205-2?", "6205-2Z"));
  CHECK(offers("6205/C?", "6205/C4"));
  CHECK(offers("60?22", "60/22"));
  CHECK(
      offers("62\xEF\xBF\xBD"
             "5",
             "6205"));
  CHECK(offers("6205?2Z", "6205-2Z"));
}

TEST_CASE("what is no designation is refused with what to do") {
  CHECK(read_designation("").error().code == Errc::bad_argument);
  CHECK(read_designation(" -/ ").error().code == Errc::bad_argument);
  CHECK(read_designation("????5").error().code == Errc::bad_argument);
  CHECK(read_designation(std::string(61, '6')).error().code == Errc::bad_argument);
  for (const char* text : {"motor", "62055", "99", "6"}) {
    CAPTURE(text);
    const auto r = read_designation(text);
    REQUIRE_FALSE(r);
    CHECK(r.error().code == Errc::not_found);
    CHECK_FALSE(r.error().advice.empty());
  }
}
