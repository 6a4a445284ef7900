// Signals of a machine, and the same after processing meant for speech, which is made here from its
// definition: a gain that follows the level, a gate, a low-pass filter.
#include "capture/quality_processing.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/dataset/manifest.hpp"
#include "bearingdsp/dsp/filter.hpp"
#include "paths.hpp"
#include "support/scratch.hpp"

using namespace bearingdsp;

namespace {

constexpr double rate = 48000;
using Signal = std::vector<double>;

/// Broadband noise with the lines of a shaft, rms 1 or so.
Signal machine(double seconds, std::uint32_t seed = 1) {
  std::mt19937 random{seed};
  std::normal_distribution<double> gauss{0, 1};
  Signal x(static_cast<std::size_t>(seconds * rate));
  for (std::size_t i = 0; i < x.size(); ++i)
    x[i] = gauss(random) + std::sin(2 * std::numbers::pi * 24.7 * static_cast<double>(i) / rate);
  return x;
}
/// Ringing at 3 kHz that falls to 1/e in `decay` s, each `period` s.
void add_knocks(Signal& x, double period, double amplitude, double decay) {
  for (double at = 0.7; at < static_cast<double>(x.size()) / rate; at += period)
    for (auto i = static_cast<std::size_t>(at * rate); i < x.size(); ++i) {
      const double t = static_cast<double>(i) / rate - at;
      if (t > 12 * decay) break;
      x[i] += amplitude * std::exp(-t / decay) * std::sin(2 * std::numbers::pi * 3000 * t);
    }
}
/// The gain falls with the level within 5 ms and recovers within `release` s.
Signal automatic_gain(const Signal& x, double release, double target = 2) {
  Signal y(x.size());
  double level = 1;
  for (std::size_t i = 0; i < x.size(); ++i) {
    const double in = std::abs(x[i]);
    level += (in - level) / (rate * (in > level ? 0.005 : release));
    y[i] = x[i] * target / std::max(level, target);
  }
  return y;
}
/// Off where the level of 20 ms is below the threshold.
Signal gated(const Signal& x, double threshold) {
  Signal y(x.size());
  double level = threshold;
  double gain = 1;
  for (std::size_t i = 0; i < x.size(); ++i) {
    level += (std::abs(x[i]) - level) / (rate * 0.02);
    gain += ((level < threshold ? 0.0 : 1.0) - gain) / (rate * 0.002);
    y[i] = x[i] * gain + 1e-5 * std::sin(static_cast<double>(i));
  }
  return y;
}
Signal swelling(Signal x, double hz, double depth) {
  for (std::size_t i = 0; i < x.size(); ++i)
    x[i] *= 1 + depth * std::sin(2 * std::numbers::pi * hz * static_cast<double>(i) / rate);
  return x;
}
/// Butterworth low-pass several times over: 24 dB an octave for each pass.
Signal low_pass(Signal x, double hz, int passes) {
  const auto sections = butterworth({.order = 4, .high = Hz{hz}}, Hz{rate});
  REQUIRE(sections.has_value());
  for (int i = 0; i < passes; ++i) x = filter_forward(*sections, x);
  return x;
}

Findings look(const Signal& x, double fs = rate) {
  FftPlans plans;
  return capture_detail::look_for_processing({x, Hz{fs}, SampleUnit::acceleration}, plans);
}
bool only(const Findings& all, const std::string& words) {
  return all.size() == 1 && all.front().kind == FindingKind::processed &&
         all.front().what.find(words) != std::string::npos;
}
std::string words(const Findings& all) {
  std::string out;
  for (const Finding& f : all) out += f.what + "\n";
  return out;
}

}  // namespace

TEST_CASE("processed: a level that drops after knocks is an automatic gain [src:definition]") {
  for (const double release : {0.3, 0.6, 1.2}) {
    Signal x = machine(12);
    add_knocks(x, 1.7, 200, 0.01);
    INFO("release " << release << "\n" << words(look(automatic_gain(x, release))));
    CHECK(only(look(automatic_gain(x, release)), "automatic gain"));
  }
}

