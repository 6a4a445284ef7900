// Several files as channels of one recording.
#include <doctest/doctest.h>

#include <cstddef>
#include <string>
#include <vector>

#include "bearingdsp/capture/together.hpp"
#include "bearingdsp/capture/write.hpp"
#include "support/scratch.hpp"
#include "support/vectors.hpp"

using namespace bearingdsp;

namespace {

std::string put(const test::Scratch& scratch, const std::string& name, std::size_t channels,
                std::size_t n, double rate) {
  Capture c;
  c.rate = Hz{rate};
  for (std::size_t k = 0; k < channels; ++k) {
    Channel channel;
    channel.name = "c";
    channel.unit = SampleUnit::acceleration;
    channel.samples = test::noise(n, name.size() + k);
    c.channels.push_back(channel);
  }
  const std::string path = scratch.path(name);
  REQUIRE(write_wav(c, path, {.samples = WavSamples::float32}));
  return path;
}

}  // namespace

TEST_CASE("files become channels, named after them, in the order given [src:contract]") {
  const test::Scratch scratch;
  const std::string a = put(scratch, "x.wav", 1, 1000, 8000);
  const std::string b = put(scratch, "long.y.wav", 2, 1000, 8000);
  const auto r = read_together({a, b}, {.units = {"g"}});
  REQUIRE_MESSAGE(r.has_value(), r.error().message());
  REQUIRE(r->channels.size() == 3);
  CHECK(r->channels[0].name == "x");
  CHECK(r->channels[1].name == "long.y: channel 1");
  CHECK(r->channels[2].name == "long.y: channel 2");
  CHECK(r->channels[2].unit == SampleUnit::acceleration);
  const auto alone = read_capture(b, {.units = {"g"}});
  REQUIRE(alone.has_value());
  CHECK(r->channels[2].samples == alone->channels[1].samples);
  const auto chosen = read_together({a, b}, {.select = {"3", "x"}});
  REQUIRE(chosen.has_value());
  REQUIRE(chosen->channels.size() == 2);
  CHECK(chosen->channels[0].name == "long.y: channel 2");
  CHECK(chosen->channels[1].name == "x");
}

TEST_CASE("files of different rate are refused, of different length cut [src:contract]") {
  const test::Scratch scratch;
  const std::string a = put(scratch, "x.wav", 1, 1000, 8000);
  const std::string slow = put(scratch, "slow.wav", 1, 1000, 4000);
  const auto differ = read_together({a, slow});
  REQUIRE_FALSE(differ.has_value());
  CHECK(differ.error().code == Errc::bad_argument);
  const std::string brief = put(scratch, "short.wav", 1, 900, 8000);
  const auto cut = read_together({a, brief});
  REQUIRE(cut.has_value());
  CHECK(cut->size() == 900);
  bool said = false;
  for (const Finding& f : cut->findings)
    said = said || (f.kind == FindingKind::truncated && f.what.find("900 to 1000") < 100);
  CHECK(said);
  CHECK_FALSE(read_together({a, scratch.path("none.wav")}).has_value());
  CHECK_FALSE(read_together({a, brief}, {.names = {"a", "b", "c"}}).has_value());
  CHECK(looks_like_recording("a/B.WAV"));
  CHECK(looks_like_recording("a.uff"));
  CHECK_FALSE(looks_like_recording("a.wav/b"));
  CHECK_FALSE(looks_like_recording("a.toml"));
}
