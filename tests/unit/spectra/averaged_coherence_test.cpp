#include "bearingdsp/spectra/averaged_coherence.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

#include "bearingdsp/simulate/random.hpp"
#include "support/close.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

namespace {

constexpr double rate = 8192;

/// White noise times 1 + m cos(2 pi hz t).
std::vector<double> pulsating(std::size_t n, double hz, double m, std::uint64_t seed) {
  Random random{seed};
  std::vector<double> x(n);
  for (std::size_t i = 0; i < n; ++i)
    x[i] = random.normal() *
           (1 + m * std::cos(2 * std::numbers::pi * hz * static_cast<double>(i) / rate));
  return x;
}

/// Mean over the carriers that have a pair.
double over_carriers(const std::vector<double>& row) {
  double sum = 0;
  std::size_t n = 0;
  for (std::size_t k = 2; k + 2 < row.size(); ++k)
    if (!std::isnan(row[k])) {
      sum += row[k];
      ++n;
    }
  return sum / static_cast<double>(n);
}

}  // namespace

TEST_CASE(
    "averaged coherence of noise that pulses as 1 + m cos: m / (1 + m^2/2), at twice the rate "
    "(m^2/4) / (1 + m^2/2) [src:closed-form]") {
  // The variance is 1 + m^2/2 + 2 m cos + (m^2/2) cos(2): its Fourier coefficients over their mean.
  FftPlans plans;
  const std::vector<double> rates{300, 600, 450};
  for (const double m : {0.3, 0.6, 1.0}) {
    CAPTURE(m);
    const auto c =
        averaged_coherence(pulsating(20 * 8192, 300, m, 4), Hz{rate}, rates, plans).value();
    REQUIRE(c.squared.size() == 3);
    const double mean = 1 + m * m / 2;
    // Some 620 averages and 120 carriers, of which every second is independent.
    CHECK(close_abs(over_carriers(c.squared[0]), m * m / (mean * mean), 0.01));
    CHECK(close_abs(over_carriers(c.squared[1]), m * m * m * m / 16 / (mean * mean), 0.005));
    CHECK(close_abs(over_carriers(c.squared[2]), 0, 0.002));
  }
}

TEST_CASE(
    "averaged coherence: without its bias, for few averages too [src:carter1973, from memory]") {
  FftPlans plans;
  std::vector<double> rates;
  for (int i = 0; i < 40; ++i) rates.push_back(251.3 + 12.7 * i);
  double sum = 0;
  std::size_t above = 0;
  std::size_t all = 0;
  double averages = 0;
  for (std::uint64_t seed = 1; seed <= 12; ++seed) {
    const auto c =
        averaged_coherence(pulsating(2048, 300, 0, seed), Hz{rate}, rates, plans).value();
    averages = c.averages;
    for (const auto& row : c.squared)
      for (std::size_t k = 2; k + 2 < row.size(); ++k) {
        if (std::isnan(row[k])) continue;
        sum += row[k];
        above += row[k] > c.by_chance ? 1U : 0U;
        ++all;
      }
  }
  // 8 segments of 256 samples with three quarters shared: the raw estimate would read 1/K, some
  // 0.1.
  CHECK(averages > 7);
  CHECK(averages < 16);
  CHECK(std::abs(sum / static_cast<double>(all)) < 0.01);
  REQUIRE(all > 40000);
  CHECK(static_cast<double>(above) / static_cast<double>(all) > 0.0002);
  CHECK(static_cast<double>(above) / static_cast<double>(all) < 0.004);
}

TEST_CASE(
    "averaged coherence is the mean of X(f + a/2) X*(f - a/2), line by line [src:definition]") {
  // The double sum without a transform: shifted spectra at one carrier, segment by segment.
  FftPlans plans;
  const std::vector<double> x = pulsating(4096, 200, 0.7, 9);
  const double a = 200;
  AveragedCoherenceOptions options;
  options.segment = 64;
  const auto c = averaged_coherence(x, Hz{rate}, std::vector<double>{a}, plans, options).value();
  double mean = 0;
  for (const double v : x) mean += v / static_cast<double>(x.size());
  for (const std::size_t k : {std::size_t{5}, std::size_t{20}}) {
    const double carrier = static_cast<double>(k) * rate / 64;
    std::complex<double> cross;
    double upper = 0;
    double lower = 0;
    for (std::size_t begin = 0; begin + 64 <= x.size(); begin += 16) {
      std::complex<double> plus;
      std::complex<double> minus;
      for (std::size_t i = 0; i < 64; ++i) {
        const double t = static_cast<double>(begin + i) / rate;
        const double w = 0.5 - 0.5 * std::cos(2 * std::numbers::pi * static_cast<double>(i) / 64);
        plus += w * (x[begin + i] - mean) *
                std::polar(1.0, -2 * std::numbers::pi * (carrier + a / 2) * t);
        minus += w * (x[begin + i] - mean) *
                 std::polar(1.0, -2 * std::numbers::pi * (carrier - a / 2) * t);
      }
      cross += plus * std::conj(minus);
      upper += std::norm(plus);
      lower += std::norm(minus);
    }
    const double raw = std::norm(cross) / (upper * lower);
    CHECK(close_rel(c.squared[0][k], (raw - 1 / c.averages) / (1 - 1 / c.averages), 1e-9));
  }
}

TEST_CASE("averaged coherence: where no pair of carriers exists, and what is refused") {
  FftPlans plans;
  const std::vector<double> x = pulsating(8192, 300, 0.5, 2);
  const auto c = averaged_coherence(x, Hz{rate}, std::vector<double>{1000}, plans).value();
  REQUIRE(c.squared[0].size() == 129);
  CHECK(close_abs(c.line_spacing.value(), 32, 1e-12));
  for (std::size_t k = 0; k < 129; ++k) {
    const double carrier = 32.0 * static_cast<double>(k);
    CHECK(std::isnan(c.squared[0][k]) == (carrier < 500 || carrier > 4096 - 500));
  }
  const auto refused = [&](double cyclic, AveragedCoherenceOptions o) {
    return averaged_coherence(x, Hz{rate}, std::vector<double>{cyclic}, plans, o).error().code;
  };
  CHECK(refused(0, {}) == Errc::bad_argument);
  CHECK(refused(9000, {}) == Errc::bad_argument);
  CHECK(refused(100, {.segment = 255}) == Errc::bad_argument);
  CHECK(refused(100, {.segment = 256, .overlap = 1}) == Errc::bad_argument);
  CHECK(refused(100, {.segment = 4096}) == Errc::too_short);
  CHECK(refused(100, {.segment = 16384}) == Errc::too_short);
  CHECK(averaged_coherence(x, Hz{0}, std::vector<double>{100}, plans).error().code ==
        Errc::bad_argument);
}
