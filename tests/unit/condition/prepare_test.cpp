#include "bearingdsp/condition/prepare.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <numbers>

#include "support/close.hpp"
#include "support/vectors.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

TEST_CASE("100 mV/g on volts: 0.1 V is 1 g [src:definition of sensitivity]") {
  const std::vector<double> volts{0.1, -0.05};
  auto c = calibrate(condition({volts, Hz{1000}, SampleUnit::volt}), from_g(1) / 0.1,
                     SampleUnit::acceleration)
               .value();
  CHECK(close_rel(c.x[0], 9.80665, 1e-15));
  CHECK(close_rel(c.x[1], -4.903325, 1e-15));
  CHECK(c.unit == SampleUnit::acceleration);
  REQUIRE(c.trail.size() == 1);
  CHECK(c.trail[0].op == "calibrate");
  const auto twice = calibrate(c, 2, SampleUnit::velocity);
  CHECK(twice.error().code == Errc::bad_argument);
  CHECK(calibrate(condition({volts, Hz{1000}}), 0, SampleUnit::velocity).error().code ==
        Errc::bad_argument);
  CHECK(calibrate(condition({volts, Hz{1000}}), std::numeric_limits<double>::quiet_NaN(),
                  SampleUnit::velocity)
            .error()
            .code == Errc::bad_argument);
}

TEST_CASE("steps do what they say and leave their trail") {
  FftPlans plans;
  const double w = 2 * std::numbers::pi * 50;
  auto x = test::sine(20000, 50, 10000, w);
  for (std::size_t i = 0; i < x.size(); ++i) x[i] += 4 + 1e-3 * static_cast<double>(i);
  auto c = condition({x, Hz{10000}, SampleUnit::acceleration});
  c = without_mean(std::move(c));
  c = without_drift(std::move(c));
  auto v = to_velocity(std::move(c), plans).value();
  CHECK(v.unit == SampleUnit::velocity);
  // v = -cos(w t) in the middle of the recording [src:closed form v = a/w]
  for (std::size_t i = 8000; i < 12000; ++i)
    CHECK(close_abs(v.x[i], -std::cos(w * static_cast<double>(i) / 10000), 0.015));
  auto s = slowed(std::move(v), 4).value();
  CHECK(s.rate == Hz{2500});
  CHECK(s.x.size() == 5000);
  REQUIRE(s.trail.size() == 4);
  CHECK(s.trail[0].op == "remove_mean");
  CHECK(s.trail[1].op == "remove_drift");
  CHECK(s.trail[2].op == "integrate");
  CHECK(s.trail[3].op == "decimate");
  CHECK(s.trail[3].args == "factor=4");
  CHECK(to_velocity(s, plans).error().code == Errc::missing_metadata);
  CHECK(slowed(s, 0).error().code == Errc::bad_argument);
  CHECK(slowed(s, 5000).error().code == Errc::too_short);
}
