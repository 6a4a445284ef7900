#include "bearingdsp/speed/phase_track.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <stdexcept>

#include "support/close.hpp"

using namespace bearingdsp;

namespace {

// angle(t) = 20 t + t^2 revolutions: from 20 to 28 Hz in 4 s. Nodes at each whole revolution.
PhaseTrack ramp() {
  PhaseTrack track;
  for (int k = 0; k <= 96; ++k) {
    track.revolutions.push_back(k);
    track.time.push_back(-10 + std::sqrt(100.0 + k));
  }
  return track;
}

}  // namespace

TEST_CASE("an order line of a ramp becomes an exact sine of the angle [src:closed form]") {
  constexpr double rate = 8000;
  std::vector<double> x(static_cast<std::size_t>(4 * rate) + 1);
  for (std::size_t j = 0; j < x.size(); ++j) {
    const double t = static_cast<double>(j) / rate;
    x[j] = std::sin(2 * std::numbers::pi * 5.37 * (20 * t + t * t));
  }
  const auto a = resample_to_angle(x, Hz{rate}, ramp(), 64);
  REQUIRE(a.x.size() > 96 * 64 - 64);
  CHECK(test::close_abs(a.revolutions, 96, 1.0));
  double worst = 0;
  for (std::size_t k = 64 * 3; k + 64 * 3 < a.x.size(); ++k)
    worst = std::max(worst, std::abs(a.x[k] - std::sin(2 * std::numbers::pi * 5.37 *
                                                       static_cast<double>(k) / 64)));
  // A node a revolution leaves the cubic an angle error near 1e-5 revolutions here.
  CHECK(worst < 2e-3);
}

TEST_CASE("turns and departure of a track [src:closed form]") {
  // 20 t + t^2 to 4 s, and beyond the last node at its rate of 28 Hz.
  CHECK(test::close_abs(ramp().revolutions_until(Seconds{4}), 96, 1e-9));
  CHECK(test::close_abs(ramp().revolutions_until(Seconds{4.5}), 96 + 14, 0.1));
  CHECK(test::close_abs(ramp().revolutions_until(Seconds{2}), 44, 1e-3));
  // A parabola of height h over its chord departs from its best line by h sqrt(4/45) rms; t^2 over
  // 4 s has h = 4. Nodes crowd a little where the shaft is fast.
  CHECK(test::close_rel(ramp().departure(), 4 * std::sqrt(4.0 / 45), 0.03));
  CHECK(PhaseTrack{}.departure() == 0);
  CHECK(PhaseTrack{}.revolutions_until(Seconds{1}) == 0);
}

TEST_CASE("mean rate and refusal of nonsense") {
  CHECK(test::close_rel(ramp().mean_rate().value(), 24, 1e-3));
  CHECK(PhaseTrack{}.mean_rate() == Hz{0});
  const std::vector<double> x(100);
  CHECK_THROWS_AS((void)resample_to_angle(x, Hz{100}, PhaseTrack{}, 16), std::invalid_argument);
  CHECK_THROWS_AS((void)resample_to_angle(x, Hz{100}, ramp(), 0), std::invalid_argument);
}
