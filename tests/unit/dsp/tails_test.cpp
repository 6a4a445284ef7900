#include "bearingdsp/dsp/tails.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <stdexcept>

#include "bearingdsp/dsp/noise_floor.hpp"
#include "bearingdsp/dsp/statistics.hpp"
#include "support/close.hpp"
#include "support/vectors.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

TEST_CASE("incomplete gamma within 1e-12 relative [src:tests/reference/gen_dsp.py, mpmath]") {
  const auto v = test::load_vectors("dsp_vectors.json");
  REQUIRE(v["gamma_q"].size() > 80);
  for (const auto& r : v["gamma_q"]) {
    const double a = r[0];
    const double x = r[1];
    CAPTURE(a);
    CAPTURE(x);
    const double q = r[2];
    const double p = r[3];
    CHECK(close_rel(gamma_q(a, x), q, q > 1e-290 ? 1e-12 : 1e-6));
    CHECK(close_rel(gamma_p(a, x), p, p > 1e-290 ? 1e-12 : 1e-6));
  }
  for (const auto& r : v["log_gamma_q"]) {
    const double a = r[0];
    const double x = r[1];
    CAPTURE(a);
    CAPTURE(x);
    const double e = r[2];
    CHECK(close_abs(log_gamma_q(a, x), e, 1e-15 + 1e-12 * std::abs(e)));
  }
}

TEST_CASE("shape 1 is the exponential, shape 3 a polynomial times it [src:closed form]") {
  for (const double x : {1e-9, 0.1, 1.0, 1.999, 2.0, 5.0, 50.0, 600.0}) {
    CAPTURE(x);
    CHECK(close_rel(gamma_q(1, x), std::exp(-x), 2e-13));
    CHECK(close_rel(log_gamma_q(1, x), -x, 1e-13));
    CHECK(close_rel(gamma_q(3, x), std::exp(-x) * (1 + x + x * x / 2), 3e-13));
  }
  CHECK(close_rel(log_gamma_q(1, 1e5), -1e5, 1e-14));
  CHECK(gamma_q(5, 0) == 1);
  CHECK(gamma_p(5, 0) == 0);
  CHECK(gamma_q(5, std::numeric_limits<double>::infinity()) == 0);
  CHECK_THROWS_AS((void)gamma_q(0, 1), std::invalid_argument);
  CHECK_THROWS_AS((void)gamma_q(1, -1), std::invalid_argument);
  CHECK_THROWS_AS((void)gamma_q(1, std::numeric_limits<double>::quiet_NaN()),
                  std::invalid_argument);
}

TEST_CASE("inverses return what they were made from [src:tests/reference/gen_dsp.py]") {
  const auto v = test::load_vectors("dsp_vectors.json");
  for (const auto& r : v["gamma_q_inverse"]) {
    CAPTURE(r[0].get<double>());
    CAPTURE(r[1].get<double>());
    CHECK(close_rel(gamma_q_inverse(r[0], r[1]), r[2], 1e-11));
  }
  for (const double a : {0.1, 0.3, 1.0, 7.0, 1e3, 1e6})
    for (const double q : {1e-300, 1e-30, 1e-3, 0.4, 0.9, 0.9999}) {
      CAPTURE(a);
      CAPTURE(q);
      CHECK(close_rel(gamma_q(a, gamma_q_inverse(a, q)), q, 1e-9));
    }
  for (const auto& r : v["normal_quantile"]) {
    CAPTURE(r[0].get<double>());
    CHECK(close_rel(normal_quantile(r[0]), r[1], 1e-12));
  }
  CHECK(close_rel(normal_quantile(0.75), 1 / normal_per_mad, 1e-14));
  CHECK_THROWS_AS((void)normal_quantile(0), std::invalid_argument);
  CHECK_THROWS_AS((void)gamma_q_inverse(1, 1), std::invalid_argument);
}

TEST_CASE("normal tail and its logarithm join without a step [src:definition]") {
  CHECK(normal_tail(0) == 0.5);
  // [src:mpmath 1.2.1 at 40 digits: log(erfc(z / sqrt 2) / 2)]
  CHECK(close_rel(log_normal_tail(3), -6.6077262215103495, 1e-13));
  CHECK(close_rel(log_normal_tail(29.999), std::log(normal_tail(29.999)), 1e-14));
  CHECK(close_rel(log_normal_tail(30.0), -454.3212439563432, 1e-13));
  CHECK(close_rel(log_normal_tail(100.0), -5005.5242086942051, 1e-13));
  CHECK(close_rel(log_normal_tail(-10), -normal_tail(10), 1e-13));
}

TEST_CASE("median over mean of gamma variates [src:tests/reference/gen_dsp.py]") {
  for (const auto& r : test::load_vectors("dsp_vectors.json")["gamma_median"])
    CHECK(close_rel(gamma_median_over_mean(r[0]), r[1].get<double>() / r[0].get<double>(), 1e-11));
  CHECK(close_rel(gamma_median_over_mean(1), std::log(2.0), 1e-14));
}

TEST_CASE("the floor of noise is its mean, with lines standing in it [src:gamma statistics]") {
  const std::size_t n = 40000;
  for (const std::size_t averages : {1U, 2U, 8U}) {
    std::vector<double> power(n, 0.0);
    for (std::size_t m = 0; m < 2 * averages; ++m) {
      const auto z = test::noise(n, 10 + m);
      for (std::size_t i = 0; i < n; ++i)
        power[i] += z[i] * z[i] / 2 / static_cast<double>(averages);
    }
    const FloorOptions o{.half = 100, .shape = static_cast<double>(averages)};
    const auto clean = noise_floor(power, o);
    for (std::size_t i = 0; i < n; i += 100) power[i] += 1000;  // one line in a hundred is high
    const auto with_lines = noise_floor(power, o);
    // 400 windows half overlapped: the mean of the floor is good to a few per mille.
    CHECK(close_rel(mean(clean), 1.0, 0.01));
    CHECK(close_rel(mean(with_lines), 1.0, 0.025));
    const double spread = std::sqrt(variance(clean));
    CHECK(close_rel(spread, floor_relative_deviation(o), 0.15));
  }
}

TEST_CASE("the tail of a line: 10 times the floor is e^-10 [src:exponential distribution]") {
  CHECK(close_rel(log10_line_tail(10, 1), -10 / std::log(10.0), 1e-13));
  CHECK(close_rel(log10_line_tail(3e4, 3), -1e4 / std::log(10.0), 1e-13));
  CHECK(log10_line_tail(0, 1) == 0);
  CHECK_THROWS_AS((void)log10_line_tail(1, 0), std::invalid_argument);
}
