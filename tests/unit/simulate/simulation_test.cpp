#include "bearingdsp/simulate/simulation.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <limits>
#include <numbers>
#include <string>

#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "support/close.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

namespace {

DefectOrders bearing() { return defect_orders({9, 7.94, 39.04, Degrees{0}}).value(); }

/// Nothing but what the test adds.
SimulationPlan silence() {
  SimulationPlan p;
  p.orders = bearing();
  p.noise = 0;
  p.speed = Rpm{1500};
  return p;
}

const std::vector<double>& samples(const Simulation& s) { return s.capture.channels.at(0).samples; }

double mean_square(const std::vector<double>& x) {
  double sum = 0;
  for (const double v : x) sum += v * v;
  return sum / static_cast<double>(x.size());
}

double kurtosis(const std::vector<double>& x) {
  double m = 0;
  for (const double v : x) m += v;
  m /= static_cast<double>(x.size());
  double m2 = 0, m4 = 0;
  for (const double v : x) {
    const double d = (v - m) * (v - m);
    m2 += d;
    m4 += d * d;
  }
  return m4 * static_cast<double>(x.size()) / (m2 * m2);
}

/// Amplitude of the line at f, by correlation with it.
double amplitude(const std::vector<double>& x, double f, double rate) {
  std::complex<double> sum;
  for (std::size_t i = 0; i < x.size(); ++i) {
    const double t = f * static_cast<double>(i) / rate;
    sum += x[i] * std::polar(1.0, -2 * std::numbers::pi * (t - std::floor(t)));
  }
  return 2 * std::abs(sum) / static_cast<double>(x.size());
}

}  // namespace

TEST_CASE(
    "train of decaying tones: kurtosis 1.5 b T, rms^2 = A^2 / (4 b T) "
    "[src:analytic, for b T >> 1]") {
  auto p = silence();
  p.duration = Seconds{20};
  p.rate = Hz{51200};
  // One resonance, so that the tone is pure: b = zeta w.
  const double b = 2000;
  p.resonances = {{Hz{6000}, b / (2 * std::numbers::pi * 6000), 1}};
  p.defects = {{.part = Part::outer_ring, .severity = 10, .slip = 0.01}};
  for (const double bt : {10.0, 20.0}) {
    CAPTURE(bt);
    const double interval = bt / b;
    p.speed = Rpm{60 / (interval * bearing().bpfo.value())};
    const auto s = simulate(p).value();
    CHECK(close_rel(kurtosis(samples(s)), 1.5 * bt, 0.03));
    // Severity is the peak, which damping leaves below A: A = severity / max|h|.
    const double zeta = p.resonances[0].damping;
    const double peak =
        std::exp(-zeta / std::sqrt(1 - zeta * zeta) * std::acos(zeta)) * std::sqrt(1 - zeta * zeta);
    const double a = 10 / peak;
    CHECK(close_rel(mean_square(samples(s)), a * a / (4 * bt), 0.02));
    CHECK(close_rel(s.truth.defect_rms, std::sqrt(mean_square(samples(s))), 1e-12));
    CHECK(s.truth.defect_to_noise_db == std::numeric_limits<double>::infinity());
  }
}

TEST_CASE("impacts come at the defect order of each part [src:definition]") {
  auto p = silence();
  p.duration = Seconds{60};
  p.rate = Hz{12800};
  p.mean_slip = 0.015;
  const auto k = with_slip(bearing(), 0.015);
  for (const Part part : {Part::outer_ring, Part::inner_ring, Part::rolling_element, Part::cage}) {
    CAPTURE(token(part));
    p.defects = {{.part = part, .slip = 0.01}};
    const auto s = simulate(p).value();
    const auto& t = s.truth.impact_times.at(0);
    const double rate =
        static_cast<double>(t.size() - 1) / (t.back() - t.front()) / s.truth.mean_shaft_rate_hz;
    const double expected = part == Part::rolling_element ? 2 * k.bsf.value() : k.of(part).value();
    // Standard error of the mean interval is slip / sqrt(n).
    const double n = static_cast<double>(t.size());
    CHECK(close_rel(rate, expected, 4 * 0.01 / std::sqrt(n)));
    CHECK(s.truth.damaged == std::vector<Part>{part});
  }
}

TEST_CASE(
    "random slip adds up: variance of the k-th later impact is k times one interval's "
    "[src:antoni2003, increments are independent, from memory]") {
  auto p = silence();
  p.duration = Seconds{200};
  p.rate = Hz{6400};
  p.resonances = {{Hz{2000}, 0.05, 1}};
  p.defects = {{.part = Part::outer_ring, .slip = 0.02}};
  const auto s = simulate(p).value();
  const auto& t = s.truth.impact_times.at(0);
  const auto variance_over = [&](std::size_t lag) {
    double sum = 0, sum2 = 0;
    std::size_t n = 0;
    for (std::size_t i = 0; i + lag < t.size(); i += lag, ++n) {
      const double d = t[i + lag] - t[i];
      sum += d;
      sum2 += d * d;
    }
    const double m = sum / static_cast<double>(n);
    return sum2 / static_cast<double>(n) - m * m;
  };
  const double interval = 1 / (25 * bearing().bpfo.value());
  CHECK(close_rel(std::sqrt(variance_over(1)), 0.02 * interval, 0.03));
  CHECK(close_rel(variance_over(16), 16 * variance_over(1), 0.2));
}

