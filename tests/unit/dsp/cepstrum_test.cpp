#include "bearingdsp/dsp/cepstrum.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "bearingdsp/dsp/filter.hpp"
#include "bearingdsp/dsp/noise_floor.hpp"
#include "bearingdsp/dsp/statistics.hpp"
#include "support/close.hpp"
#include "support/vectors.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

TEST_CASE("echo: rahmonics (-1)^(k+1) a^k / (2k) at k tau on each side [src:closed form]") {
  FftPlans plans;
  const double a = 0.5;
  std::vector<double> x(4096, 0.0);
  x[10] = 2;
  x[60] = 2 * a;
  const auto c = real_cepstrum(x, plans);
  CHECK(close_rel(c[0], std::log(2.0), 1e-12));
  for (std::size_t k = 1; k <= 5; ++k) {
    const double expected =
        (k % 2 == 1 ? 1 : -1) * std::pow(a, static_cast<double>(k)) / (2 * static_cast<double>(k));
    CHECK(close_abs(c[50 * k], expected, 1e-12));
    CHECK(close_abs(c[4096 - 50 * k], expected, 1e-12));
  }
  CHECK(close_abs(c[25], 0, 1e-12));
}

TEST_CASE("pre-whitened: all lines equal, cepstrum 0, an impulse stays one [src:definition]") {
  FftPlans plans;
  for (const std::size_t n : {1U, 2U, 3U, 64U, 101U}) {
    auto x = test::noise(n, n);
    const auto y = cepstral_prewhiten(x, plans);
    CHECK(close_rel(rms(y), 1, 1e-12));
    // every |Y| is sqrt(n), so ln|Y| is a constant: all of it at quefrency 0
    const auto c = real_cepstrum(y, plans);
    CHECK(close_abs(c[0], 0.5 * std::log(static_cast<double>(n)), 1e-12));
    for (std::size_t i = 1; i < n; ++i) CHECK(close_abs(c[i], 0, 1e-12));
  }
  std::vector<double> pulse(128, 0.0);
  pulse[40] = 7;
  const auto y = cepstral_prewhiten(pulse, plans);
  CHECK(close_rel(y[40], std::sqrt(128.0), 1e-12));
  CHECK(close_abs(y[41], 0, 1e-12));
  const std::vector<double> zeros(16, 0.0);
  CHECK(cepstral_prewhiten(zeros, plans) == zeros);
  CHECK(real_cepstrum(zeros, plans) == zeros);
  CHECK_THROWS_AS((void)real_cepstrum({}, plans), std::invalid_argument);
}

TEST_CASE("a strong tone in noise becomes one line among equals [src:definition]") {
  FftPlans plans;
  auto x = test::noise(4096, 3);
  const auto tone = test::sine(4096, 512, 4096, 50);
  for (std::size_t i = 0; i < x.size(); ++i) x[i] += tone[i];
  const auto y = cepstral_prewhiten(x, plans);
  std::vector<std::complex<double>> bins(2049);
  plans.real(4096)->forward(y, bins);
  for (const auto& b : bins) CHECK(close_rel(std::abs(b), 64, 1e-10));
}

TEST_CASE("whitening levels a resonance and keeps the burst [src:unit variance by construction]") {
  FftPlans plans;
  const std::size_t n = 32768;
  const auto resonance = butterworth(
      {.kind = FilterKind::band_pass, .order = 1, .low = Hz{2800}, .high = Hz{3200}}, Hz{20000});
  const auto white = test::noise(n, 6);
  auto x = filter_forward(resonance.value(), white);
  for (std::size_t i = 0; i < n; ++i) x[i] = 1e-3 * (x[i] + 0.02 * white[i]);
  const auto y = whiten(x, plans);
  CHECK(close_rel(rms(y), 1, 0.03));
  std::vector<double> power(n / 2 + 1);
  std::vector<std::complex<double>> bins(power.size());
  plans.real(n)->forward(y, bins);
  for (std::size_t k = 0; k < power.size(); ++k)
    power[k] = std::norm(bins[k]) / static_cast<double>(n);
  // thirds of the band, resonance in the first: every one at the same level
  for (const std::size_t k : {300U, 4600U, 5000U, 9000U, 14000U})
    CHECK(close_rel(mean(std::span{power}.subspan(k, 400)), 1, 0.2));
  const std::vector<double> zeros(16, 0.0);
  CHECK(whiten(zeros, plans) == zeros);
}

TEST_CASE("floor by knots follows the floor at every line, within its own deviation") {
  for (const std::size_t n : {1U, 2U, 5U, 100U, 5000U}) {
    std::vector<double> power = test::noise(n, 9);
    const auto z = test::noise(n, 19);
    for (std::size_t i = 0; i < n; ++i) power[i] = (power[i] * power[i] + z[i] * z[i]) / 2;
    const FloorOptions o{.half = 60};
    const auto a = noise_floor(power, o);
    const auto b = noise_floor_by_knots(power, o);
    REQUIRE(b.size() == n);
    CHECK(b.front() == a.front());
    CHECK(b.back() == a.back());
    for (std::size_t i = 0; i < n; ++i)
      CHECK(close_rel(a[i], b[i], 5 * floor_relative_deviation(o)));
  }
}
