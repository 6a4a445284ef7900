#include "bearingdsp/spectra/envelope_spectrum.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>

#include "bearingdsp/simulate/random.hpp"
#include "support/close.hpp"

using namespace bearingdsp;

namespace {

constexpr double rate = 8192;

std::vector<double> made(double seconds, auto&& f) {
  std::vector<double> x(static_cast<std::size_t>(rate * seconds));
  for (std::size_t i = 0; i < x.size(); ++i) x[i] = f(static_cast<double>(i) / rate);
  return x;
}

double at(const EnvelopeSpectrum& s, double hz) {
  return std::sqrt(s.depth2.at(static_cast<std::size_t>(std::round(hz / s.line_spacing.value()))));
}

std::vector<double> gaussian(std::size_t n, std::uint64_t seed) {
  Random random{seed};
  std::vector<double> x(n);
  for (double& v : x) v = random.normal();
  return x;
}

}  // namespace

TEST_CASE(
    "squared envelope of (1 + m cos wt) carrier: lines 2m and m^2/2 over 1 + m^2/2 "
    "[src:closed-form]") {
  for (const double m : {0.1, 0.5, 1.0}) {
    CAPTURE(m);
    const auto x = made(2, [&](double t) {
      return (1 + m * std::cos(2 * std::numbers::pi * 40 * t)) *
             std::cos(2 * std::numbers::pi * 2000 * t);
    });
    FftPlans plans;
    const auto record = record_spectrum({x, Hz{rate}, SampleUnit::acceleration}, plans);
    const auto s = squared_envelope_spectrum(record, {Hz{1500}, Hz{2500}}, Hz{200}, plans);
    const double dc = 1 + m * m / 2;
    // Single precision: about 1e-7 of the envelope.
    CHECK(test::close_rel(at(s, 40), 2 * m / dc, 1e-6));
    CHECK(test::close_abs(at(s, 80), m * m / 2 / dc, 1e-6));
    CHECK(at(s, 120) < 1e-6);
    // Mean square of the band's signal: half the mean of the squared envelope.
    CHECK(test::close_rel(s.mean_square, dc / 2, 1e-9));
  }
}

TEST_CASE(
    "two tones beat with depth 2 A B / (A^2 + B^2), a gain changes nothing [src:closed-form]") {
  FftPlans plans;
  for (const double gain : {1.0, 1e-30, 1e30}) {
    const auto x = made(2, [&](double t) {
      return gain * (3 * std::sin(2 * std::numbers::pi * 1900 * t) +
                     1 * std::sin(2 * std::numbers::pi * 1964 * t));
    });
    const auto record = record_spectrum({x, Hz{rate}, SampleUnit::acceleration}, plans);
    const auto s = squared_envelope_spectrum(record, {Hz{1500}, Hz{2500}}, Hz{200}, plans);
    CHECK(test::close_rel(at(s, 64), 2 * 3.0 * 1.0 / (9 + 1), 1e-6));
  }
}

TEST_CASE(
    "a wide band and a short one read the same lines: no aliasing below the limit asked for") {
  const auto x = gaussian(65536, 3);
  FftPlans plans;
  const auto record = record_spectrum({x, Hz{rate}, SampleUnit::acceleration}, plans);
  const Band band{Hz{1000}, Hz{1500}};
  const auto few = squared_envelope_spectrum(record, band, Hz{50}, plans);
  const auto all = squared_envelope_spectrum(record, band, Hz{490}, plans);
  REQUIRE(few.depth2.size() < all.depth2.size());
  // The last lines of the short one feel the window's neighbours across its edge.
  for (std::size_t k = 0; k + 3 < few.depth2.size(); ++k)
    CHECK(test::close_abs(few.depth2[k], all.depth2[k], 3e-8));
}

TEST_CASE(
    "Gaussian noise: spectral kurtosis 0, exponential lines of known mean [src:closed-form, "
    "REFERENCES antoni2006, from memory]") {
  // The squared envelope of a band of B lines of Gaussian noise is exponentially distributed; a
  // Hann-windowed line of its spectrum over the mean has mean square 4 * 1.5 / B (two-sided power
  // 1/B a line, ENBW 1.5, amplitude doubled), less the part (1 - k/B) that lag k still shares.
  FftPlans plans;
  double sum = 0;
  double above = 0;
  double kurtosis = 0;
  std::size_t lines = 0;
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const auto x = gaussian(65536, seed);
    const auto record = record_spectrum({x, Hz{rate}, SampleUnit::acceleration}, plans);
    const auto s = squared_envelope_spectrum(record, {Hz{500}, Hz{3500}}, Hz{60}, plans);
    const double width = 3000 / s.line_spacing.value();
    const double expected = 4 * 1.5 / width;
    for (std::size_t k = 5; k < s.depth2.size(); ++k, ++lines) {
      sum += s.depth2[k] / expected;
      if (s.depth2[k] > 3 * expected) above += 1;
    }
    kurtosis += s.kurtosis / 20;
  }
  const auto n = static_cast<double>(lines);
  CHECK(test::close_abs(sum / n, 1.0, 0.05));
  CHECK(test::close_abs(above / n, std::exp(-3.0), 0.01));  // exponential tail
  CHECK(test::close_abs(kurtosis, 0.0, 0.02));
}