TEST_CASE(
    "noise has the rms asked for, white or coloured, modulated or not "
    "[src:definition, modulation (1 + m cos) is scaled by 1/sqrt(1 + m^2/2)]") {
  for (const double colour : {0.0, 0.5, 1.0})
    for (const double depth : {0.0, 0.8}) {
      CAPTURE(colour);
      CAPTURE(depth);
      auto p = silence();
      p.noise = 2;
      p.noise_colour = colour;
      p.shaft_modulation = depth;
      p.duration = Seconds{10};
      const auto s = simulate(p).value();
      // Coloured noise has few independent low lines, so it scatters more.
      CHECK(close_rel(std::sqrt(mean_square(samples(s))), 2, colour == 1 ? 0.1 : 0.01));
      CHECK(s.truth.damaged.empty());
      CHECK(s.truth.defect_to_noise_db == -std::numeric_limits<double>::infinity());
    }
}

TEST_CASE("resonant noise has the rms asked for [src:definition]") {
  auto p = silence();
  p.resonant_noise = 3;
  p.duration = Seconds{10};
  CHECK(close_rel(std::sqrt(mean_square(samples(simulate(p).value()))), 3, 0.02));
}

TEST_CASE("lines are where and as high as asked for [src:definition]") {
  auto p = silence();
  p.duration = Seconds{4};
  p.shaft_harmonics = {1.0, 0.5, 0.25};
  p.gear_lines = {{Order{17}, 2.0}};
  p.gear_modulation = 0.4;
  p.mains_hum = 0.8;
  p.fixed_lines = {{Hz{4200}, 0.3}};
  p.mains = Hz{60};
  const auto s = simulate(p).value();
  const auto& x = samples(s);
  const auto line = [&](double f) { return amplitude(x, f, 25600); };
  CHECK(close_rel(line(25), 1.0, 0.01));
  CHECK(close_rel(line(50), 0.5, 0.01));
  CHECK(close_rel(line(75), 0.25, 0.01));
  CHECK(close_rel(line(425), 2.0, 0.01));
  CHECK(close_rel(line(400), 0.4, 0.01));
  CHECK(close_rel(line(450), 0.4, 0.01));
  CHECK(close_rel(line(60), 0.8, 0.01));
  CHECK(close_rel(line(120), 0.4, 0.01));
  CHECK(close_rel(line(180), 0.2, 0.02));
  CHECK(close_rel(line(4200), 0.3, 0.01));
  auto q = silence();
  q.variable_compliance = 0.6;
  const double f = 25 * bearing().bpfo.value();
  CHECK(close_rel(amplitude(samples(simulate(q).value()), f, 25600), 0.6, 0.005));
}

TEST_CASE("the same plan gives the same samples, and a cause does not move the others") {
  auto p = silence();
  p.noise = 1;
  p.shaft_harmonics = {0.5};
  p.shocks_per_second = 3;
  p.shock_peak = 5;
  p.duration = Seconds{1};
  const auto healthy = samples(simulate(p).value());
  CHECK(healthy == samples(simulate(p).value()));
  p.defects = {{.part = Part::inner_ring}};
  const auto damaged = samples(simulate(p).value());
  CHECK(damaged != healthy);
  p.noise = 0;
  p.shaft_harmonics = {};
  p.shocks_per_second = 0;
  const auto alone = samples(simulate(p).value());
  for (std::size_t i = 0; i < alone.size(); ++i)
    REQUIRE(close_abs(damaged[i] - healthy[i], alone[i], 1e-12));
  p.seed = 2;
  CHECK(alone != samples(simulate(p).value()));
}