TEST_CASE(
    "processed: knocks alone, also slow ringing and slow impacts, are no gain [src:definition]") {
  for (const double decay : {0.003, 0.01, 0.04, 0.15})
    for (const double period : {0.11, 0.6, 1.7}) {
      Signal x = machine(12, 7);
      add_knocks(x, period, 60, decay);
      INFO("decay " << decay << " period " << period << "\n" << words(look(x)));
      CHECK(look(x).empty());
    }
  // A beat of two machines rises and falls without a knock.
  CHECK(look(swelling(machine(12), 0.8, 0.95)).empty());
}

TEST_CASE(
    "processed: a signal that is switched off is gated, one that fades is not [src:definition]") {
  const Signal x = swelling(machine(12), 1.1, 0.97);
  INFO(words(look(gated(x, 0.5))));
  CHECK(only(look(gated(x, 0.5)), "noise suppression"));
  CHECK(look(x).empty());
  CHECK(look(gated(x, 1e-4)).empty());  // never closes
  // Switched on, and off once: a machine that was started and stopped.
  Signal started(static_cast<std::size_t>(2 * rate), 1e-5);
  for (std::size_t i = 0; i < started.size(); ++i) started[i] *= i % 3 == 0 ? 1 : -1;
  const Signal running = machine(6);
  Signal visit = started;
  visit.insert(visit.end(), running.begin(), running.end());
  visit.insert(visit.end(), started.begin(), started.end());
  CHECK(look(visit).empty());
}

TEST_CASE("processed: a steep edge far below half the rate is a voice band [src:definition]") {
  const Signal x = machine(6);
  const auto narrow = look(low_pass(x, 3400, 12));
  INFO(words(narrow));
  REQUIRE(only(narrow, "steep edge"));
  CHECK(narrow.front().weight == Weight::caution);
  const auto wide = look(low_pass(x, 7000, 12));
  INFO(words(wide));
  REQUIRE(only(wide, "steep edge"));
  CHECK(wide.front().weight == Weight::note);
  CHECK(look(x).empty());
  // What a machine or a plain filter does: 24 and 48 dB an octave.
  CHECK(look(low_pass(x, 3400, 1)).empty());
  CHECK(look(low_pass(x, 3400, 2)).empty());
  // The filter of a converter.
  CHECK(look(low_pass(x, 20000, 12)).empty());
}

TEST_CASE("processed: short recordings and other quantities are not looked at [src:contract]") {
  CHECK(look(low_pass(machine(0.9), 3400, 12)).empty());
  const Signal x = low_pass(machine(3), 3400, 12);
  FftPlans plans;
  CHECK(capture_detail::look_for_processing({x, Hz{rate}, SampleUnit::velocity}, plans).empty());
  CHECK(look({}).empty());
}

TEST_CASE("processed: none of the recordings of the demo is [src:testdata/README.md]") {
  FftPlans plans;
  int files = 0;
  for (const auto& entry : std::filesystem::recursive_directory_iterator{TESTDATA_DIR}) {
    if (entry.path().extension() != ".wav") continue;
    const auto capture = read_capture(entry.path().string());
    REQUIRE(capture.has_value());
    ++files;
    for (std::size_t i = 0; i < capture->channels.size(); ++i) {
      const auto found = capture_detail::look_for_processing(capture->view(i), plans);
      CHECK_MESSAGE(found.empty(), entry.path().string() << ": " << words(found));
    }
  }
  CHECK(files >= 8);
}

TEST_CASE("open recordings: none was processed as speech is [src:datasets' manifest]") {
  const auto folder = test::datasets();
  if (!folder) return;
  const auto manifest = read_manifest((*folder / "manifest.csv").string());
  REQUIRE(manifest.has_value());
  FftPlans plans;
  int channels = 0;
  for (const LabelledRecord& record : manifest->records) {
    ReadOptions read;
    read.rate = record.rate;
    read.select = record.signal.select;
    read.time_column = record.signal.time_column;
    const auto capture = read_capture(record.path, read);
    REQUIRE_MESSAGE(capture.has_value(), record.path);
    for (std::size_t i = 0; i < capture->channels.size(); ++i) {
      ++channels;
      const auto found = capture_detail::look_for_processing(capture->view(i), plans);
      CHECK_MESSAGE(found.empty(), record.path << ": " << words(found));
    }
  }
  MESSAGE(channels << " channels");
  CHECK(channels >= 100);
}
