#include "bearingdsp/condition/separate.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <stdexcept>

#include "bearingdsp/dsp/statistics.hpp"
#include "support/close.hpp"
#include "support/vectors.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

namespace {

/// Amplitude of the sine of frequency f in x between two samples, by least squares.
double tone(std::span<const double> x, double f, double rate) {
  std::complex<double> sum;
  double weight = 0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    const double w =
        1 - std::cos(2 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(x.size()));
    sum += w * x[i] * std::polar(1.0, -2 * std::numbers::pi * f * static_cast<double>(i) / rate);
    weight += w;
  }
  return 2 * std::abs(sum) / weight;
}

double power(std::span<const double> x) { return rms(x) * rms(x); }

}  // namespace

TEST_CASE("coherence parts a line from noise [src:header's bound]") {
  FftPlans plans;
  const std::size_t n = 200000;
  const auto noise = test::noise(n, 7);
  // amplitude 1 in unit noise: in a line of 10000/4096 Hz the noise has 2/4096, 30 dB below
  auto x = test::sine(n, 333.3, 10000);
  for (std::size_t i = 0; i < n; ++i) x[i] += noise[i];
  const auto s = separate_deterministic(x, Hz{10000}, plans).value();
  REQUIRE(s.random.size() == n);
  for (std::size_t i = 0; i < n; i += 997)
    CHECK(close_abs(s.random[i] + s.deterministic[i], x[i], 1e-12));
  const auto middle = std::span{s.random}.subspan(10000, n - 20000);
  CHECK(tone(middle, 333.3, 10000) < 0.05);
  CHECK(tone(std::span{s.deterministic}.subspan(10000, n - 20000), 333.3, 10000) > 0.95);
  // bursts and noise stay
  const auto only = separate_deterministic(noise, Hz{10000}, plans).value();
  CHECK(power(only.deterministic) < 0.03);
}

// A line whose strength a(t) swells once in twice the delay, over whole swells: where it is strong
// the copy is weak, so that the mean of a a' is 1 - m^2/2 and those of a^2 and a'^2 are 1 + m^2/2.
TEST_CASE(
    "a line of known coherence passes by its root without the bias of 1/M [src:closed-form]") {
  FftPlans plans;
  const std::size_t block = 256;
  const std::size_t delay = 8 * block;
  const std::size_t segments = 32;  // half overlapped: one swell
  const std::size_t n = delay + block + (segments - 1) * block / 2;
  const double m = 0.8;
  std::vector<double> x(n);
  for (std::size_t i = 0; i < n; ++i) {
    const double turn = 2 * std::numbers::pi * static_cast<double>(i);
    x[i] = (1 + m * std::cos(turn / (2 * delay))) * std::cos(turn * 20 / block);
  }
  const auto s = separate_deterministic(x, Hz{1}, plans, {.block = block, .delay = delay}).value();
  const double coherence = std::pow((1 - m * m / 2) / (1 + m * m / 2), 2);
  // Half-overlapped Hann segments correlate by 1/6 [src:welch1967].
  const double averages = segments / (1 + 2.0 / 36);
  const double expected = std::sqrt((coherence - 1 / averages) / (1 - 1 / averages));
  const auto inside = [](const std::vector<double>& y) {
    return std::span{y}.subspan(4 * block, 2 * delay);
  };
  // Not removed, the bias would leave 5 % more; the swell within a block is worth half a percent.
  CHECK(close_rel(rms(inside(s.deterministic)) / rms(inside(x)), expected, 0.01));
}

TEST_CASE("the adaptive predictor takes a line off and follows nothing in noise") {
  const std::size_t n = 60000;
  const auto noise = test::noise(n, 8);
  auto x = test::sine(n, 333.3, 10000, std::sqrt(2.0));
  for (std::size_t i = 0; i < n; ++i) x[i] += noise[i];
  const auto s = separate_adaptive(x).value();
  const auto late = std::span{s.random}.subspan(n / 2);
  CHECK(tone(late, 333.3, 10000) < 0.1 * std::sqrt(2.0));
  CHECK(power(late) < 1.1);
  CHECK(power(late) > 0.9);
  CHECK(separate_adaptive(std::span{x}.first(1000)).error().code == Errc::too_short);
  CHECK(separate_adaptive(x, {.step = 2}).error().code == Errc::bad_argument);
}