TEST_CASE("a plan that cannot be is refused and the field named") {
  const auto refused = [](auto change, const std::string& field) {
    auto p = silence();
    p.defects = {{}};
    change(p);
    const auto r = simulate(p);
    CAPTURE(field);
    REQUIRE_FALSE(r);
    CHECK(r.error().code == Errc::bad_argument);
    CHECK(r.error().where.find(field) != std::string::npos);
    CHECK(r.error().message().find('\n') == std::string::npos);
  };
  refused([](auto& p) { p.rate = Hz{0}; }, "rate");
  refused([](auto& p) { p.rate = Hz{std::nan("")}; }, "rate");
  refused([](auto& p) { p.duration = Seconds{1e9}; }, "duration");
  refused([](auto& p) { p.duration = Seconds{1e-9}; }, "duration");
  refused([](auto& p) { p.speed = Rpm{-1}; }, "speed");
  refused([](auto& p) { p.speed_drift = -1; }, "speed_drift");
  refused([](auto& p) { p.orders.reset(); }, "defects[0].orders");
  refused([](auto& p) { p.orders->bpfo = Order{-1}; }, "orders");
  refused([](auto& p) { p.defects[0].slip = 0.9; }, "defects[0].slip");
  refused([](auto& p) { p.defects[0].severity = std::nan(""); }, "defects[0].severity");
  refused([](auto& p) { p.resonances[1].damping = 1.5; }, "resonances[1].damping");
  refused([](auto& p) { p.resonances = {}; }, "resonances");
  refused([](auto& p) { p.resonances = {{Hz{20000}, 0.05, 1}}; }, "resonances");
  refused([](auto& p) { p.bits = 16; }, "bits");
  refused([](auto& p) { p.shaft_harmonics.assign(600, 1.0); }, "shaft_harmonics");
  refused([](auto& p) { p.mains_hum = 1, p.mains = Hz{5000}; }, "mains_hum");
}

TEST_CASE("range clips and bits quantise [src:definition of a mid-tread converter]") {
  auto p = silence();
  p.noise = 10;
  p.range = 20;
  p.bits = 8;
  const auto s = simulate(p).value();
  const double step = 20.0 / 128;
  double lowest = 0, highest = 0;
  std::size_t at_limit = 0;
  for (const double v : samples(s)) {
    REQUIRE(close_abs(v / step, std::round(v / step), 1e-9));
    lowest = std::min(lowest, v);
    highest = std::max(highest, v);
    if (v == -20 || v == 20 - step) ++at_limit;
  }
  CHECK(lowest == -20.0);
  CHECK(highest == 20 - step);
  CHECK(s.truth.clipped_samples > 0);
  CHECK(at_limit >= s.truth.clipped_samples);
  // Two-sided share of a normal distribution beyond 2 standard deviations: 4.55 %.
  CHECK(close_rel(static_cast<double>(s.truth.clipped_samples) / 102400.0, 0.0455, 0.06));
  CHECK(s.capture.channels[0].full_scale == 20.0);
}

TEST_CASE("tacho pulses and lines follow a drifting, wandering speed") {
  auto p = silence();
  p.rate = Hz{12800};
  p.speed_drift = 0.2;
  p.speed_wander = 0.005;
  p.tacho_pulses = 1;
  p.shaft_harmonics = {0, 0, 1};
  p.shaft_phases = {0, 0, 0};
  p.duration = Seconds{8};
  const auto s = simulate(p).value();
  CHECK(close_rel(s.truth.start_shaft_rate_hz, 25, 0.021));
  CHECK(close_rel(s.truth.end_shaft_rate_hz, 30, 0.021));
  CHECK(close_rel(s.truth.mean_shaft_rate_hz, 27.5, 0.01));
  const auto& marker = s.capture.channels.at(1).samples;
  const auto& x = samples(s);
  double first = -1, last = -1;
  int pulses = 0;
  for (std::size_t i = 1; i < marker.size(); ++i) {
    if (!(marker[i - 1] < 0.5 && marker[i] >= 0.5)) continue;
    const double at = static_cast<double>(i) - 0.5;
    if (pulses == 0) first = at;
    last = at;
    ++pulses;
    // At the start of a turn the third harmonic, of phase 0, is at its top; the pulse is seen up to
    // 1.5 samples late, which is 0.067 rad of it.
    CHECK(x[i] > std::cos(0.067));
  }
  const double rate = (pulses - 1) * 12800.0 / (last - first);
  CHECK(close_rel(rate, s.truth.mean_shaft_rate_hz, 0.005));
}

TEST_CASE(
    "a seed means the same capture everywhere [src:own vector, made once on x86-64 Linux, the "
    "tolerance allows for other mathematical functions]") {
  SimulationPlan p;
  p.duration = Seconds{0.02};
  p.orders = bearing();
  p.defects = {{.part = Part::inner_ring, .severity = 8, .roughness = 0.25}};
  p.noise_colour = 0.5;
  p.resonant_noise = 0.3;
  p.shaft_harmonics = {0.5};
  p.speed_wander = 0.001;
  p.shocks_per_second = 100;
  p.shock_peak = 3;
  const auto s = simulate(p).value();
  const auto& x = samples(s);
  REQUIRE(x.size() == 512);
  CHECK(close_abs(x[0], 0.63438176561617843, 1e-10));
  CHECK(close_abs(x[100], 0.43401024738407246, 1e-10));
  CHECK(close_abs(x[255], 2.098803568674501, 1e-10));
  CHECK(close_abs(x[400], 1.043106973254766, 1e-10));
  CHECK(close_abs(x[511], -0.340168038675566, 1e-10));
  CHECK(close_rel(mean_square(x), 1.3009301459655904, 1e-10));
}
