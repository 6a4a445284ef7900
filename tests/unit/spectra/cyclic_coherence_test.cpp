#include "bearingdsp/spectra/cyclic_coherence.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <stdexcept>
#include <vector>

#include "bearingdsp/simulate/random.hpp"
#include "support/close.hpp"

using namespace bearingdsp;

namespace {

constexpr double rate = 8192;

std::vector<double> gaussian(std::size_t n, std::uint64_t seed) {
  Random random{seed};
  std::vector<double> x(n);
  for (double& v : x) v = random.normal();
  return x;
}

RecordSpectrum spectrum_of(const std::vector<double>& x, FftPlans& plans) {
  return record_spectrum({x, Hz{rate}, SampleUnit::acceleration}, plans);
}

std::size_t column(const CoherenceMap& m, double hz) {
  return static_cast<std::size_t>(std::floor(hz / m.step.value() + 1e-9));
}

/// Noise that is louder and softer at `hz`: (1 + m cos) times white noise.
std::vector<double> pulsing(double seconds, double hz, double m, std::uint64_t seed) {
  std::vector<double> x = gaussian(static_cast<std::size_t>(rate * seconds), seed);
  for (std::size_t i = 0; i < x.size(); ++i)
    x[i] *= 1 + m * std::cos(2 * std::numbers::pi * hz * static_cast<double>(i) / rate);
  return x;
}

}  // namespace

TEST_CASE(
    "coherence of noise that pulses as 1 + m cos: m / (1 + m^2 / 2) in every band "
    "[src:closed-form]") {
  FftPlans plans;
  for (const double m : {0.3, 1.0}) {
    CAPTURE(m);
    const RecordSpectrum flat = flattened(spectrum_of(pulsing(40, 40, m, 5), plans), Hz{200});
    const CoherenceMap map = cyclic_coherence({&flat, 1}, Hz{150}, plans);
    REQUIRE(map.bands.size() == 16);
    const double expected = m / (1 + m * m / 2);
    for (const auto& row : map.magnitude) {
      // A band of 250 Hz for 40 s: 10 000 independent values, so 1 % at random. The cyclic
      // frequency eats 40 of its 250 Hz at the edges.
      CHECK(test::close_rel(row.at(column(map, 40)), expected * (1 - 40.0 / 250), 0.15));
      CHECK(row.at(column(map, 60)) < 2 * map.by_chance);
    }
  }
}

TEST_CASE("coherence stands only in the band that pulses") {
  FftPlans plans;
  const RecordSpectrum steady = spectrum_of(gaussian(16 * 8192, 1), plans);
  RecordSpectrum both = spectrum_of(pulsing(16, 40, 1, 2), plans);
  // Below 2 kHz the steady noise, above it the pulsing one.
  for (std::size_t k = 0; k < both.bins.size(); ++k)
    if (static_cast<double>(k) * both.line_spacing().value() < 2000) both.bins[k] = steady.bins[k];
  const RecordSpectrum flat = flattened(both, Hz{200});
  const CoherenceMap map = cyclic_coherence({&flat, 1}, Hz{150}, plans);
  for (std::size_t b = 0; b < map.bands.size(); ++b) {
    const double here = map.magnitude[b].at(column(map, 40));
    if (map.bands[b].high.value() < 2000) CHECK(here < 2 * map.by_chance);
    if (map.bands[b].low.value() > 2000) CHECK(here > 0.4);
  }
}

TEST_CASE("by_chance: Gaussian noise is above it in about one cell of 1000 [src:closed-form]") {
  FftPlans plans;
  std::size_t above = 0;
  std::size_t all = 0;
  for (std::uint64_t seed = 10; seed < 16; ++seed) {
    const RecordSpectrum flat = flattened(spectrum_of(gaussian(20 * 8192, seed), plans), Hz{200});
    const CoherenceMap map = cyclic_coherence({&flat, 1}, Hz{100}, plans);
    for (const auto& row : map.magnitude)
      for (std::size_t c = 2; c < row.size(); ++c) {
        ++all;
        above += row[c] > map.by_chance ? 1U : 0U;
      }
  }
  REQUIRE(all > 50000);
  // Neighbouring lines share half of their noise, and power falls with the cyclic frequency.
  CHECK(static_cast<double>(above) > 0.0002 * static_cast<double>(all));
  CHECK(static_cast<double>(above) < 0.002 * static_cast<double>(all));
}

TEST_CASE(
    "coherence is the sum of X(f + a/2) X*(f - a/2) over the band, over its power "
    "[src:antoni2007cyclic, from memory]") {
  // Another road: the double sum over the transform itself. A periodic modulation on a line of the
  // recording is read alike with and without the window.
  FftPlans plans;
  const RecordSpectrum s = spectrum_of(pulsing(32, 32, 0.8, 9), plans);
  const CoherenceMap map = cyclic_coherence({&s, 1}, Hz{100}, plans);
  const double df = s.line_spacing().value();
  const auto shift = static_cast<std::size_t>(std::lround(32 / df));
  for (const std::size_t b : {std::size_t{3}, std::size_t{11}}) {
    const auto first = static_cast<std::size_t>(std::lround(map.bands[b].low.value() / df));
    const auto last =
        first + static_cast<std::size_t>(std::lround(map.bands[b].width().value() / df));
    std::complex<double> sum;
    double power = 0;
    for (std::size_t k = first; k < last; ++k) {
      power += std::norm(s.bins[k]);
      if (k + shift < last) sum += s.bins[k + shift] * std::conj(s.bins[k]);
    }
    CHECK(test::close_rel(map.magnitude[b].at(column(map, 32)), std::abs(sum) / power, 0.05));
  }
}

TEST_CASE("coherence: several axes are pooled, bands are few where they would be narrow") {
  FftPlans plans;
  const RecordSpectrum a = spectrum_of(pulsing(8, 40, 1, 2), plans);
  const std::vector<RecordSpectrum> twice{a, a};
  const CoherenceMap one = cyclic_coherence({&a, 1}, Hz{150}, plans);
  const CoherenceMap two = cyclic_coherence(twice, Hz{150}, plans);
  for (std::size_t c = 0; c < one.magnitude[4].size(); ++c)
    CHECK(test::close_abs(one.magnitude[4][c], two.magnitude[4][c], 1e-12));
  CHECK(cyclic_coherence({&a, 1}, Hz{1000}, plans).bands.size() == 3);  // 0.49 x 8192 / 1200
  CHECK(cyclic_coherence({&a, 1}, Hz{5000}, plans).bands.size() == 1);
  for (const auto& row : cyclic_coherence({&a, 1}, Hz{1000}, plans).magnitude)
    CHECK(row.size() <= 1024);
  const RecordSpectrum shorter = spectrum_of(gaussian(8192, 1), plans);
  const std::vector<RecordSpectrum> unlike{a, shorter};
  CHECK_THROWS_AS((void)cyclic_coherence(unlike, Hz{100}, plans), std::invalid_argument);
  CHECK_THROWS_AS((void)cyclic_coherence({}, Hz{100}, plans), std::invalid_argument);
}
