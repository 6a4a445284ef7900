#include "bearingdsp/history/indicators.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <vector>

#include "bearingdsp/simulate/random.hpp"
#include "support/close.hpp"

using namespace bearingdsp;

namespace {

constexpr double rate = 25600;
constexpr std::size_t samples = 25600;

std::vector<double> sine(double hz, double amplitude, double modulation = 0) {
  std::vector<double> x(samples);
  for (std::size_t i = 0; i < samples; ++i) {
    const double t = static_cast<double>(i) / rate;
    x[i] = amplitude * (1 + modulation * std::cos(2 * std::numbers::pi * 48 * t)) *
           std::sin(2 * std::numbers::pi * hz * t);
  }
  return x;
}

Levels levels_of(const std::vector<double>& x, SampleUnit unit = SampleUnit::acceleration,
                 double fs = rate) {
  FftPlans plans;
  const std::vector<SignalView> axes{{x, Hz{fs}, unit}};
  return measure_levels(axes, plans);
}

}  // namespace

TEST_CASE(
    "levels: a sine of the high band has its rms there and a steady envelope [src:closed-form]") {
  const Levels l = levels_of(sine(4000, 3));
  const double rms = 3 / std::numbers::sqrt2;
  CHECK(test::close_rel(*l.at(Indicator::overall), rms, 1e-9));
  CHECK(test::close_rel(*l.at(Indicator::high_band), rms, 1e-9));
  CHECK(test::close_rel(*l.at(Indicator::peak), 3, 1e-3));
  CHECK(test::close_rel(*l.at(Indicator::kurtosis), 1.5, 1e-9));
  CHECK(test::close_rel(*l.at(Indicator::crest_factor), std::numbers::sqrt2, 1e-3));
  CHECK(*l.at(Indicator::envelope) < 1e-6);
}

TEST_CASE("levels: the envelope's level is the modulation's, A m over root 2 [src:closed-form]") {
  const Levels l = levels_of(sine(4000, 3, 0.4));
  CHECK(test::close_rel(*l.at(Indicator::envelope), 3 * 0.4 / std::numbers::sqrt2, 1e-3));
}

TEST_CASE("levels: a line of the shaft is velocity and not high band [src:closed-form v = a/w]") {
  const Levels l = levels_of(sine(100, 2));
  CHECK(test::close_rel(*l.at(Indicator::velocity),
                        2 / std::numbers::sqrt2 / (2 * std::numbers::pi * 100), 0.01));
  CHECK(*l.at(Indicator::high_band) < 1e-9);
}

TEST_CASE("levels: the largest axis counts, and twice the signal is twice every level") {
  Random random{7};
  std::vector<double> x(samples);
  for (double& v : x) v = random.normal();
  std::vector<double> doubled = x;
  for (double& v : doubled) v *= 2;
  const Levels once = levels_of(x);
  const Levels twice = levels_of(doubled);
  FftPlans plans;
  const std::vector<SignalView> axes{{x, Hz{rate}, SampleUnit::acceleration},
                                     {doubled, Hz{rate}, SampleUnit::acceleration}};
  const Levels both = measure_levels(axes, plans);
  for (std::size_t i = 0; i < indicator_count; ++i) {
    const auto indicator = static_cast<Indicator>(i);
    INFO(token(indicator));
    REQUIRE(once.at(indicator));
    CHECK(test::close_rel(*twice.at(indicator), (is_level(indicator) ? 2 : 1) * *once.at(indicator),
                          1e-9));
    CHECK(both.at(indicator) == twice.at(indicator));
  }
  // Gaussian noise: the envelope is Rayleigh, its spread is sqrt(2 - pi/2) of the band's rms.
  CHECK(test::close_rel(*once.at(Indicator::envelope) / *once.at(Indicator::high_band),
                        std::sqrt(2 - std::numbers::pi / 2), 0.02));
}

TEST_CASE("levels: a knock from outside does not count in the high band, repeated impacts do") {
  Random random{9};
  std::vector<double> noise(samples);
  for (double& v : noise) v = random.normal();
  const auto knock = [](std::vector<double>& x, std::size_t at) {
    for (std::size_t i = 0; i < 200 && at + i < x.size(); ++i)
      x[at + i] += 60 * std::exp(-static_cast<double>(i) / 40) *
                   std::sin(2 * std::numbers::pi * 4000 * static_cast<double>(i) / rate);
  };
  std::vector<double> once = noise;
  knock(once, 12345);
  std::vector<double> often = noise;
  for (std::size_t at = 100; at < samples; at += 256) knock(often, at);
  const Levels quiet = levels_of(noise);
  const Levels one = levels_of(once);
  const Levels many = levels_of(often);
  CHECK(*one.at(Indicator::kurtosis) > 10);
  CHECK(test::close_db(*one.at(Indicator::high_band), *quiet.at(Indicator::high_band), 0.2));
  CHECK(test::close_db(*one.at(Indicator::envelope), *quiet.at(Indicator::envelope), 0.2));
  CHECK(*many.at(Indicator::high_band) > 8 * *quiet.at(Indicator::high_band));
  // Gaussian noise: the floor is its rms in the band; a knock does not move it.
  CHECK(test::close_db(*quiet.at(Indicator::floor), *quiet.at(Indicator::high_band), 0.1));
  CHECK(test::close_db(*one.at(Indicator::floor), *quiet.at(Indicator::floor), 0.1));
}

TEST_CASE("levels: what has no meaning is left out") {
  CHECK(high_band(Hz{25600}).high == Hz{10000});
  CHECK(high_band(Hz{12000}).high == Hz{4800});
  CHECK_FALSE(high_band(Hz{4000}).low < high_band(Hz{4000}).high);
  const Levels slow = levels_of(sine(100, 1), SampleUnit::uncalibrated, 4000);
  CHECK_FALSE(slow.at(Indicator::high_band));
  CHECK_FALSE(slow.at(Indicator::velocity));
  CHECK(slow.at(Indicator::overall));
  const Levels dead = levels_of(std::vector<double>(samples, 4.0));
  CHECK(dead.at(Indicator::overall) == 0.0);
  CHECK_FALSE(dead.at(Indicator::kurtosis));
  CHECK_FALSE(levels_of({1, 2, 3}).at(Indicator::overall));
}
