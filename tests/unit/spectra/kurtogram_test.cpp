#include "bearingdsp/spectra/kurtogram.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <stdexcept>
#include <vector>

#include "bearingdsp/simulate/random.hpp"
#include "support/close.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

namespace {

constexpr double rate = 25600;
constexpr std::size_t length = 102400;  // 4 s, only small factors

RecordSpectrum spectrum_of(const std::vector<double>& x, FftPlans& plans) {
  return record_spectrum({x, Hz{rate}, SampleUnit::acceleration}, plans);
}

/// Bursts exp(-decay t) of a carrier, `interval` seconds apart, each with its own phase.
std::vector<double> bursts(double carrier, double decay, double interval) {
  std::vector<double> x(length);
  for (std::size_t i = 0; i < x.size(); ++i) {
    const double t = static_cast<double>(i) / rate;
    const double begun = std::floor(t / interval);
    const double since = t - begun * interval;
    x[i] =
        std::exp(-decay * since) * std::sin(2 * std::numbers::pi * carrier * since + begun * begun);
  }
  return x;
}

std::size_t band_from(const Kurtogram& k, double low, double high) {
  for (std::size_t i = 0; i < k.bands.size(); ++i)
    if (std::abs(k.bands[i].low.value() - low) < 1 && std::abs(k.bands[i].high.value() - high) < 1)
      return i;
  FAIL("no such band");
  return 0;
}

}  // namespace

TEST_CASE("kurtogram of bursts: aT coth(aT) - 2 in the band that holds them [src:closed-form]") {
  // |z|^2 = A^2 exp(-2 a t) in each interval T: mean |z|^4 = A^4 (1 - exp(-4aT)) / (4aT), mean
  // |z|^2 = A^2 (1 - exp(-2aT)) / (2aT).
  FftPlans plans;
  for (const double decay : {100.0, 200.0}) {
    CAPTURE(decay);
    const double at = decay * 0.05;
    const Kurtogram k = kurtogram(spectrum_of(bursts(9408, decay, 0.05), plans), Hz{1000}, plans);
    // The band cuts off the Lorentzian's skirts, which round the onset: 2 a / (pi^2 width) of the
    // power.
    const double half = 0.49 * rate / 2;
    const double there = k.kurtosis[band_from(k, half, 2 * half)];
    CHECK(close_rel(there, at / std::tanh(at) - 2, 0.04));
  }
}

TEST_CASE(
    "kurtogram: -1 for a sine, 0 within its scatter for noise [src:antoni2006, from memory]") {
  FftPlans plans;
  std::vector<double> sine(length);
  for (std::size_t i = 0; i < length; ++i)
    sine[i] = std::sin(2 * std::numbers::pi * 5000 * static_cast<double>(i) / rate);
  const Kurtogram tone = kurtogram(spectrum_of(sine, plans), Hz{6000}, plans);
  CHECK(close_abs(tone.kurtosis[0], -1, 1e-5));
  Random random{3};
  std::size_t within = 0;
  std::size_t all = 0;
  double squares = 0;
  for (int recording = 0; recording < 8; ++recording) {
    std::vector<double> noise(length);
    for (double& v : noise) v = random.normal();
    const Kurtogram k = kurtogram(spectrum_of(noise, plans), Hz{500}, plans);
    REQUIRE(k.bands.size() == k.kurtosis.size());
    REQUIRE(k.bands.size() == k.deviation.size());
    for (std::size_t i = 0; i < k.bands.size(); ++i) {
      const double normalised = k.kurtosis[i] / k.deviation[i];
      squares += normalised * normalised;
      within += std::abs(normalised) < 3 ? 1U : 0U;
      ++all;
    }
  }
  CHECK(static_cast<double>(within) > 0.97 * static_cast<double>(all));
  // Bands overlap: some 560 values of which a third are independent. 4 / M of M independent samples
  // [src:antoni2006], times the integral of sinc^4, 2/3 [src:closed-form]; 1.22 without it.
  CHECK(close_rel(std::sqrt(squares / static_cast<double>(all)), 1, 0.12));
}

TEST_CASE(
    "kurtogram: noise of r times the power of the bursts divides their kurtosis by (1 + r)^2 "
    "[src:antoni2006, from memory]") {
  FftPlans plans;
  const std::vector<double> clean = bursts(9408, 200, 0.05);
  const Kurtogram alone = kurtogram(spectrum_of(clean, plans), Hz{1500}, plans);
  const double half = 0.49 * rate / 2;
  const std::size_t here = band_from(alone, half, 2 * half);
  const std::size_t below = band_from(alone, 0, half);
  // Power of a burst 1/2 / (2aT) = 1/40 on average; noise of variance s^2 has 0.49 s^2 in the band.
  Random random{8};
  std::vector<double> x = clean;
  for (double& v : x) v += std::sqrt(0.025 / 0.49) * random.normal();
  const Kurtogram mixed = kurtogram(spectrum_of(x, plans), Hz{1500}, plans);
  CHECK(close_rel(mixed.kurtosis[here], alone.kurtosis[here] / 4, 0.05));
  CHECK(std::abs(mixed.kurtosis[below]) < 4 * mixed.deviation[below]);
  // The best band holds the resonance.
  const Band best = mixed.bands[mixed.best];
  CHECK(best.low.value() < 9408);
  CHECK(best.high.value() > 9408);
  for (const double v : mixed.kurtosis) CHECK(v <= mixed.kurtosis[mixed.best]);
}

TEST_CASE("kurtogram: whatever the unit, too short a recording is refused") {
  FftPlans plans;
  std::vector<double> x = bursts(9408, 200, 0.05);
  const Kurtogram one = kurtogram(spectrum_of(x, plans), Hz{3000}, plans);
  for (double& v : x) v *= 1e-6;
  const Kurtogram small = kurtogram(spectrum_of(x, plans), Hz{3000}, plans);
  CHECK(one.best == small.best);
  for (std::size_t i = 0; i < one.kurtosis.size(); ++i)
    CHECK(close_abs(one.kurtosis[i], small.kurtosis[i], 1e-4));
  const std::vector<double> few(64, 1.0);
  CHECK_THROWS_AS((void)kurtogram(spectrum_of(few, plans), Hz{100}, plans), std::invalid_argument);
}
