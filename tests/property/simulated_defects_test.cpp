#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "support/close.hpp"
#include "support/orders.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

namespace {

constexpr double pi = std::numbers::pi;

/// 9 elements, orders chosen so that whole seconds at 20 Hz hold whole periods of all of them.
DefectOrders whole_orders() { return test::orders_of(9, 3.6, 5.4, 2.35, 0.4); }

SimulationPlan only(SimulatedDefect defect) {
  SimulationPlan p;
  p.rate = Hz{25600};
  p.duration = Seconds{20};
  p.speed = Rpm{1200};
  p.noise = 0;
  p.orders = whole_orders();
  p.resonances = {{Hz{5000}, 0.3, 1}};  // short, so that its own decay hardly shapes the envelope
  p.defects = {defect};
  return p;
}

std::vector<double> squared(const Simulation& s) {
  std::vector<double> y = s.capture.channels.at(0).samples;
  for (double& v : y) v *= v;
  return y;
}

double mean(const std::vector<double>& y) {
  double sum = 0;
  for (const double v : y) sum += v;
  return sum / static_cast<double>(y.size());
}

/// Amplitude of the line at f.
double line(const std::vector<double>& y, double f, double rate) {
  std::complex<double> sum;
  for (std::size_t i = 0; i < y.size(); ++i) {
    const double t = f * static_cast<double>(i) / rate;
    sum += y[i] * std::polar(1.0, -2 * pi * (t - std::floor(t)));
  }
  return 2 * std::abs(sum) / static_cast<double>(y.size());
}

/// A of A exp(-b t) sin(w t) whose largest value is 1.
double scaled_to_peak_one(double zeta) {
  const double root = std::sqrt(1 - zeta * zeta);
  return 1 / (std::exp(-zeta / root * std::acos(zeta)) * root);
}

}  // namespace

TEST_CASE(
    "spectrum of the impact instants is that of a renewal process with normal increments "
    "[src:analytic: S = n (1 - |c|^2) / |1 - c|^2, c the increments' characteristic "
    "function, harmonics broaden as 2 pi h^2 slip^2 f]") {
  auto p = only({.part = Part::outer_ring, .slip = 0.02});
  p.rate = Hz{3200};
  p.resonances = {{Hz{1000}, 0.3, 1}};
  p.duration = Seconds{1200};
  const auto s = simulate(p).value();
  const auto& times = s.truth.impact_times.at(0);
  const double interval = 1 / 72.0;
  constexpr double block = 3;  // s; parts lines 0.33 Hz apart, widths below are 4 Hz and more
  for (const int harmonic : {3, 5, 8}) {
    const double width = 2 * pi * harmonic * harmonic * 0.02 * 0.02 * 72;
    for (const double offset : {0.0, 0.5 * width, 2 * width}) {
      const double f = 72.0 * harmonic + offset;
      double power = 0;
      int blocks = 0;
      std::size_t i = 0;
      for (double from = 0; from + block <= 1200; from += block, ++blocks) {
        std::complex<double> sum;
        for (; i < times.size() && times[i] < from + block; ++i) {
          // A Hann taper keeps the strong mean out of the neighbourhood.
          const double u = (times[i] - from) / block;
          sum += (1 - std::cos(2 * pi * u)) * std::polar(1.0, -2 * pi * f * times[i]);
        }
        power += std::norm(sum) / 1.5;
      }
      power /= blocks * block / interval;
      const double spread = 2 * pi * f * interval * 0.02;
      const auto c = std::polar(std::exp(-0.5 * spread * spread), 2 * pi * f * interval);
      const double expected = (1 - std::norm(c)) / std::norm(1.0 - c);
      CAPTURE(harmonic);
      CAPTURE(offset);
      // 400 blocks: 5 % standard error, and up to 10 % from the taper's smoothing of the top.
      CHECK(close_rel(power, expected, 0.25));
    }
  }
}

TEST_CASE(
    "an inner-ring defect in its load zone: sidebands at 1x [src:analytic: strength^2 is "
    "cos^3 over half a turn, so sideband to line is (3/16) / (2/(3 pi))]") {
  const auto y = squared(simulate(only({.part = Part::inner_ring, .slip = 0})).value());
  const double centre = line(y, 108, 25600);
  const double ratio = (3.0 / 16) / (2 / (3 * pi));
  CHECK(close_rel(line(y, 128, 25600) / centre, ratio, 0.03));
  CHECK(close_rel(line(y, 88, 25600) / centre, ratio, 0.03));
  // With a uniform load there are none.
  const auto flat =
      squared(simulate(only({.part = Part::inner_ring, .slip = 0, .load_zone = 0})).value());
  CHECK(line(flat, 128, 25600) < 0.01 * line(flat, 108, 25600));
}

TEST_CASE(
    "an element strikes both rings: lines at 2 BSF with sidebands at FTF, weaker ones at BSF "
    "[src:analytic: strengths 1 and 0.7 in turn give (1 - 0.49) / (1 + 0.49)]") {
  const auto y = squared(simulate(only({.part = Part::rolling_element, .slip = 0})).value());
  const double twice = line(y, 94, 25600);
  const double ratio = (3.0 / 16) / (2 / (3 * pi));
  CHECK(close_rel(line(y, 102, 25600) / twice, ratio, 0.03));
  CHECK(close_rel(line(y, 86, 25600) / twice, ratio, 0.03));
  CHECK(close_rel(line(y, 47, 25600) / twice, 0.51 / 1.49, 0.03));
}

