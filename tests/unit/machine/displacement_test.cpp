#include "bearingdsp/machine/displacement.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "support/close.hpp"

using namespace bearingdsp;

namespace {

Machine slow_pump() {
  Machine m;
  m.name = "pump";
  m.power = Kilowatts{30};
  m.mounting = Mounting::rigid;
  m.driven = DrivenMachine::pump;
  m.rated_speed = Rpm{600};
  return m;
}

}  // namespace

TEST_CASE("displacement: from peak to peak of a sine [src:closed-form 2 sqrt(2) x rms]") {
  CHECK(test::close_rel(sine_peak_to_peak(DisplacementRms{1e-6}), 2.8284271247461903e-6, 1e-14));
}

TEST_CASE(
    "displacement: slow pumps are judged from peak to peak too [src:iso10816-7 table A.1, 50, 80, "
    "130 um, secondary]") {
  Machine m = slow_pump();
  const auto limits = zone_limits(m).value();
  REQUIRE(limits.displacement);
  CHECK(limits.displacement == pump_displacement_limits());
  CHECK(limits.displacement->status.find("one-page summary") != std::string::npos);
  CHECK(std::any_of(limits.assumptions.begin(), limits.assumptions.end(), [](const auto& words) {
    return words.find("2.83 x rms") != std::string::npos;
  }));
  // On both sides of each boundary, with a velocity that is in zone A.
  MeasuredVelocity v{mm_per_s_rms(1), SampleUnit::acceleration, Hz{25600}, Hz{2}};
  const auto zone = [&](double peak_to_peak_um) {
    v.displacement = DisplacementRms{peak_to_peak_um * 1e-6 / 2.8284271247461903};
    return judge_velocity(known_limits(m), v).zone;
  };
  CHECK(zone(49.9) == Zone::a);
  CHECK(zone(50.1) == Zone::b);
  CHECK(zone(79.9) == Zone::b);
  CHECK(zone(80.1) == Zone::c);
  CHECK(zone(129.9) == Zone::c);
  CHECK(zone(130.1) == Zone::d);
  // The worse of both counts.
  v.rms = mm_per_s_rms(7);
  CHECK(zone(1) == Zone::d);
  m.rated_speed = Rpm{601};
  CHECK_FALSE(zone_limits(m)->displacement);
}

TEST_CASE("displacement: as the standard of the machine states it") {
  const auto pump = zone_limits(slow_pump()).value();
  CHECK(displacement_limit_words(pump) == "50, 80, 130 µm peak to peak");
  CHECK(displacement_words(DisplacementRms{10e-6}, pump) == "28 µm peak to peak");
  Machine motor = slow_pump();
  motor.driven = DrivenMachine::other;
  const auto group = zone_limits(motor).value();
  CHECK(displacement_limit_words(group) == "22, 45, 71 µm rms");
  CHECK(displacement_words(DisplacementRms{10e-6}, group) == "10 µm rms");
  CHECK(displacement_words(DisplacementRms{10e-6}, {}) == "10 µm rms");
  motor.rated_speed = Rpm{1480};
  CHECK(displacement_limit_words(zone_limits(motor).value()).empty());
}
