#include "bearingdsp/replacement/mounting.hpp"

#include <doctest/doctest.h>

#include <string>

#include "support/close.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

namespace {
Designation read(std::string_view text) { return read_designation(text).value().front(); }
}  // namespace

TEST_CASE(
    "fits [src:maker's catalogue B, confirmed: shaft 75 j5 +6/-7 in bore 0/-15 interference "
    "21, play 7; shaft 100 m5 +28/+13 in bore 0/-20 interference 48 and 13 um]") {
  const auto j5 = shaft_fit("j5", 75).value();
  CHECK(j5.shaft.upper_um == 6);
  CHECK(j5.shaft.lower_um == -7);
  CHECK(j5.most_interference_um == 21);
  CHECK(j5.least_interference_um == -7);
  const auto m5 = shaft_fit("m5", 100).value();
  CHECK(m5.most_interference_um == 48);
  CHECK(m5.least_interference_um == 13);
}

TEST_CASE("fit of electric motors by size and kind [src:maker's catalogue C, confirmed]") {
  CHECK(motor_shaft_fit(read("6203")).value().code == "j5");
  CHECK(motor_shaft_fit(read("6204")).value().code == "k5");
  CHECK(motor_shaft_fit(read("6320")).value().code == "k5");
  CHECK(motor_shaft_fit(read("6321")).value().code == "m5");
  CHECK(motor_shaft_fit(read("6330")).value().code == "m6");
  CHECK(motor_shaft_fit(read("NU208")).value().code == "k5");
  CHECK(motor_shaft_fit(read("NU209")).value().code == "m5");
  CHECK(motor_shaft_fit(read("NU330")).value().code == "n6");
  CHECK_FALSE(motor_shaft_fit(read("22210 K")));
  CHECK_FALSE(motor_shaft_fit(read("6340")));
  CHECK_FALSE(motor_shaft_fit(read("618/5")));
  CHECK_FALSE(fit_deviations("q5", 50));
}

TEST_CASE(
    "a bore of 50 mm grows by 50 um for 80 K [src:maker's catalogue A: 12.5e-6 1/K, computed]") {
  // 50 um of interference are gone at 20 + 80 = 100 C; 20 K more make 120 C
  const auto h = heating(50, 50, 20);
  CHECK(close_abs(h.free_at_c, 100, 1e-9));
  CHECK(h.slides);
  CHECK(close_abs(h.aim_c, 120, 1e-9));
  CHECK(close_abs(h.play_um, 12.5, 1e-9));
}

TEST_CASE("heating keeps to 110 where that suffices and never passes 120 degrees C") {
  const auto easy = heating(28, 50, 20);  // 44.8 K + 25 K
  CHECK(close_abs(easy.aim_c, 20 + 44.8 + 25, 1e-9));
  const auto tight = heating(21, 25, 20);  // 67.2 K: 112.2 wanted, 107.2 suffice
  CHECK(tight.slides);
  CHECK(tight.aim_c == 110);
  const auto small = heating(13, 10, 20);  // 104 K: 124 C before any margin
  CHECK_FALSE(small.slides);
  CHECK(small.aim_c == 110);
  CHECK(small.play_um < 0);
  for (double bore = 7; bore <= 180; bore += 1)
    for (double um = -20; um <= 80; um += 4) {
      const auto h = heating(um, bore, 15);
      CHECK(h.aim_c <= hottest_bearing_c);
      if (h.slides) CHECK(h.play_um >= steel_expansion * bore * 1000 * 20 - 1e-9);
    }
}

TEST_CASE(
    "what the fit and the warm inner ring leave of the clearance [src:closed form of maker's "
    "catalogue A: 70-90 %, 5-10 K, De = (4D+d)/5]") {
  const auto fit = shaft_fit("k5", 25).value();  // 2 to 21 um
  CHECK(fit.most_interference_um == 21);
  const auto cn = running_clearance({5, 20, ""}, fit, false, 25, 52);
  // De = 46.6 mm: 10 K take 5.825 um, 7.5 K 4.369 um
  CHECK(close_rel(cn.least_um, 5 - 0.9 * 21 - 5.825, 1e-9));
  CHECK(close_rel(cn.likely_um, 12.5 - 0.8 * 11.5 - 4.36875, 1e-9));
  const auto c3 = running_clearance({13, 28, ""}, fit, false, 25, 52);
  CHECK(c3.likely_um > 0);
  CHECK(cn.likely_um < 0);
  const auto roller = running_clearance({50, 80, ""}, fit, true, 25, 52);
  CHECK(close_rel(roller.least_um, 50 - 18.9 - 12.5e-3 * 10 * (3 * 52 + 25) / 4, 1e-9));
}
