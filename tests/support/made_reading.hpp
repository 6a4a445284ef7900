#pragma once
/// Readings with every field filled by hand, and a store to put them in. Their numbers are made up.
#include <string>

#include "bearingdsp/history/record.hpp"
#include "support/made_diagnosis.hpp"

namespace test {

inline bearingdsp::UtcTime day(int n) {
  using namespace std::chrono;
  return bearingdsp::UtcTime{sys_days{year{2026} / March / 2}} + hours{24 * n};
}

/// Day n after 2026-03-02; the hash is made from `what`.
inline bearingdsp::Reading made_reading(int n, const std::string& what = "capture") {
  using namespace bearingdsp;
  Levels levels;
  levels.unit = SampleUnit::acceleration;
  levels.high_band = {Hz{1000}, Hz{10000}};
  levels.value = {0.0023, 6.5, 61.25, 5.5, 1.25, 8.75, 9.4, 4.5};
  levels.shaft = {0.0015, 0.0004, std::nullopt};
  Diagnosis d = made_diagnosis();
  d.families.front().strength = 0.9;
  Reading r = make_reading(d, levels);
  r.hash = what + "-" + std::to_string(n);
  r.path = "/visits/" + std::to_string(n) + "/it's \"one\"; DROP TABLE capture.wav";
  r.taken = day(n);
  r.time_source = TimeSource::recording;
  r.settings = "bearing=6205";
  r.load_percent = 80;
  return r;
}

}  // namespace test
