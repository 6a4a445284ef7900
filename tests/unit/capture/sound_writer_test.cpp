// What is written while it arrives: read back by the reader of the project, and by libsndfile.
#include "bearingdsp/capture/sound_writer.hpp"

#include <doctest/doctest.h>
#include <sndfile.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <cstdint>
#include <filesystem>
#include <stdexcept>
#include <string>
#include <vector>

#include "bearingdsp/capture/read.hpp"
#include "support/scratch.hpp"

using namespace bearingdsp;

namespace {

/// Whole numbers of 24 bits in the upper bits of 32.
std::vector<std::int32_t> samples(std::size_t n) {
  std::vector<std::int32_t> x;
  for (std::size_t i = 0; i < n; ++i)
    x.push_back(static_cast<std::int32_t>((static_cast<std::uint32_t>(i) * 2654435761U) & ~0xFFU));
  return x;
}
std::vector<std::int32_t> stored(const std::string& path, SF_INFO& info) {
  SNDFILE* file = sf_open(path.c_str(), SFM_READ, &info);
  if (file == nullptr) return {};
  std::vector<int> x(static_cast<std::size_t>(info.frames * info.channels));
  const auto n = sf_read_int(file, x.data(), static_cast<sf_count_t>(x.size()));
  sf_close(file);
  x.resize(static_cast<std::size_t>(n));
  return {x.begin(), x.end()};
}

}  // namespace

TEST_CASE("sound writer: every sample of 24 bits comes back, as WAV and as FLAC [src:contract]") {
  const test::Scratch s;
  const auto x = samples(3 * 10000);
  auto wav = WholeFile::start(s.path("a.wav"));
  REQUIRE(wav.has_value());
  auto writer = SoundWriter::start(*wav, {3, Hz{25600}});
  REQUIRE(writer.has_value());
  const std::span<const std::int32_t> all{x};
  REQUIRE(writer->write(all.first(3 * 7001)));
  // Readable at any moment.
  SF_INFO info{};
  CHECK(stored(wav->temporary(), info).size() == std::size_t{3 * 7001});
  REQUIRE(writer->write(all.subspan(3 * 7001)));
  CHECK(writer->frames() == 10000);
  REQUIRE(writer->finish());
  auto flac = WholeFile::start(s.path("a.flac"));
  REQUIRE(flac.has_value());
  REQUIRE(write_flac(*wav, *flac));
  REQUIRE(flac->commit());
  REQUIRE(wav->commit());
  for (const char* name : {"a.wav", "a.flac"}) {
    info = {};
    CHECK(stored(s.path(name), info) == x);
    CHECK(info.samplerate == 25600);
    CHECK(info.channels == 3);
    const auto capture = read_capture(s.path(name));
    REQUIRE(capture.has_value());
    CHECK(capture->size() == 10000);
    CHECK(capture->channels[1].samples[5] == x[3 * 5 + 1] / 2147483648.0);
  }
}

TEST_CASE("sound writer: what a full disk left is whole frames and readable [src:contract]") {
  const test::Scratch s;
  const std::string path = s.path("a.wav");
  const pid_t child = ::fork();
  if (child == 0) {
    // A limit of the file size stands for the disk.
    std::signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{100001, 100001};
    ::setrlimit(RLIMIT_FSIZE, &limit);
    auto wav = WholeFile::start(path);
    auto writer = SoundWriter::start(*wav, {2, Hz{48000}});
    bool failed = false;
    for (int i = 0; i < 20 && !failed; ++i) failed = !writer->write(samples(2 * 4000));
    const bool closed = writer->finish().has_value();
    const bool moved = wav->commit().has_value();
    ::_exit(failed && closed && moved && writer->frames() > 16000 ? 0 : 1);
  }
  int status = 0;
  REQUIRE(::waitpid(child, &status, 0) == child);
  CHECK(status == 0);
  SF_INFO info{};
  const auto x = stored(path, info);
  REQUIRE(x.size() > 2 * 16000);
  CHECK(x.size() == static_cast<std::size_t>(2 * info.frames));
  const auto once = samples(2 * 4000);
  for (std::size_t i = 0; i < x.size(); ++i) REQUIRE(x[i] == once[i % once.size()]);
  const auto capture = read_capture(path);
  REQUIRE(capture.has_value());
  CHECK(capture->size() == static_cast<std::size_t>(info.frames));
  CHECK(capture->findings.size() <= 1);  // that there is no unit
}

TEST_CASE("sound writer: shapes that no file can hold are refused [src:contract]") {
  const test::Scratch s;
  auto wav = WholeFile::start(s.path("a.wav"));
  REQUIRE(wav.has_value());
  for (const SoundShape shape : {SoundShape{0, Hz{48000}}, SoundShape{1025, Hz{48000}},
                                 SoundShape{1, Hz{44100.5}}, SoundShape{1, Hz{0}}}) {
    const auto refused = SoundWriter::start(*wav, shape);
    REQUIRE_FALSE(refused.has_value());
    CHECK(refused.error().code == Errc::bad_argument);
  }
  auto writer = SoundWriter::start(*wav, {9, Hz{48000}});
  REQUIRE(writer.has_value());
  CHECK_THROWS_AS((void)writer->write(samples(10)), std::invalid_argument);
  REQUIRE(writer->write(samples(90)));
  REQUIRE(writer->finish());
  auto flac = WholeFile::start(s.path("a.flac"));
  REQUIRE(flac.has_value());
  const auto refused = write_flac(*wav, *flac);  // eight channels at most
  REQUIRE_FALSE(refused.has_value());
  CHECK(refused.error().code == Errc::bad_argument);
}
