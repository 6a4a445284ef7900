#include "bearingdsp/capture/input_level.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>
#include <random>
#include <vector>

#include "support/close.hpp"

using namespace bearingdsp;

namespace {

constexpr double whole = 2147483648.0;  // 2^31
constexpr double rate = 48000;

std::int32_t sample(double v) {
  return static_cast<std::int32_t>(std::clamp(v * whole, -whole, whole - 1));
}
std::vector<std::int32_t> sine(double hz, double amplitude, double noise = 0) {
  std::mt19937 random{1};
  std::normal_distribution<double> gauss{0, 1};
  std::vector<std::int32_t> x;
  for (int i = 0; i < 2 * static_cast<int>(rate); ++i)
    x.push_back(
        sample(amplitude * std::sin(2 * std::numbers::pi * hz * i / rate) + noise * gauss(random)));
  return x;
}
bool has(const Findings& all, FindingKind kind) {
  return std::any_of(all.begin(), all.end(), [&](const Finding& f) { return f.kind == kind; });
}

}  // namespace

TEST_CASE("input level: a sine of amplitude 0.1 is -20 dB, its rms 3 dB less [src:closed-form]") {
  const InputLevel level = input_level(sine(1000, 0.1), 1);
  CHECK(test::close_abs(level.peak_db, -20, 0.01));
  CHECK(test::close_abs(level.rms_db, -23.01, 0.01));
  CHECK_FALSE(level.clipped);
  CHECK(test::close_abs(level.bar(), 0.75, 0.001));  // -20 of -80
}

TEST_CASE("input level: nothing, silence, full scale, a mean, the loudest channel [src:contract]") {
  CHECK(input_level({}, 1).peak_db == -200);
  CHECK(input_level(std::vector<std::int32_t>(100, 0), 2).rms_db == -200);
  CHECK(input_level(std::vector<std::int32_t>(100, 0), 2).bar() == 0);
  // The last step of 16 bits, and of the other sign.
  CHECK(input_level(std::vector<std::int32_t>{0x7FFF0000}, 1).clipped);
  CHECK(
      input_level(std::vector<std::int32_t>{std::numeric_limits<std::int32_t>::min()}, 1).clipped);
  CHECK_FALSE(input_level(std::vector<std::int32_t>{0x7FFE0000}, 1).clipped);
  CHECK(input_level(std::vector<std::int32_t>{0x7FFFFFFF}, 1).bar() > 0.999);
  CHECK(input_level(std::vector<std::int32_t>(100, 0x10000000), 1).rms_db < -150);
  std::vector<std::int32_t> two;
  for (const std::int32_t v : sine(1000, 0.1)) {
    two.push_back(0);
    two.push_back(v);
  }
  CHECK(test::close_abs(input_level(two, 2).rms_db, -23.01, 0.01));
}

TEST_CASE(
    "listening: clipping, silence and mains hum are named, a good signal is not [src:definition]") {
  FftPlans plans;
  const SoundShape shape{1, Hz{rate}};
  CHECK(listen(sine(24.7, 0.05, 0.05), shape, plans).empty());
  CHECK(has(listen(sine(24.7, 1.3, 0.05), shape, plans), FindingKind::clipped));
  CHECK(has(listen(std::vector<std::int32_t>(96000, 0), shape, plans), FindingKind::dead_channel));
  CHECK(has(listen(sine(24.7, 0, 2e-5), shape, plans), FindingKind::below_noise));
  CHECK(has(listen(sine(50, 0.3, 0.01), shape, plans), FindingKind::mains_hum));
  const auto found = listen(sine(50, 0.3, 0.01), shape, plans);
  CHECK(found.front().where == "channel 1");
  CHECK_FALSE(found.front().advice.empty());
}
