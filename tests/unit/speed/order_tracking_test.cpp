#include "bearingdsp/speed/order_tracking.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "support/close.hpp"
#include "support/shaft_signal.hpp"

using namespace bearingdsp;

namespace {

constexpr double rate = 10240;

// Width in orders at which a Hann-windowed line of the order nearest to `order` falls to a quarter
// of its power.
double line_width(const AngleSignal& s, double order) {
  const std::size_t n = good_fft_size_below(s.x.size());
  std::vector<double> x(n);
  for (std::size_t j = 0; j < n; ++j)
    x[j] = s.x[j] *
           (1 - std::cos(2 * std::numbers::pi * static_cast<double>(j) / static_cast<double>(n)));
  const RealFft fft{n};
  std::vector<std::complex<double>> y(fft.bins());
  fft.forward(x, y);
  const double spacing = s.samples_per_revolution / static_cast<double>(n);
  const auto from = static_cast<std::size_t>((order - 0.3) / spacing);
  const auto to = static_cast<std::size_t>((order + 0.3) / spacing);
  std::size_t top = from;
  for (std::size_t k = from; k <= to; ++k)
    if (std::norm(y[k]) > std::norm(y[top])) top = k;
  const double level = 0.25 * std::norm(y[top]);
  std::size_t a = top;
  std::size_t b = top;
  while (a > 0 && std::norm(y[a]) > level) --a;
  while (b + 1 < y.size() && std::norm(y[b]) > level) ++b;
  return static_cast<double>(b - a) * spacing;
}

PhaseTrack even(double f, double seconds) {
  PhaseTrack t;
  t.time = {0, seconds};
  t.revolutions = {0, f * seconds};
  return t;
}

Result<PhaseTrack> track(const std::vector<double>& x, const TrackOptions& options) {
  FftPlans plans;
  const SignalView axis{x, Hz{rate}, SampleUnit::acceleration};
  return track_from_vibration({&axis, 1}, plans, options);
}

}  // namespace

TEST_CASE(
    "a ramp of 20 % within one recording: lines as sharp as at constant speed [src:simulated "
    "signal]") {
  const std::vector<double> amplitudes{1.0, 0.6, 0.4, 0.3, 0.2, 0.2, 0.2, 0.2, 0.2};
  constexpr double seconds = 6;
  // 24 Hz rising to 28.8 Hz; mean 26.4.
  const auto angle = [](double t) { return 24 * t + 0.5 * (4.8 / seconds) * t * t; };
  const auto x = test::shaft_signal(rate, seconds, angle, amplitudes, 0.5, 1);
  const auto steady = test::shaft_signal(
      rate, seconds, [](double t) { return 26.4 * t; }, amplitudes, 0.5, 2);
  const auto t = track(x, {.search = {Hz{18}, Hz{40}}});
  REQUIRE(t.has_value());
  CAPTURE(t->source);
  CHECK(t->worthwhile);
  CHECK(test::close_abs(t->tracked_variation, 4.8 / 26.4, 0.03));
  CHECK(test::close_rel(t->mean_rate().value(), 26.4, 5e-3));
  const auto tracked = resample_to_angle(x, Hz{rate}, *t, 64);
  const auto reference = resample_to_angle(steady, Hz{rate}, even(26.4, seconds), 64);
  const auto untracked = resample_to_angle(x, Hz{rate}, even(26.4, seconds), 64);
  for (const double order : {1.0, 3.0, 6.0, 9.0}) {
    CAPTURE(order);
    const double sharp = line_width(reference, order);
    CHECK(line_width(tracked, order) <= 1.35 * sharp);
    if (order > 2) CHECK(line_width(untracked, order) > 3 * sharp);
  }
}

TEST_CASE("a slow wander of a few tenths of a per cent is tracked [src:simulated signal]") {
  constexpr double seconds = 8;
  constexpr double depth = 0.003;
  // Rate 29 (1 + depth sin(2 pi 0.3 t)).
  const auto angle = [](double t) {
    const double w = 2 * std::numbers::pi * 0.3;
    return 29 * (t - depth / w * std::cos(w * t));
  };
  const auto x = test::shaft_signal(rate, seconds, angle, {1.0, 0.5, 0.3, 0.2}, 0.3, 3);
  const auto t = track(x, {.search = {Hz{25}, Hz{33}}});
  REQUIRE(t.has_value());
  CHECK(test::close_abs(t->tracked_variation, 2 * depth, 0.002));
  const double a0 = angle(t->time.front());
  double worst = 0;
  for (std::size_t k = 4; k + 4 < t->time.size(); ++k)
    worst = std::max(
        worst, std::abs(t->revolutions[k] - t->revolutions.front() - (angle(t->time[k]) - a0)));
  CHECK(worst < 0.05);
}

TEST_CASE("constant speed: tracked, but resampling is not recommended [src:simulated signal]") {
  const auto x = test::shaft_signal(
      rate, 5, [](double t) { return 24.7 * t; }, {1.0, 0.5, 0.3}, 0.5, 4);
  const auto t = track(x, {.search = {Hz{20}, Hz{30}}});
  REQUIRE(t.has_value());
  CHECK_FALSE(t->worthwhile);
  CHECK(t->tracked_variation < 0.003);
}

TEST_CASE("noise has no track, too short a recording says so") {
  for (std::uint64_t seed = 1; seed <= 10; ++seed) {
    CAPTURE(seed);
    const auto x = test::shaft_signal(
        rate, 5, [](double) { return 0.0; }, {}, 1.0, seed);
    const auto t = track(x, {});
    REQUIRE_FALSE(t.has_value());
    CHECK(t.error().code == Errc::no_speed);
  }
  const auto x = test::shaft_signal(
      rate, 0.3, [](double t) { return 30 * t; }, {1.0}, 0.1, 1);
  CHECK(track(x, {.search = {Hz{20}, Hz{40}}}).error().code == Errc::too_short);
}
