#include "bearingdsp/replacement/belt.hpp"

#include <doctest/doctest.h>

#include <stdexcept>
#include <utility>

#include "support/close.hpp"

using namespace bearingdsp;
using test::close_rel;

TEST_CASE(
    "22 kW at 1470 rpm on 200 mm: 1429 N useful, 2.86 kN at factor 2 [src:closed-form P = F v, "
    "19.1e6 P/(n D)]") {
  const auto v = belt_pull(22, Rpm{1470}, 200, BeltKind::v_belt);
  CHECK(close_rel(v.useful_n, 1429, 1e-3));
  CHECK(close_rel(0.5 * (v.low_n + v.high_n), 2860, 2e-3));
}

TEST_CASE(
    "factors of the belts [src:a bearing manufacturer's page, confirmed: V-belt 1.5 to 2, toothed "
    "1.1 to 1.3, flat with tension pulley 2.5 to 3, without 3 to 4, V-belt to 2.5 and toothed to 2 "
    "from memory]") {
  const auto factors = [](BeltKind kind) {
    const auto p = belt_pull(22, Rpm{1470}, 200, kind);
    return std::pair{p.low_n / p.useful_n, p.high_n / p.useful_n};
  };
  const auto is = [&](BeltKind kind, double low, double high) {
    const auto [a, b] = factors(kind);
    return close_rel(a, low, 1e-12) && close_rel(b, high, 1e-12);
  };
  CHECK(is(BeltKind::v_belt, 1.5, 2.5));
  CHECK(is(BeltKind::toothed, 1.1, 2.0));
  CHECK(is(BeltKind::flat_with_idler, 2.5, 3.0));
  CHECK(is(BeltKind::flat, 3.0, 4.0));
}

TEST_CASE("half the pulley doubles the pull, and nothing that cannot be is computed") {
  const auto small = belt_pull(5, Rpm{1000}, 100, BeltKind::flat);
  const auto large = belt_pull(5, Rpm{1000}, 200, BeltKind::flat);
  CHECK(close_rel(small.high_n, 2 * large.high_n, 1e-12));
  CHECK_THROWS_AS(static_cast<void>(belt_pull(0, Rpm{1000}, 100, BeltKind::flat)),
                  std::invalid_argument);
  CHECK_THROWS_AS(static_cast<void>(belt_pull(5, Rpm{0}, 100, BeltKind::flat)),
                  std::invalid_argument);
  CHECK_THROWS_AS(static_cast<void>(belt_pull(5, Rpm{1000}, 0, BeltKind::flat)),
                  std::invalid_argument);
}
