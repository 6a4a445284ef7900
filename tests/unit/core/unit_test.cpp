#include "bearingdsp/core/unit.hpp"

#include <doctest/doctest.h>

#include "bearingdsp/core/quantity.hpp"
#include "support/close.hpp"

using namespace bearingdsp;

TEST_CASE(
    "g and mm/s convert to SI and back [src:iso80000-3 g = 9.80665 m/s2 exactly, from memory]") {
  CHECK(from_g(1.0) == 9.80665);
  CHECK(test::close_rel(in_g(from_g(0.37)), 0.37, 1e-15));
  CHECK(test::close_rel(in_mm_per_s(from_mm_per_s(4.5)), 4.5, 1e-15));
  // 1 g at 1000 rad/s is 9.80665 mm/s [src:closed form v = a / w]
  CHECK(test::close_rel(in_mm_per_s(from_g(1.0) / 1000.0), 9.80665, 1e-15));
}

TEST_CASE("orders, hertz and revolutions per minute [src:definition: 60 rpm = 1 Hz]") {
  CHECK(shaft_rate(Rpm{1800}) == Hz{30});
  CHECK(shaft_speed(Hz{30}) == Rpm{1800});
  CHECK(at_speed(Order{3}, Hz{30}) == Hz{90});
  CHECK(to_order(Hz{90}, Hz{30}) == Order{3});
  CHECK(Hz{90} / Hz{30} == 3.0);
  CHECK(Hz{1} < Hz{2});
  CHECK(2.0 * Hz{3} + Hz{1} - Hz{2} / 2.0 == Hz{6});
}

TEST_CASE("every unit has a symbol of its own") {
  CHECK(symbol(SampleUnit::acceleration) == "m/s2");
  CHECK(symbol(SampleUnit::velocity) == "m/s");
  CHECK(symbol(SampleUnit::displacement) == "m");
  CHECK(symbol(SampleUnit::volt) == "V");
  CHECK(symbol(SampleUnit::revolution) == "rev");
  CHECK(symbol(SampleUnit::uncalibrated) == "1");
}