TEST_CASE("harmonics go down to their neighbourhood, the rest stays [src:header's bound]") {
  FftPlans plans;
  const std::size_t n = 20000;
  const auto noise = test::noise(n, 9);
  auto x = noise;
  for (int h = 1; h <= 3; ++h) {
    const auto t = test::sine(n, 50.0 * h, 10000, 20);
    for (std::size_t i = 0; i < n; ++i) x[i] += t[i];
  }
  const auto other = test::sine(n, 77, 10000, 5);
  for (std::size_t i = 0; i < n; ++i) x[i] += other[i];
  const auto y = remove_harmonics(x, Hz{10000}, Hz{50}, plans).value();
  REQUIRE(y.size() == n);
  // noise of unit variance: a line's amplitude is about sqrt(pi / n) = 0.0125
  for (int h = 1; h <= 3; ++h) CHECK(tone(y, 50.0 * h, 10000) < 0.05);
  CHECK(close_rel(tone(y, 77, 10000), 5, 0.01));
  CHECK(close_rel(power(y), 13.5, 0.05));
  // half-way between lines, the worst leakage
  const double f = 50.25;
  const auto off =
      remove_harmonics(test::sine(n, f, 10000, 20), Hz{10000}, Hz{f}, plans, {.harmonics = 1});
  CHECK(tone(off.value(), f, 10000) < 0.1 * 20);
  CHECK(rms(off.value()) < 0.35 * 20 / std::sqrt(2.0));
  CHECK(remove_harmonics(x, Hz{0}, Hz{50}, plans).error().code == Errc::bad_argument);
  CHECK(remove_harmonics(x, Hz{90}, Hz{50}, plans).error().code == Errc::bad_argument);
  CHECK(remove_harmonics(x, Hz{1000}, Hz{0.5}, plans).error().code == Errc::too_short);
  CHECK(remove_harmonics(x, Hz{1000}, Hz{50}, plans, {.half_lines = -1}).error().code ==
        Errc::bad_argument);
}

TEST_CASE(
    "synchronous average: the periodic part exactly, noise by root N [src:braun1975, from "
    "memory]") {
  const std::size_t period = 64;
  const std::size_t n = period * 400 + 17;
  const auto noise = test::noise(n, 10);
  std::vector<double> x(n);
  const auto wave = [](std::size_t i) { return static_cast<double>(i % 64 % 7) - 3; };
  for (std::size_t i = 0; i < n; ++i) x[i] = wave(i);
  CHECK(synchronous_average(x, period)[5] == wave(5));
  for (const double v : remove_synchronous(x, period)) CHECK(v == 0);
  for (std::size_t i = 0; i < n; ++i) x[i] += noise[i];
  const auto a = synchronous_average(x, period);
  double sum = 0;
  for (std::size_t i = 0; i < period; ++i) sum += (a[i] - wave(i)) * (a[i] - wave(i));
  CHECK(close_rel(sum / 64, 1.0 / 400, 0.6));  // 64 degrees of freedom: three deviations
  CHECK_THROWS_AS((void)synchronous_average(x, 0), std::invalid_argument);
  CHECK_THROWS_AS((void)synchronous_average(std::vector<double>(3), 4), std::invalid_argument);
}

TEST_CASE("separation refuses what it cannot do") {
  FftPlans plans;
  const auto x = test::noise(1000);
  CHECK(separate_deterministic(x, Hz{0}, plans).error().code == Errc::bad_argument);
  CHECK(separate_deterministic(x, Hz{1}, plans, {.block = 8}).error().code == Errc::bad_argument);
  CHECK(separate_deterministic(x, Hz{1}, plans, {.block = 512}).error().code == Errc::too_short);
  CHECK(separate_deterministic({}, Hz{1}, plans).error().code == Errc::too_short);
  CHECK(separate_deterministic(x, Hz{1}, plans).has_value());
}
