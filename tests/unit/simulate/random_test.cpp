#include "bearingdsp/simulate/random.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "support/close.hpp"

using namespace bearingdsp;

TEST_CASE(
    "the generator's first numbers are fixed [src:own vector, computed with an independent "
    "Python version of the published algorithm]") {
  Random random{42};
  for (const std::uint64_t expected :
       std::array<std::uint64_t, 4>{15021278609987233951ULL, 5881210131331364753ULL,
                                    18149643915985481100ULL, 12933668939759105464ULL})
    CHECK(random.bits() == expected);
}

TEST_CASE("uniform, normal and exponential have their moments [src:analytic]") {
  Random random{1};
  constexpr int n = 400000;
  double u1 = 0, u2 = 0, m1 = 0, m2 = 0, m4 = 0, e1 = 0, e2 = 0;
  for (int i = 0; i < n; ++i) {
    const double u = random.uniform();
    REQUIRE(u > 0);
    REQUIRE(u <= 1);
    const double g = random.normal();
    const double e = random.exponential();
    u1 += u;
    u2 += u * u;
    m1 += g;
    m2 += g * g;
    m4 += g * g * g * g;
    e1 += e;
    e2 += e * e;
  }
  // Tolerances are 5 standard errors of each mean.
  const double root = std::sqrt(n);
  CHECK(test::close_abs(u1 / n, 0.5, 5 * 0.289 / root));
  CHECK(test::close_abs(u2 / n, 1.0 / 3, 5 * 0.298 / root));
  CHECK(test::close_abs(m1 / n, 0, 5 / root));
  CHECK(test::close_abs(m2 / n, 1, 5 * 1.414 / root));
  CHECK(test::close_abs(m4 / n, 3, 5 * 9.8 / root));
  CHECK(test::close_abs(e1 / n, 1, 5 / root));
  CHECK(test::close_abs(e2 / n, 2, 5 * 4.47 / root));
}

TEST_CASE("streams of one seed differ, and do not correlate") {
  Random a{9, 1};
  Random b{9, 2};
  double sum = 0;
  constexpr int n = 100000;
  for (int i = 0; i < n; ++i) sum += a.normal() * b.normal();
  CHECK(test::close_abs(sum / n, 0, 5 / std::sqrt(n)));
}