TEST_CASE("flattening makes every frequency weigh alike and keeps bursts") {
  FftPlans plans;
  auto x = gaussian(65536, 5);
  for (std::size_t i = 1; i < x.size(); ++i) x[i] += 0.9 * x[i - 1];  // steep colour
  const auto record = record_spectrum({x, Hz{rate}, SampleUnit::acceleration}, plans);
  const auto flat = flattened(record, Hz{50});
  const auto power = [&](std::size_t from) {
    double p = 0;
    for (std::size_t k = from; k < from + 2000; ++k) p += std::norm(flat.bins[k]);
    return p / 2000;
  };
  CHECK(test::close_rel(power(1000), power(28000), 0.1));
  CHECK_THROWS_AS((void)squared_envelope_spectrum(record, {Hz{100}, Hz{100.2}}, Hz{10}, plans),
                  std::invalid_argument);
  CHECK_THROWS_AS((void)record_spectrum({std::span{x}.first(8), Hz{rate}, {}}, plans),
                  std::invalid_argument);
}

TEST_CASE("the band tree covers everything at every level and stops at the narrowest width") {
  const auto tree = band_tree(Hz{10000}, Hz{400});
  CHECK(test::close_rel(tree.front().width().value(), 4900, 1e-12));
  for (const auto& band : tree) {
    CHECK(band.width().value() > 399);
    CHECK(band.low.value() >= 0);
    CHECK(band.high.value() <= 4900 + 1e-6);
  }
  CHECK(band_tree(Hz{1000}, Hz{400}).size() == 1);  // too narrow to divide: the whole band only
}

TEST_CASE("bands that share a transform give what each gives alone") {
  FftPlans plans;
  const auto record =
      record_spectrum({gaussian(16384, 5), Hz{rate}, SampleUnit::acceleration}, plans);
  const auto bands = band_tree(Hz{rate}, Hz{400});
  const auto together = squared_envelope_spectra(record, bands, Hz{120}, plans);
  REQUIRE(together.size() == bands.size());
  for (std::size_t b = 0; b < bands.size(); ++b) {
    CAPTURE(b);
    const auto alone = squared_envelope_spectrum(record, bands[b], Hz{120}, plans);
    CHECK(together[b].band.low == alone.band.low);
    CHECK(together[b].kurtosis == alone.kurtosis);
    CHECK(together[b].mean_square == alone.mean_square);
    REQUIRE(together[b].depth2.size() == alone.depth2.size());
    for (std::size_t k = 0; k < alone.depth2.size(); ++k)
      CHECK(std::abs(together[b].depth2[k] - alone.depth2[k]) < 3e-8);
  }
}

TEST_CASE("with a track, an order line is as deep as at a steady speed [src:closed-form]") {
  // The shaft runs up from 20 to 28 Hz in 4 s; a carrier of 2 kHz swells 3.6 times per revolution.
  constexpr double m = 0.5;
  const auto angle = [](double t) { return 20 * t + t * t; };
  const auto x = made(4, [&](double t) {
    return (1 + m * std::cos(2 * std::numbers::pi * 3.6 * angle(t))) *
           std::cos(2 * std::numbers::pi * 2000 * t);
  });
  PhaseTrack track;
  for (int k = 0; k <= 96; ++k) {
    track.revolutions.push_back(k);
    track.time.push_back(-10 + std::sqrt(100.0 + k));
  }
  FftPlans plans;
  auto record = record_spectrum({x, Hz{rate}, SampleUnit::acceleration}, plans);
  const auto deepest = [&] {
    const auto s = squared_envelope_spectrum(record, {Hz{1500}, Hz{2500}}, Hz{200}, plans);
    const double turns = track.revolutions_until(Seconds{static_cast<double>(record.n) / rate});
    const auto k = static_cast<std::size_t>(std::round(3.6 * turns));
    return std::sqrt(std::max({s.depth2[k - 1], s.depth2[k], s.depth2[k + 1]}));
  };
  CHECK(deepest() < 0.2);
  record.track = std::make_shared<const PhaseTrack>(track);
  // Between two lines a Hann window loses at most 15 %.
  CHECK(deepest() > 0.84 * 2 * m / (1 + m * m / 2));
  CHECK(deepest() < 1.01 * 2 * m / (1 + m * m / 2));
}
