#include "bearingdsp/bearing/geometry.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <limits>
#include <string>

#include "support/close.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

namespace {

DefectOrders of(int z, double d, double pitch, double angle = 0) {
  return defect_orders({.rolling_elements = z,
                        .element_diameter = d,
                        .pitch_diameter = pitch,
                        .contact_angle = Degrees{angle}})
      .value();
}

}  // namespace

TEST_CASE("defect orders: d/D = 1/4, 8 elements, 0 degrees are exact [src:closed form]") {
  const auto k = of(8, 10, 40);
  CHECK(k.bpfo == Order{3});
  CHECK(k.bpfi == Order{5});
  CHECK(k.bsf == Order{1.875});
  CHECK(k.ftf == Order{0.375});
  CHECK(k.rolling_elements == 8);
  CHECK(k.origin == OrdersOrigin::geometry);
  CHECK(k.relative_uncertainty == 0.0);
}

TEST_CASE(
    "6205 gives the multiples that the open motor-bearing data publish "
    "[src:CWRU bearing information page, 4 digits confirmed by two quotations]") {
  const auto k = of(9, 0.3126, 1.537);
  CHECK(close_abs(k.bpfi.value(), 5.4152, 5e-5));
  CHECK(close_abs(k.bpfo.value(), 3.5848, 5e-5));
  CHECK(close_abs(k.ftf.value(), 0.39828, 5e-5));
  // The page's "rolling element" multiple is twice the spin frequency.
  CHECK(close_abs(2 * k.bsf.value(), 4.7135, 5e-4));
  const auto f = at_speed(k, shaft_rate(Rpm{1797}));
  CHECK(close_abs(f.bpfi.value(), 162.2, 0.05));
  CHECK(close_abs(f.bpfo.value(), 107.4, 0.05));
  CHECK(close_abs(f.bsf.value(), 70.6, 0.05));
  CHECK(close_abs(f.ftf.value(), 11.9, 0.05));
  const auto g = at_speed(k, shaft_rate(Rpm{1772}));
  CHECK(close_abs(g.bpfi.value(), 159.92, 0.02));
  CHECK(close_abs(g.bpfo.value(), 105.88, 0.02));
}

TEST_CASE(
    "6203 gives the multiples that the open motor-bearing data publish "
    "[src:CWRU bearing information page, 3 digits confirmed, the 4th from memory]") {
  const auto k = of(8, 0.2656, 1.122);
  CHECK(close_abs(k.bpfi.value(), 4.947, 5e-4));
  CHECK(close_abs(k.bpfo.value(), 3.053, 5e-4));
  CHECK(close_abs(k.bpfo.value(), 3.0530, 2e-4));
  CHECK(close_abs(k.ftf.value(), 0.3817, 2e-4));
  CHECK(close_abs(k.bsf.value(), 1.994, 5e-4));
  CHECK(close_abs(2 * k.bsf.value(), 3.9874, 5e-4));
}

TEST_CASE("published worked examples in Hz") {
  struct Example {
    const char* source;
    int z;
    double d, pitch, angle, rpm, bpfo, bpfi, bsf, ftf, tolerance;
  };
  const std::array examples{
      Example{
          "double-row roller bearing of the IMS run-to-failure set, 15.17 degrees; confirmed in "
          "quotations of the data set's paper",
          16, 0.331, 2.815, 15.17, 2000, 236.4, 296.9, 139.9, 14.8, 0.05},
      Example{"UER204 of the XJTU-SY set at 35 Hz; all four confirmed in a quotation of its paper",
              8, 7.92, 34.55, 0, 2100, 107.907, 172.093, 72.330, 13.488, 6e-4},
      Example{"MFPT set at 25 Hz; computed from its published geometry", 8, 0.235, 1.245, 0, 1500,
              81.12, 118.88, 63.86, 10.14, 0.006},
      Example{"arithmetic example, exact", 8, 10, 50, 0, 1800, 96, 144, 72, 12, 1e-9},
      Example{"7314 with 40 degrees at 25 Hz; inputs weak, computed", 12, 25.4, 110, 40, 1500,
              123.47, 176.53, 52.44, 10.29, 0.006},
  };
  for (const auto& e : examples) {
    CAPTURE(e.source);
    const auto f = at_speed(of(e.z, e.d, e.pitch, e.angle), shaft_rate(Rpm{e.rpm}));
    CHECK(close_abs(f.bpfo.value(), e.bpfo, e.tolerance));
    CHECK(close_abs(f.bpfi.value(), e.bpfi, e.tolerance));
    CHECK(close_abs(f.bsf.value(), e.bsf, e.tolerance));
    CHECK(close_abs(f.ftf.value(), e.ftf, e.tolerance));
  }
}

