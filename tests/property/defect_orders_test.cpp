#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/simulate/random.hpp"
#include "support/close.hpp"

using namespace bearingdsp;
using test::close_rel;

namespace {

BearingGeometry any_geometry(Random& random) {
  const int z = 3 + static_cast<int>(random.uniform() * 27.999);
  const double pitch = 5 + 500 * random.uniform();
  const double room = std::min(0.95, std::sin(std::numbers::pi / z));
  return {z, pitch * room * (0.1 + 0.9 * random.uniform()), pitch,
          Degrees{89 * (1 - random.uniform())}};
}

}  // namespace

TEST_CASE(
    "identities of defect orders hold for any geometry and any slip "
    "[src:analytic: bpfo + bpfi = Z, bpfo = Z ftf, bpfi = Z (1 - ftf)]") {
  Random random{7};
  for (int i = 0; i < 2000; ++i) {
    const auto g = any_geometry(random);
    const double z = g.rolling_elements;
    for (const double slip : {0.0, 0.49 * (1 - random.uniform())}) {
      const auto k = with_slip(defect_orders(g).value(), slip);
      CHECK(close_rel(k.bpfo.value() + k.bpfi.value(), z, 1e-13));
      CHECK(close_rel(k.bpfo.value(), z * k.ftf.value(), 1e-13));
      CHECK(close_rel(k.bpfi.value(), z * (1 - k.ftf.value()), 1e-13));
    }
    const auto k = defect_orders(g).value();
    CHECK(k.bpfi > k.bpfo);
    // BSF = (1 - x^2) / (2 d/D) with x read back from BPFO.
    const double x = 1 - 2 * k.bpfo.value() / z;
    CHECK(close_rel(k.bsf.value() * 2 * g.element_diameter / g.pitch_diameter, 1 - x * x, 1e-12));
  }
}

TEST_CASE("only the ratio of diameters and the difference of ring speeds matter [src:analytic]") {
  Random random{11};
  for (int i = 0; i < 500; ++i) {
    auto g = any_geometry(random);
    const auto k = defect_orders(g).value();
    const double turns = 10 * random.normal();
    const auto shifted = defect_orders(g, {1 + turns, turns}).value();
    CHECK(close_rel(shifted.bpfo.value(), k.bpfo.value(), 1e-11));
    CHECK(close_rel(shifted.bpfi.value(), k.bpfi.value(), 1e-11));
    CHECK(close_rel(shifted.bsf.value(), k.bsf.value(), 1e-11));
    // Seen from a frame that turns with the cage nothing changes but the cage's own rate.
    CHECK(test::close_abs(shifted.ftf.value(), std::abs(k.ftf.value() + turns), 1e-10));
    g.element_diameter /= 25.4;
    g.pitch_diameter /= 25.4;
    CHECK(close_rel(defect_orders(g).value().bpfo.value(), k.bpfo.value(), 1e-13));
  }
}

TEST_CASE("impossible slip is the caller's bug") {
  const auto k = defect_orders({8, 10, 40, Degrees{0}}).value();
  CHECK_THROWS_AS((void)with_slip(k, -0.01), std::invalid_argument);
  CHECK_THROWS_AS((void)with_slip(k, 0.5), std::invalid_argument);
  CHECK_THROWS_AS((void)with_slip(k, std::nan("")), std::invalid_argument);
}