TEST_CASE(
    "an outer-ring defect stands still in its load, the cage may modulate it [src:analytic: "
    "(1 + m cos)^2 has 2 m at its first line over 1 + m^2/2]") {
  const auto y = squared(simulate(only({.part = Part::outer_ring, .slip = 0})).value());
  CHECK(line(y, 92, 25600) < 0.01 * line(y, 72, 25600));
  const auto caged = squared(
      simulate(only({.part = Part::outer_ring, .slip = 0, .cage_modulation = 0.5})).value());
  CHECK(close_rel(line(caged, 80, 25600) / line(caged, 72, 25600), 0.5 / 1.125, 0.03));
}

TEST_CASE(
    "a rough defect is modulated noise without a deterministic part [src:antoni2003 section "
    "4, line of cos^4 over 0.3 of the interval, computed by quadrature, from memory]") {
  auto p = only({.part = Part::outer_ring, .severity = 9, .slip = 0, .roughness = 1});
  p.duration = Seconds{60};
  const auto s = simulate(p).value();
  const auto& x = s.capture.channels.at(0).samples;
  const auto y = squared(s);
  double level = 0, first = 0;
  for (int i = -1000; i <= 1000; ++i) {
    const double u = 0.15 * i / 1000;
    const double swell = std::pow(std::cos(pi * u / 0.3), 4);
    level += swell;
    first += swell * std::cos(2 * pi * u);
  }
  CHECK(close_rel(line(y, 72, 25600) / mean(y), 2 * first / level, 0.03));
  // rms at the top of a swell is severity/3; its square over the interval averages 0.3 x 3/8.
  CHECK(close_rel(mean(y), 9.0 * 0.3 * 3 / 8, 0.03));
  // No line in the vibration itself: what is left falls with the record's length.
  const double rms = std::sqrt(mean(y));
  for (const double f : {72.0, 144.0, 5040.0}) CHECK(line(x, f, 25600) < 0.02 * rms);
}

TEST_CASE("growth and scatter change the strength of impacts as asked [src:analytic means]") {
  auto p = only({.part = Part::outer_ring, .slip = 0.01});
  const double steady = mean(squared(simulate(p).value()));
  p.defects[0].growth = 1;
  // Mean of (1 + u)^2 over 0..1 is 7/3.
  CHECK(close_rel(mean(squared(simulate(p).value())) / steady, 7.0 / 3, 0.01));
  p.defects[0].growth = 0;
  p.defects[0].amplitude_scatter = 0.3;
  CHECK(close_rel(mean(squared(simulate(p).value())) / steady, 1.09, 0.05));
}

TEST_CASE(
    "knocks come at their rate: mean square = rate E[peak^2] A^2 / (4 b) "
    "[src:analytic, Campbell's theorem, peaks uniform over half to whole: 7/12]") {
  auto p = only({});
  p.defects.clear();
  p.duration = Seconds{120};
  p.shocks_per_second = 20;
  p.shock_peak = 6;
  p.resonances = {{Hz{2000}, 0.05, 1}};
  const double b = 0.05 * 2 * pi * 2000;
  const double a = scaled_to_peak_one(0.05);
  const double energy = a * a / (4 * b);  // a sine's mean square is 1/2, for b << w
  CHECK(close_rel(mean(squared(simulate(p).value())), 20 * 36 * (7.0 / 12) * energy, 0.08));
}

TEST_CASE("electrical impulses: as high as asked, twice a mains period [src:definition]") {
  auto p = only({});
  p.defects.clear();
  p.duration = Seconds{4};
  p.mains = Hz{60};
  p.electrical_impulses = 3;
  const auto s = simulate(p).value();
  const auto& x = s.capture.channels.at(0).samples;
  const double highest = *std::max_element(x.begin(), x.end());
  CHECK(highest <= 3.0);
  CHECK(highest > 2.9);
  const auto y = squared(s);
  // Pulses shorter than a hundredth of the interval: lines at 120 Hz are twice the mean.
  CHECK(close_rel(line(y, 120, 25600) / mean(y), 2, 0.01));
  CHECK(line(y, 60, 25600) < 1e-3 * mean(y));
}

TEST_CASE("amplitudes scale with the plan, whatever the seed [src:linearity]") {
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    auto p = only({.part = Part::inner_ring, .severity = 4, .roughness = 0.4});
    p.seed = seed;
    p.duration = Seconds{1};
    p.noise = 0.5;
    p.resonant_noise = 0.2;
    p.shaft_harmonics = {0.3};
    const auto one = simulate(p).value();
    p.defects[0].severity *= 3;
    p.noise *= 3;
    p.resonant_noise *= 3;
    p.shaft_harmonics = {0.3 * 3};
    const auto three = simulate(p).value();
    const auto& a = one.capture.channels[0].samples;
    const auto& b = three.capture.channels[0].samples;
    for (std::size_t i = 0; i < a.size(); ++i) REQUIRE(close_abs(3 * a[i], b[i], 1e-9));
    CHECK(close_abs(one.truth.defect_to_noise_db, three.truth.defect_to_noise_db, 1e-9));
  }
}
