#include "bearingdsp/dsp/integrate.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "bearingdsp/core/unit.hpp"
#include "support/close.hpp"
#include "support/vectors.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

namespace {
constexpr double pi = std::numbers::pi;
}

TEST_CASE("1 g peak at 1000 rad/s is 9.80665 mm/s peak [src:closed form v = a/w]") {
  FftPlans plans;
  const auto x = test::sine(10240, 1000 / (2 * pi), 10240, from_g(1));
  const auto v = velocity_rms(x, Hz{10240}, SampleUnit::acceleration, plans).value();
  CHECK(close_rel(in_mm_per_s(v) * std::sqrt(2.0), 9.80665, 1e-4));
}

TEST_CASE("12.3 Hz in short recordings at any phase [src:closed form v = a/w, header's bound]") {
  FftPlans plans;
  struct Row {
    double seconds, bound;
  };
  for (const auto& r : {Row{0.8, 0.008}, Row{1.0, 0.006}, Row{2.0, 0.003}, Row{10.3, 0.001}}) {
    double worst = 0;
    for (int k = 0; k < 16; ++k) {
      const auto n = static_cast<std::size_t>(r.seconds * 5120);
      const auto x = test::sine(n, 12.3, 5120, 1, k * pi / 8);
      const auto v = velocity_rms(x, Hz{5120}, SampleUnit::acceleration, plans).value();
      worst = std::max(worst, std::abs(v * std::sqrt(2.0) * 2 * pi * 12.3 - 1));
    }
    CHECK(worst < r.bound);
  }
}

TEST_CASE("only the band counts, velocity and displacement records work too") {
  FftPlans plans;
  const Hz rate{8192};
  const auto level = [&](double f, SampleUnit unit) {
    return velocity_rms(test::sine(32768, f, 8192, std::sqrt(2.0)), rate, unit, plans).value();
  };
  CHECK(close_rel(level(100, SampleUnit::velocity), 1, 1e-6));
  CHECK(close_rel(level(100, SampleUnit::displacement), 2 * pi * 100, 1e-4));
  CHECK(close_rel(level(100, SampleUnit::acceleration), 1 / (2 * pi * 100), 1e-4));
  CHECK(level(7, SampleUnit::velocity) < 1e-2);
  CHECK(level(1200, SampleUnit::velocity) < 1e-4);
  CHECK(close_rel(level(1000, SampleUnit::velocity), std::sqrt(0.5), 1e-3));  // half power
  // An offset and a slow drift are not vibration.
  auto x = test::sine(32768, 100, 8192, std::sqrt(2.0));
  for (std::size_t i = 0; i < x.size(); ++i) x[i] += 50 + 1e-3 * static_cast<double>(i);
  CHECK(close_rel(velocity_rms(x, rate, SampleUnit::velocity, plans).value(), 1, 1e-3));
}

TEST_CASE("the integral of an off-bin sine [src:closed form, header's bound]") {
  FftPlans plans;
  for (const double f : {17.3, 61.7, 403.1}) {
    double middle = 0;
    double ends = 0;
    for (int k = 0; k < 8; ++k) {
      const double phase = k * pi / 4;
      const auto x = test::sine(5120, f, 5120, 2 * pi * f, phase);
      const auto y = integrate(x, Hz{5120}, plans).value();
      REQUIRE(y.size() == x.size());
      for (std::size_t i = 0; i < y.size(); ++i) {
        const double e =
            std::abs(y[i] + std::cos(2 * pi * f * static_cast<double>(i) / 5120 + phase));
        (i > 1024 && i < 4096 ? middle : ends) = std::max(i > 1024 && i < 4096 ? middle : ends, e);
      }
    }
    CHECK(middle < 0.015);
    CHECK(ends < (f < 20 ? 0.5 : 0.15));
  }
}

TEST_CASE("refusals") {
  FftPlans plans;
  const std::vector<double> x(1000, 0.0);
  const auto code = [&](Hz rate, SampleUnit unit, VelocityBand band) {
    return velocity_rms(x, rate, unit, plans, band).error().code;
  };
  CHECK(code(Hz{1000}, SampleUnit::uncalibrated, {}) == Errc::missing_metadata);
  CHECK(code(Hz{10000}, SampleUnit::velocity, {}) == Errc::too_short);
  CHECK(code(Hz{20}, SampleUnit::velocity, {}) == Errc::bad_argument);
  CHECK(code(Hz{0}, SampleUnit::velocity, {}) == Errc::bad_argument);
  CHECK(code(Hz{1000}, SampleUnit::velocity, {.low = Hz{20}, .high = Hz{10}}) ==
        Errc::bad_argument);
  CHECK(integrate({}, Hz{1000}, plans).error().code == Errc::too_short);
  CHECK(velocity_rms(x, Hz{1000}, SampleUnit::velocity, plans).value() == 0);
}

TEST_CASE("displacement: rms of a slow sine from each unit [src:closed-form s = v / w = a / w^2]") {
  FftPlans plans;
  const Hz rate{1024};
  const double f = 4, omega = 2 * std::numbers::pi * f;  // 240 rpm
  const VelocityBand from_2_hz{.low = Hz{2}, .high = Hz{400}};
  // 30 s; rms 1 in the unit of the samples.
  const auto x = test::sine(30 * 1024, f, 1024, std::sqrt(2.0));
  const auto s = [&](SampleUnit unit) {
    return displacement_rms(x, rate, unit, plans, from_2_hz).value();
  };
  CHECK(close_rel(s(SampleUnit::displacement), 1, 2e-3));
  CHECK(close_rel(s(SampleUnit::velocity), 1 / omega, 2e-3));
  CHECK(close_rel(s(SampleUnit::acceleration), 1 / (omega * omega), 2e-3));
  // From 10 Hz on it would be left out.
  CHECK(displacement_rms(x, rate, SampleUnit::displacement, plans, {.high = Hz{400}}).value() <
        0.01);
  CHECK(displacement_rms(x, rate, SampleUnit::volt, plans, from_2_hz).error().code ==
        Errc::missing_metadata);
}