TEST_CASE(
    "a published exercise whose 27 elements cannot fit is refused, its rates per element hold "
    "[src:university coursework, d 20, D 99, 11 degrees, 2415 rpm, inputs confirmed]") {
  CHECK_FALSE(defect_orders({27, 20, 99, Degrees{11}}));
  const auto f = at_speed(of(13, 20, 99, 11), shaft_rate(Rpm{2415}));
  CHECK(close_abs(f.bpfo.value() / 13, 435.62 / 27, 0.001));
  CHECK(close_abs(f.bpfi.value() / 13, 651.13 / 27, 0.001));
  CHECK(close_abs(f.bsf.value(), 95.70, 0.006));
  CHECK(close_abs(f.ftf.value(), 16.13, 0.006));
}

TEST_CASE("published worked examples in orders") {
  struct Example {
    const char* source;
    int z;
    double d, pitch, angle, bpfo, bpfi, bsf, ftf;
  };
  const std::array examples{
      Example{"insert bearing of a machinery course's exercise; inputs confirmed, computed", 8,
              0.3125, 1.319, 0, 3.0523, 4.9477, 1.9919, 0.3815},
      Example{"spindle bearing 6006, 17 degrees; geometry confirmed, computed", 20, 5.556, 42.5, 17,
              8.7498, 11.2502, 3.7649, 0.4375},
      Example{"spindle bearing 6006, 25 degrees; geometry confirmed, computed", 20, 5.556, 42.5, 25,
              8.8152, 11.1848, 3.7710, 0.4408},
      Example{"spindle bearing 50x90x20, 15 degrees; pitch not printed, computed", 14, 12.70, 70,
              15, 5.7733, 8.2267, 2.6713, 0.4124},
      Example{"spindle bearing 50x90x20, 25 degrees; pitch not printed, computed", 14, 12.70, 70,
              25, 5.8490, 8.1510, 2.6814, 0.4178},
      Example{"railway tapered roller; geometry from memory, computed", 20, 24.74, 176.29, 8.83,
              8.6133, 11.3867, 3.4943, 0.4307},
      Example{"Paderborn 6203 of pitch 28.55; BPFO confirmed", 8, 6.75, 28.55, 0, 3.0543, 4.9457,
              1.9966, 0.3818},
      Example{"Paderborn 6203 of pitch 29.05; BPFO confirmed", 8, 6.75, 29.05, 0, 3.0706, 4.9294,
              2.0357, 0.3838},
  };
  for (const auto& e : examples) {
    CAPTURE(e.source);
    const auto k = of(e.z, e.d, e.pitch, e.angle);
    CHECK(close_abs(k.bpfo.value(), e.bpfo, 6e-5));
    CHECK(close_abs(k.bpfi.value(), e.bpfi, 6e-5));
    CHECK(close_abs(k.bsf.value(), e.bsf, 6e-5));
    CHECK(close_abs(k.ftf.value(), e.ftf, 6e-5));
  }
}

TEST_CASE(
    "NU 330 roller bearing agrees loosely [src:a reference book's table, which contradicts "
    "itself by 6 %]") {
  // FTF 0.400 of the shaft implies x = 0.2.
  const auto f = at_speed(of(14, 0.2, 1), shaft_rate(Rpm{1000}));
  CHECK(close_rel(f.ftf.value(), 6.67, 0.07));
  CHECK(close_rel(f.bpfo.value(), 93.4, 0.07));
  CHECK(close_rel(f.bsf.value(), 42.5, 0.07));
}

