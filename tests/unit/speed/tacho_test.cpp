#include "bearingdsp/speed/tacho.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <functional>

#include "bearingdsp/simulate/random.hpp"
#include "support/close.hpp"

using namespace bearingdsp;

namespace {

constexpr double rate = 10000;

// A pulse wherever the angle (revolutions times marks) passes a whole number, `duty` wide.
std::vector<double> pulses(
    double seconds, const std::function<double(double)>& angle, double duty, double noise,
    double height = 5, const std::function<bool(int)>& keep = [](int) { return true; }) {
  Random random{7};
  std::vector<double> x(static_cast<std::size_t>(rate * seconds));
  for (std::size_t j = 0; j < x.size(); ++j) {
    const double a = angle(static_cast<double>(j) / rate);
    const double k = std::floor(a);
    const bool on = a - k < duty && keep(static_cast<int>(k));
    x[j] = 0.3 + (on ? height : 0) + noise * random.normal();
  }
  return x;
}

Result<TachoReading> read(const std::vector<double>& x, const TachoOptions& options = {}) {
  return read_tacho({x, Hz{rate}, SampleUnit::revolution}, options);
}

}  // namespace

TEST_CASE("tacho: either polarity, noise, narrow and wide pulses [src:simulated signal]") {
  for (const double height : {5.0, -5.0})
    for (const double duty : {0.02, 0.1, 0.4}) {
      CAPTURE(height);
      CAPTURE(duty);
      const auto r = read(pulses(
          4, [](double t) { return 24.37 * t + 0.3; }, duty, 0.1, height));
      REQUIRE(r.has_value());
      // Edges are on the sampling grid here: one sample in 97 revolutions.
      CHECK(test::close_rel(r->speed.rate.value(), 24.37, 1e-4));
      CHECK(r->speed.method == SpeedMethod::tacho);
      CHECK(r->missing_pulses == 0);
      CHECK(r->extra_pulses == 0);
      CHECK(r->speed.relative_variation < 0.01);
      CHECK_FALSE(r->track.worthwhile);
    }
}

TEST_CASE("tacho: 60 marks a revolution [src:simulated signal]") {
  const auto r = read(pulses(
                          4, [](double t) { return 60 * 10.3 * t; }, 0.5, 0.05),
                      {.pulses_per_revolution = 60});
  REQUIRE(r.has_value());
  CHECK(test::close_rel(r->speed.rate.value(), 10.3, 1e-4));
  CHECK(test::close_rel(r->track.mean_rate().value(), 10.3, 1e-3));
}

TEST_CASE("tacho: missing and double pulses are repaired and reported [src:simulated signal]") {
  auto x = pulses(
      6, [](double t) { return 20.0 * t * (1 + 0.01 * t) + 0.5; }, 0.05, 0.05, 5,
      [](int k) { return k != 30 && k != 31 && k != 77; });
  for (int j = 0; j < 12; ++j) x[12345 + static_cast<std::size_t>(j)] = 5.3;  // a stray pulse
  const auto r = read(x);
  REQUIRE(r.has_value());
  CHECK(r->missing_pulses == 3);
  CHECK(r->extra_pulses == 1);
  REQUIRE(r->findings.size() == 1);
  CHECK(r->findings.front().kind == FindingKind::repaired);
  // The angle is 20 t (1 + 0.01 t): rates from 20 to 22.4, mean 21.2 Hz.
  CHECK(test::close_rel(r->speed.rate.value(), 21.2, 1e-3));
  CHECK(test::close_abs(r->speed.relative_variation, 2.4 / 21.2, 0.02));
  CHECK(r->track.worthwhile);
}

TEST_CASE("tacho: scatter of the pulses is smoothed out, a ramp is not [src:simulated signal]") {
  // Each pulse is early or late by a tenth of a revolution (standard deviation).
  const auto scattered = [](double ramp, double scatter, std::uint64_t seed) {
    Random random{seed};
    std::vector<double> x(static_cast<std::size_t>(10 * rate), 0.3);
    const auto angle = [&](double t) { return 24.67 * t * (1 + ramp * t / 20); };
    for (int k = 1; angle(9.99) > k; ++k) {
      const double at = k + scatter * random.normal();
      double t = at / 24.67;
      for (int i = 0; i < 20; ++i) t -= (angle(t) - at) / (24.67 * (1 + ramp * t / 10));
      const auto j = static_cast<std::size_t>(std::max(0.0, t * rate));
      for (std::size_t i = j; i < std::min(j + 20, x.size()); ++i) x[i] = 5.3;
    }
    return x;
  };
  for (std::uint64_t seed = 1; seed <= 8; ++seed) {
    CAPTURE(seed);
    const auto r = read(scattered(0, 0.1, seed));
    REQUIRE(r.has_value());
    CHECK(test::close_rel(r->speed.rate.value(), 24.67, 1e-3));
    CHECK(r->speed.relative_variation < 0.01);
    // The angle leaves an even rotation by less than smears order 15 (a sixth of a cycle).
    CHECK(r->track.departure() < 0.01);
    REQUIRE(r->findings.size() == 1);
    CHECK(r->findings[0].kind == FindingKind::time_jitter);
    CHECK(r->findings[0].weight == Weight::caution);
  }
  // A ramp of a fifth with the same scatter: the angle follows it within a fiftieth of a
  // revolution.
  const auto ramp = read(scattered(0.2, 0.1, 3));
  REQUIRE(ramp.has_value());
  CHECK(test::close_abs(ramp->speed.relative_variation, 0.18, 0.04));
  double worst = 0;
  const auto& track = ramp->track;
  for (std::size_t i = 10; i + 10 < track.time.size(); ++i) {
    const double t = track.time[i];
    const double truth = 24.67 * t * (1 + 0.2 * t / 20);
    worst = std::max(worst, std::abs(track.revolutions[i] - track.revolutions[10] - truth +
                                     24.67 * track.time[10] * (1 + 0.2 * track.time[10] / 20)));
  }
  CHECK(worst < 0.1);
  // Clean pulses are taken as they are.
  CHECK(read(scattered(0.2, 0, 3))->findings.empty());
}

TEST_CASE("tacho: what is no tacho is refused in one line") {
  const std::vector<double> flat(5000, 1.0);
  auto r = read(flat);
  REQUIRE_FALSE(r.has_value());
  CHECK(r.error().code == Errc::bad_argument);
  Random random{3};
  std::vector<double> noise(20000);
  for (double& v : noise) v = random.normal();
  r = read(noise);
  REQUIRE_FALSE(r.has_value());
  CHECK(r.error().message().find('\n') == std::string::npos);
  r = read(pulses(
      0.05, [](double t) { return 20 * t + 0.5; }, 0.05, 0.0));
  REQUIRE_FALSE(r.has_value());
  CHECK(r.error().code == Errc::too_short);
  CHECK(read(flat, {.pulses_per_revolution = 0}).error().code == Errc::bad_argument);
}
