#include "bearingdsp/capture/read.hpp"

#include <cmath>

#include <doctest/doctest.h>

#include "bearingdsp/capture/write.hpp"
#include "support/close.hpp"
#include "support/scratch.hpp"

namespace {

using namespace bearingdsp;

Capture made(std::size_t n, std::size_t channels = 2, double rate = 8000) {
  Capture c;
  c.source = "memory";
  c.rate = Hz{rate};
  for (std::size_t k = 0; k < channels; ++k) {
    Channel ch;
    ch.name = std::string(1, static_cast<char>('x' + k));
    ch.unit = SampleUnit::acceleration;
    for (std::size_t i = 0; i < n; ++i) {
      ch.samples.push_back(0.7 * std::sin(0.1 * static_cast<double>(i * (k + 1))));
    }
    c.channels.push_back(ch);
  }
  return c;
}

}  // namespace

TEST_CASE("a CSV written is read back bit for bit [src:shortest round-trip digits]") {
  const test::Scratch scratch;
  const Capture c = made(500);
  for (const auto& [delimiter, decimal] :
       {std::pair{',', '.'}, {';', ','}, {';', '.'}, {'\t', ','}}) {
    const std::string path = scratch.path("a.csv");
    REQUIRE(write_csv(c, path, {.delimiter = delimiter, .decimal = decimal}));
    auto r = read_capture(path);
    REQUIRE_MESSAGE(r.has_value(), (r ? std::string{} : r.error().message()));
    CHECK(r->rate == Hz{8000});
    REQUIRE(r->channels.size() == 2);
    CHECK(r->channels[0].name == "x");
    CHECK(r->channels[1].unit == SampleUnit::acceleration);
    CHECK(r->channels[0].samples == c.channels[0].samples);
    CHECK(r->channels[1].samples == c.channels[1].samples);
    CHECK(r->findings.empty());
  }
}

TEST_CASE("float WAV scaled by a full scale says so, it may hold values already") {
  const test::Scratch scratch;
  const std::string path = scratch.path("a.wav");
  REQUIRE(write_wav(made(3000, 1), path, {.samples = WavSamples::float32}));
  const auto plain = read_capture(path, {.units = {"m/s2"}});
  REQUIRE(plain.has_value());
  CHECK(plain->findings.empty());
  const auto scaled = read_capture(path, {.units = {"m/s2"}, .full_scale = 128.0});
  REQUIRE(scaled.has_value());
  REQUIRE(scaled->findings.size() == 1);
  CHECK(scaled->findings.front().kind == FindingKind::header_mismatch);
  CHECK(scaled->findings.front().weight == Weight::note);
  CHECK(scaled->findings.front().what.find("128") != std::string::npos);
  CHECK(scaled->channels[0].samples[7] == 128 * plain->channels[0].samples[7]);
  const auto same = read_capture(path, {.units = {"m/s2"}, .full_scale = 1.0});
  REQUIRE(same.has_value());
  CHECK(same->findings.empty());
}

TEST_CASE(
    "PCM WAV comes back within half a step of its full scale [src:rounding to 2^-15, 2^-23]") {
  const test::Scratch scratch;
  const Capture c = made(3000, 3);
  for (const auto& [kind, bits] : {std::pair{WavSamples::pcm16, 15}, {WavSamples::pcm24, 23}}) {
    const std::string path = scratch.path("a.wav");
    REQUIRE(write_wav(c, path, {.samples = kind, .full_scale = 2.0}));
    auto r = read_capture(path, {.units = {"m/s2"}, .full_scale = 2.0});
    REQUIRE_MESSAGE(r.has_value(), (r ? std::string{} : r.error().message()));
    CHECK(r->rate == Hz{8000});
    REQUIRE(r->channels.size() == 3);
    CHECK(r->channels[2].unit == SampleUnit::acceleration);
    REQUIRE(r->channels[2].full_scale);
    CHECK(*r->channels[2].full_scale == 2.0);
    double worst = 0;
    for (std::size_t i = 0; i < c.size(); ++i) {
      worst = std::max(worst, std::abs(r->channels[2].samples[i] - c.channels[2].samples[i]));
    }
    // Rounded to nearest; full scale itself is one step less, so a step of slack in the scale.
    CHECK(worst <= 2.0 * std::ldexp(1.0, -bits) * 1.5);
    CHECK(worst > 0);
  }
}
