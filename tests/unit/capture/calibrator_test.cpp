#include "bearingdsp/capture/calibrator.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/core/unit.hpp"
#include "support/close.hpp"
#include "support/vectors.hpp"

using namespace bearingdsp;

namespace {

struct Made {
  double hz{159.155};
  double amplitude{0.11};
  double seconds{5};
  double rate{48000};
  double noise{0};
  double offset{0.01};
  double fade{0};  ///< change of the amplitude from start to end, fraction
};

Capture made(const Made& m) {
  const auto n = static_cast<std::size_t>(m.seconds * m.rate);
  const auto noise = test::noise(n, 7);
  Channel channel;
  channel.name = "channel 1";
  channel.full_scale = 1.0;
  channel.samples.resize(n);
  for (std::size_t i = 0; i < n; ++i) {
    const double t = static_cast<double>(i) / m.rate;
    const double a = m.amplitude * (1 + m.fade * (t / m.seconds - 0.5));
    channel.samples[i] =
        m.offset + a * std::sin(2 * std::numbers::pi * m.hz * t + 0.3) + m.noise * noise[i];
  }
  Capture capture;
  capture.source = "cal.wav";
  capture.rate = Hz{m.rate};
  capture.channels.push_back(std::move(channel));
  return capture;
}

}  // namespace

TEST_CASE(
    "the tone of a calibrator is measured, also off its nominal frequency [src:closed-form]") {
  for (const double off : {-0.027, -0.004, 0.0, 0.0123, 0.029}) {
    const double hz = 159.15 * (1 + off);
    const Capture c = made({.hz = hz});
    const auto tone = find_calibration_tone(c, 0, Hz{159.15});
    REQUIRE(tone.has_value());
    CHECK(test::close_rel(tone->frequency.value(), hz, 1e-6));
    CHECK(test::close_rel(tone->amplitude, 0.11, 1e-4));
    CHECK(tone->other < 1e-3);
    CHECK(tone->unsteadiness < 1e-3);
  }
  for (const double hz : {79.6, 159.15, 1000.0, 15000.0}) {
    const auto tone = find_calibration_tone(made({.hz = hz, .seconds = 1.3}), 0, Hz{hz});
    REQUIRE(tone.has_value());
    CHECK(test::close_rel(tone->amplitude, 0.11, 1e-3));
  }
}

TEST_CASE("noise beside the tone does not move its amplitude [src:closed-form]") {
  // Noise of 10 % of the tone's rms moves the amplitude by 0.1 / sqrt(n / 2): far below 1e-3.
  const auto tone =
      find_calibration_tone(made({.noise = 0.011 / std::numbers::sqrt2}), 0, Hz{159.15});
  REQUIRE(tone.has_value());
  CHECK(test::close_rel(tone->amplitude, 0.11, 1e-3));
  CHECK(test::close_rel(tone->other, 0.1, 0.05));
}

TEST_CASE("10 m/s2 rms that reach 0.11 of full scale: full scale is 128.6 m/s2 [src:closed-form]") {
  // sqrt(2) 10 / 0.11 = 128.565
  const auto tone = find_calibration_tone(made({}), 0, Hz{159.15});
  REQUIRE(tone.has_value());
  CHECK(test::close_rel(scale_of(*tone, AccelerationRms{10}), 128.565, 2e-4));
  // 100 mV/g: 1 g rms, a voltage of 0.1 V rms; 1 V stands for 10 g.
  const auto volts =
      find_calibration_tone(made({.amplitude = 0.1 * std::numbers::sqrt2}), 0, Hz{159.15});
  REQUIRE(volts.has_value());
  CHECK(test::close_rel(scale_of(*volts, AccelerationRms{from_g(1)}), from_g(10), 2e-4));
}

TEST_CASE("what is no calibration is refused with the reason [src:contract]") {
  const auto refused = [](const Made& m, Hz nominal, Errc code) {
    const auto tone = find_calibration_tone(made(m), 0, nominal);
    if (tone) return false;
    CHECK_FALSE(tone.error().advice.empty());
    return tone.error().code == code;
  };
  CHECK(refused({.seconds = 0.8}, Hz{159.15}, Errc::too_short));
  CHECK(refused({.seconds = 1.5}, Hz{10}, Errc::too_short));
  CHECK(refused({}, Hz{20000}, Errc::bad_argument));
  CHECK(refused({}, Hz{0}, Errc::bad_argument));
  CHECK(refused({.hz = 300}, Hz{159.15}, Errc::corrupt_file));
  CHECK(refused({.amplitude = 0.995}, Hz{159.15}, Errc::corrupt_file));  // with the offset: clipped
  CHECK(refused({.noise = 0.3 * 0.11 / std::numbers::sqrt2}, Hz{159.15}, Errc::corrupt_file));
  CHECK(refused({.amplitude = 0.5, .fade = 0.2}, Hz{159.15}, Errc::corrupt_file));
  CHECK_FALSE(refused({.amplitude = 0.5, .fade = 0.05}, Hz{159.15}, Errc::corrupt_file));
}

TEST_CASE(
    "a calibration in pieces: the mean of them, and a level that differs between them refused "
    "[src:closed-form]") {
  const std::vector<Capture> steady{made({.amplitude = 0.109}), made({.amplitude = 0.111})};
  const auto tone = find_calibration_tone(steady, 0, Hz{159.15});
  REQUIRE(tone.has_value());
  CHECK(test::close_rel(tone->amplitude, 0.11, 1e-4));
  CHECK(test::close_rel(tone->frequency.value(), 159.155, 1e-6));
  CHECK(test::close_rel(tone->unsteadiness, 1.0 / 110, 1e-2));
  // Each piece is steady, but the second is 12 % above the first: 6 % beside their mean.
  const std::vector<Capture> moved{made({.amplitude = 0.1}), made({.amplitude = 0.1128})};
  const auto refused = find_calibration_tone(moved, 0, Hz{159.15});
  REQUIRE_FALSE(refused.has_value());
  CHECK(refused.error().code == Errc::corrupt_file);
  CHECK(refused.error().what.find("changes by 6 %") != std::string::npos);
  // One of them without the tone.
  const std::vector<Capture> lost{made({}), made({.amplitude = 1e-6, .noise = 0.01})};
  CHECK_FALSE(find_calibration_tone(lost, 0, Hz{159.15}).has_value());
}