TEST_CASE(
    "slip that locks the 6203 race lines to whole orders [src:published, confirmed: 1.78 % "
    "at pitch 28.55, 2.30 % at 29.05, 1.74 % at 28.50]") {
  for (const auto& [d, pitch, slip] : std::array<std::array<double, 3>, 3>{
           {{6.75, 28.55, 0.0178}, {6.75, 29.05, 0.0230}, {6.746, 28.50, 0.0174}}}) {
    const auto k = with_slip(of(8, d, pitch), slip);
    CHECK(close_abs(k.bpfo.value(), 3.0, 5e-4));
    CHECK(close_abs(k.bpfi.value(), 5.0, 5e-4));
  }
}

TEST_CASE("outer ring turning [src:formula page, confirmed: FTF = f/2 (1 + x)]") {
  const BearingGeometry g{8, 10, 40, Degrees{0}};
  const auto inner = defect_orders(g).value();
  const auto outer = defect_orders(g, outer_ring_turns).value();
  CHECK(outer.ftf == Order{0.625});
  CHECK(outer.bpfo == inner.bpfo);
  CHECK(outer.bpfi == inner.bpfi);
  CHECK(outer.bsf == inner.bsf);
}

TEST_CASE("both rings turning [src:closed form, speeds of cage against each ring]") {
  const BearingGeometry g{8, 10, 40, Degrees{0}};
  // Opposite ways at one speed: relative speed doubles, the cage turns at (0.75 - 1.25)/2.
  const auto k = defect_orders(g, both_rings_turn(Rpm{1000}, Rpm{-1000})).value();
  CHECK(k.bpfo == Order{6});
  CHECK(k.bpfi == Order{10});
  CHECK(k.bsf == Order{3.75});
  CHECK(k.ftf == Order{0.25});
  // The cage stands still where fi (1 - x) = - fo (1 + x).
  CHECK(defect_orders(g, both_rings_turn(Rpm{1000}, Rpm{-600})).value().ftf == Order{0});
  const auto only_outer = defect_orders(g, both_rings_turn(Rpm{0}, Rpm{900})).value();
  CHECK(only_outer.ftf == Order{0.625});
  CHECK_FALSE(defect_orders(g, both_rings_turn(Rpm{500}, Rpm{500})));
  CHECK_FALSE(defect_orders(g, both_rings_turn(Rpm{0}, Rpm{0})));
  CHECK_FALSE(defect_orders(g, {1, std::numeric_limits<double>::quiet_NaN()}));
}

TEST_CASE("bad geometry is refused with its reason") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double inf = std::numeric_limits<double>::infinity();
  struct Bad {
    BearingGeometry g;
    const char* word;
  };
  const std::array bad{
      Bad{{2, 10, 40, Degrees{0}}, "2 rolling elements"},
      Bad{{-8, 10, 40, Degrees{0}}, "-8 rolling elements"},
      Bad{{8, 40, 10, Degrees{0}}, "swapped"},
      Bad{{8, 10, 10, Degrees{0}}, "not below"},
      Bad{{8, 0, 40, Degrees{0}}, "element diameter 0"},
      Bad{{8, -1, 40, Degrees{0}}, "element diameter -1"},
      Bad{{8, nan, 40, Degrees{0}}, "element diameter nan"},
      Bad{{8, 10, nan, Degrees{0}}, "pitch diameter nan"},
      Bad{{8, 10, inf, Degrees{0}}, "pitch diameter inf"},
      Bad{{8, 10, -40, Degrees{0}}, "pitch diameter -40"},
      Bad{{8, 10, 40, Degrees{91}}, "contact angle 91"},
      Bad{{8, 10, 40, Degrees{-1}}, "contact angle -1"},
      Bad{{8, 10, 40, Degrees{nan}}, "contact angle nan"},
      Bad{{13, 10, 40, Degrees{0}}, "overlap"},
      Bad{{8, 1e-320, 40, Degrees{0}}, "far too small"},
  };
  for (const auto& b : bad) {
    CAPTURE(b.word);
    const auto r = defect_orders(b.g);
    REQUIRE_FALSE(r);
    CHECK(r.error().code == Errc::bad_argument);
    CHECK(r.error().message().find(b.word) != std::string::npos);
    CHECK(r.error().message().find('\n') == std::string::npos);
    CHECK_FALSE(r.error().advice.empty());
  }
  // A full complement just fits: d = D sin(pi/Z).
  CHECK(defect_orders({12, 40 * std::sin(3.141592653589793 / 12), 40, Degrees{0}}));
}
