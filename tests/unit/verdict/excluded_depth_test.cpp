#include "verdict/excluded_depth.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <numbers>
#include <random>
#include <utility>
#include <vector>

#include "bearingdsp/verdict/diagnosis.hpp"
#include "evidence/repeated_evidence.hpp"
#include "support/close.hpp"
#include "support/orders.hpp"

using namespace bearingdsp;

namespace {

constexpr double rate = 8192;
constexpr double seconds = 8;
constexpr double turns_per_second = 24.6;

/// Gaussian noise whose power swings at four harmonics of a rate; the root of the summed squared
/// amplitudes over the mean is `depth`. The machine says what a healthy one shows of its shaft.
Capture modulated(std::uint64_t seed, double hz, double depth) {
  std::mt19937_64 engine{seed};
  std::normal_distribution<double> draw;
  Capture c;
  c.rate = Hz{rate};
  c.channels.emplace_back();
  c.channels.front().name = "x";
  c.channels.front().unit = SampleUnit::acceleration;
  for (int i = 0; i < static_cast<int>(rate * seconds); ++i) {
    const double t = i / rate;
    double power = 1;
    for (int k = 1; k <= 4; ++k)
      power += depth / 2 * std::cos(2 * std::numbers::pi * k * hz * t + k);
    const double shaft = 0.5 * std::sin(2 * std::numbers::pi * turns_per_second * t) +
                         0.3 * std::sin(4 * std::numbers::pi * turns_per_second * t);
    c.channels.front().samples.push_back(std::sqrt(std::max(0.0, power)) * draw(engine) + shaft);
  }
  return c;
}

Diagnosis diagnosed(const Capture& capture) {
  FftPlans plans;
  DiagnoseOptions options;
  options.speed = Rpm{60 * turns_per_second};
  options.bearings = {{test::nine_elements()}};
  return diagnose(capture, plans, options).value();
}

}  // namespace

TEST_CASE(
    "excluded depth: damage of that depth is called in nine of ten cases [src:closed-form "
    "modulation]") {
  constexpr int draws = 12;
  const DefectOrders orders = test::nine_elements();
  const std::array impacts{orders.bpfo.value(), orders.bpfi.value(), 2 * orders.bsf.value()};
  int called = 0;
  int called_at_half = 0;
  for (int seed = 1; seed <= draws; ++seed) {
    const auto s = static_cast<std::uint64_t>(seed);
    const Diagnosis healthy = diagnosed(modulated(s, 0, 0));
    REQUIRE(healthy.verdict == Verdict::no_fault);
    REQUIRE(healthy.excluded_depth);
    CHECK(*healthy.excluded_depth < 0.5);
    for (const double order : impacts) {
      const double hz = order * turns_per_second;
      const auto fault = [&](double depth) {
        return diagnosed(modulated(s + 100, hz, depth)).verdict == Verdict::fault ? 1 : 0;
      };
      called += fault(*healthy.excluded_depth);
      called_at_half += fault(*healthy.excluded_depth / 2);
    }
  }
  // 0.9 of 36 is 32.4 with a standard deviation of 1.8.
  CHECK(called >= 28);
  CHECK(called_at_half <= 12);
}

TEST_CASE("excluded depth: a higher noise floor hides more [src:Rice distribution]") {
  EnvelopeSpectrum whole;
  whole.line_spacing = Hz{0.125};
  const auto depth_at = [&](double floor) {
    std::mt19937_64 engine{3};
    std::exponential_distribution<double> draw{1};
    whole.depth2.clear();
    for (int i = 0; i < 6000; ++i) whole.depth2.push_back(floor * draw(engine));
    return excluded_depth(whole, Hz{turns_per_second}, test::nine_elements(), 0.01, 1 / 200.0,
                          {{}, {}})
        .value();
  };
  const double quiet = depth_at(1e-6);
  const double noisy = depth_at(3e-3);
  CHECK(quiet < 0.28);  // the limit of the verdict itself, 0.22, of which 85 % shows
  CHECK(noisy > 1.3 * quiet);
}

TEST_CASE(
    "evidence of a spectrum with other lines is that of such a spectrum looked at by itself") {
  FftPlans plans;
  const Capture capture = modulated(5, 88.2, 0.2);
  const DefectOrders orders = test::nine_elements();
  const Hz shaft{turns_per_second};
  const auto flat = flattened(record_spectrum(capture.view(0), plans), Hz{75});
  const BandSpectra bands = band_spectra({&flat, 1}, shaft, orders, plans);
  const EnvelopeSpectrum& whole = bands.spectra.front();
  const ModelParameters model;
  const Basis basis{{Hz{50}}, model};
  RepeatedEvidence repeated{whole, {shaft, orders, 0.012, basis}};
  const double bins_per_order = shaft / whole.line_spacing;
  for (const double order : {orders.bpfo.value(), orders.bpfi.value(), orders.bpfo.value()})
    for (const double power : {0.001, 0.02}) {
      BandSpectra one{{whole}, {1.0}};
      std::vector<std::pair<std::size_t, double>> lines;
      for (int k = 1; k <= 4; ++k) {
        lines.emplace_back(std::lround(k * order * bins_per_order), power);
        one.spectra[0].depth2.at(lines.back().first) = power;
      }
      const auto expected = bearing_evidence(one, shaft, orders, 0.012, basis, 0.1);
      const auto found = repeated.with(lines);
      for (std::size_t p = 0; p < found.parts.size(); ++p) {
        CHECK(test::close_abs(found.parts[p].strength, expected.parts[p].strength, 1e-9));
        CHECK(
            test::close_abs(found.parts[p].score.evidence, expected.parts[p].score.evidence, 1e-9));
        CHECK(found.parts[p].score.sidebands == expected.parts[p].score.sidebands);
      }
    }
}
