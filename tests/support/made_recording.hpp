#pragma once
/// Recordings for comparisons with the fields that decide filled by hand. Their numbers are made
/// up.
#include <cmath>

#include "bearingdsp/comparison/before_after.hpp"

namespace test {

/// A healthy bearing at 1480 rpm: velocity 2 mm/s, levels above 1 kHz of 1 m/s2.
inline bearingdsp::ComparedRecording sound_recording() {
  using namespace bearingdsp;
  ComparedRecording c;
  Reading& r = c.reading;
  r.path = "sound.wav";
  r.duration = Seconds{4};
  r.rate = c.recorded_rate = Hz{25600};
  c.reach = Hz{11520};
  r.speed = Rpm{1480};
  r.levels.unit = SampleUnit::acceleration;
  r.levels.high_band = {Hz{1000}, Hz{10000}};
  r.levels.value = {0.002, 1.5, 6.0, 1.0, 0.5, 3.0, 4.0, 1.0};
  r.parts = {{{0.05, 0.2, 1, 0}, {0.02, 0.1, 0, 0}, {0.0, 0.0, 0, 0}, {0.01, 0.1, 0, 0}}};
  r.verdict = Verdict::no_fault;
  r.place = Place::none;
  r.probability_of_damage = 0.18;
  return c;
}

/// The same with a spall of the outer ring: its series is detected and the impacts are 14 dB up.
inline bearingdsp::ComparedRecording damaged_recording() {
  using namespace bearingdsp;
  ComparedRecording c = sound_recording();
  Reading& r = c.reading;
  r.path = "damaged.wav";
  r.levels.at(Indicator::high_band) = 4.0;
  r.levels.at(Indicator::envelope) = 2.5;
  r.parts[0] = {1.5, 1.8, 4, 0};
  r.verdict = Verdict::fault;
  r.place = Place::outer_ring;
  r.probability_of_damage = 0.98;
  return c;
}

/// Every level of the recording times the factor of so many dB.
inline bearingdsp::ComparedRecording louder(bearingdsp::ComparedRecording c, double db) {
  for (const auto i : {bearingdsp::Indicator::velocity, bearingdsp::Indicator::overall,
                       bearingdsp::Indicator::peak, bearingdsp::Indicator::high_band,
                       bearingdsp::Indicator::envelope, bearingdsp::Indicator::floor})
    *c.reading.levels.at(i) *= std::pow(10, db / 20);
  return c;
}

}  // namespace test
