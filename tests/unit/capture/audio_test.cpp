// Audio files: every coding that libsndfile writes losslessly, and damaged ones.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <limits>
#include <thread>

#include <doctest/doctest.h>
#include <sndfile.h>

#include "bearingdsp/capture/contents.hpp"
#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/capture/write.hpp"
#include "support/close.hpp"
#include "support/scratch.hpp"

namespace {

using namespace bearingdsp;

std::vector<double> sine(std::size_t n, double step) {
  std::vector<double> x(n);
  for (std::size_t i = 0; i < n; ++i) x[i] = 0.8 * std::sin(step * static_cast<double>(i));
  return x;
}
/// Planar channels to an audio file by libsndfile.
void write(const std::string& path, int format, int rate,
           const std::vector<std::vector<double>>& channels) {
  SF_INFO info{};
  info.samplerate = rate;
  info.channels = static_cast<int>(channels.size());
  info.format = format;
  SNDFILE* f = sf_open(path.c_str(), SFM_WRITE, &info);
  REQUIRE_MESSAGE(f != nullptr, sf_strerror(nullptr));
  std::vector<double> mixed;
  for (std::size_t i = 0; i < channels[0].size(); ++i) {
    for (const auto& c : channels) mixed.push_back(c[i]);
  }
  const auto n = static_cast<sf_count_t>(channels[0].size());
  REQUIRE(sf_writef_double(f, mixed.data(), n) == n);
  sf_close(f);
}
std::string bytes_of(const std::string& path) {
  std::ifstream in{path, std::ios::binary};
  return {std::istreambuf_iterator<char>{in}, std::istreambuf_iterator<char>{}};
}
Result<Capture> parse(std::string_view bytes, const ReadOptions& options = {}) {
  return read_capture_bytes(std::as_bytes(std::span{bytes}), "a.wav", options);
}
void refused(const Result<Capture>& r, Errc code, std::string_view what) {
  REQUIRE_FALSE(r.has_value());
  INFO(r.error().message());
  CHECK(token(r.error().code) == token(code));
  CHECK(r.error().what.find(what) != std::string::npos);
  CHECK_FALSE(r.error().advice.empty());
  CHECK(r.error().message().find('\n') == std::string::npos);
}

}  // namespace

TEST_CASE("every coding comes back within its own step [src:2^-(bits-1), float 2^-24]") {
  struct Coding {
    int format;
    const char* label;
    double step;
    bool fractions;
  };
  const test::Scratch scratch;
  for (const Coding& k : {Coding{SF_FORMAT_WAV | SF_FORMAT_PCM_U8, "WAV PCM 8", 0x1p-7, true},
                          {SF_FORMAT_WAV | SF_FORMAT_PCM_16, "WAV PCM 16", 0x1p-15, true},
                          {SF_FORMAT_WAV | SF_FORMAT_PCM_24, "WAV PCM 24", 0x1p-23, true},
                          {SF_FORMAT_WAV | SF_FORMAT_PCM_32, "WAV PCM 32", 0x1p-31, true},
                          {SF_FORMAT_WAV | SF_FORMAT_FLOAT, "WAV float 32", 0x1p-24, false},
                          {SF_FORMAT_WAV | SF_FORMAT_DOUBLE, "WAV float 64", 0, false},
                          {SF_FORMAT_WAVEX | SF_FORMAT_PCM_24, "WAV PCM 24", 0x1p-23, true},
                          {SF_FORMAT_RF64 | SF_FORMAT_PCM_24, "RF64 PCM 24", 0x1p-23, true},
                          {SF_FORMAT_W64 | SF_FORMAT_FLOAT, "W64 float 32", 0x1p-24, false},
                          {SF_FORMAT_AIFF | SF_FORMAT_PCM_16, "AIFF PCM 16", 0x1p-15, true},
                          {SF_FORMAT_FLAC | SF_FORMAT_PCM_24, "FLAC PCM 24", 0x1p-23, true},
                          {SF_FORMAT_AU | SF_FORMAT_PCM_32, "AU PCM 32", 0x1p-31, true},
                          {SF_FORMAT_CAF | SF_FORMAT_DOUBLE, "CAF float 64", 0, false}}) {
    CAPTURE(k.label);
    const std::vector<std::vector<double>> channels{sine(5000, 0.01), sine(5000, 0.37)};
    const std::string path = scratch.path("recording");  // no extension: the content decides
    write(path, k.format, 51200, channels);
    auto r = read_capture(path);
    REQUIRE_MESSAGE(r.has_value(), (r ? std::string{} : r.error().message()));
    CHECK(r->format == k.label);
    CHECK(r->rate == Hz{51200});
    REQUIRE(r->channels.size() == 2);
    REQUIRE(r->size() == 5000);
    CHECK(r->findings.empty());
    CHECK(r->channels[0].unit == SampleUnit::uncalibrated);
    CHECK(r->channels[0].full_scale.has_value() == k.fractions);
    double worst = 0;
    for (std::size_t c = 0; c < 2; ++c) {
      for (std::size_t i = 0; i < 5000; ++i) {
        worst = std::max(worst, std::abs(r->channels[c].samples[i] - channels[c][i]));
      }
    }
    CHECK(worst <= 1.5 * k.step);
  }
}

TEST_CASE("fractions become acceleration by full scale and sensitivity [src:1 g = 9.80665 m/s2]") {
  const test::Scratch scratch;
  const std::string path = scratch.path("a.wav");
  write(path, SF_FORMAT_WAV | SF_FORMAT_PCM_16, 8000, {{0.5, -0.25, 0.125}, {0.5, 0, 0}});
  auto g = read_capture(path, {.units = {"g"}, .full_scale = 50});
  REQUIRE(g.has_value());
  CHECK(g->channels[0].unit == SampleUnit::acceleration);
  CHECK(test::close_rel(g->channels[0].samples[0], 25 * 9.80665, 1e-14));
  CHECK(test::close_rel(g->channels[0].full_scale.value(), 50 * 9.80665, 1e-14));
  // 10 V full scale at 100 mV/g is 100 g; 200 mV/g on the second channel.
  auto v = read_capture(path, {.sensitivity_mv_per_g = {100, 200}, .full_scale = 10});
  REQUIRE(v.has_value());
  CHECK(test::close_rel(v->channels[0].samples[0], 50 * 9.80665, 1e-14));
  CHECK(test::close_rel(v->channels[1].samples[0], 25 * 9.80665, 1e-14));
  CHECK(test::close_rel(v->channels[1].full_scale.value(), 50 * 9.80665, 1e-14));
  // Without full scale neither a unit nor a sensitivity calibrates fractions: read as they are.
  for (const ReadOptions& half :
       {ReadOptions{.units = {"g"}}, ReadOptions{.sensitivity_mv_per_g = {100}}}) {
    auto raw = read_capture(path, half);
    REQUIRE(raw.has_value());
    CHECK(raw->channels[0].unit == SampleUnit::uncalibrated);
    CHECK(raw->channels[0].samples[0] == 0.5);
    CHECK(raw->channels[0].full_scale == 1.0);
  }
  refused(read_capture(path, {.full_scale = 10}), Errc::missing_metadata, "without its unit");
  auto one = read_capture(path, {.select = {"2"}, .names = {"axial"}});
  REQUIRE(one.has_value());
  CHECK(one->channels.size() == 1);
  CHECK(one->channels[0].name == "axial");
  refused(read_capture(path, {.select = {"3"}}), Errc::not_found, "no channel 3");
}

TEST_CASE("sound packed with loss is fractions of full scale, and said [src:contract]") {
  const test::Scratch scratch;
  const std::vector<double> x = sine(44100, 0.1);
  for (const int format :
       {SF_FORMAT_OGG | SF_FORMAT_VORBIS, SF_FORMAT_MPEG | SF_FORMAT_MPEG_LAYER_III}) {
    const std::string path =
        scratch.path(format == (SF_FORMAT_OGG | SF_FORMAT_VORBIS) ? "a.ogg" : "a.mp3");
    write(path, format, 44100, {x});
    CAPTURE(path);
    const auto bare = read_capture(path);
    REQUIRE_MESSAGE(bare.has_value(), bare.error().message());
    REQUIRE(bare->findings.size() == 1);
    CHECK(bare->findings[0].kind == FindingKind::coarse_resolution);
    CHECK(bare->findings[0].weight == Weight::caution);
    // 0.8 of full scale at 20 m/s2, as near as the packing leaves it.
    const auto scaled = read_capture(path, {.units = {"m/s2"}, .full_scale = 20});
    REQUIRE(scaled.has_value());
    double peak = 0;
    for (std::size_t i = 10000; i < 30000; ++i)
      peak = std::max(peak, scaled->channels[0].samples[i]);
    CHECK(test::close_rel(peak, 16, 0.05));
    const auto unit_alone = read_capture(path, {.units = {"m/s2"}});
    REQUIRE(unit_alone.has_value());
    CHECK(unit_alone->channels[0].unit == SampleUnit::uncalibrated);
  }
}

TEST_CASE("a cut WAV is read to its end, with a finding [src:bytes cut by hand]") {
  const test::Scratch scratch;
  const std::string path = scratch.path("a.wav");
  write(path, SF_FORMAT_WAV | SF_FORMAT_PCM_16, 8000, {sine(4000, 0.1)});
  const std::string whole = bytes_of(path);
  auto cut = parse(std::string_view{whole}.substr(0, whole.size() - 2000));
  REQUIRE(cut.has_value());
  CHECK(cut->size() == 3000);
  REQUIRE(cut->findings.size() == 1);
  CHECK(cut->findings[0].kind == FindingKind::truncated);
  CHECK(cut->findings[0].what.find("8000 bytes") != std::string::npos);
  // A recorder stopped hard leaves the length open.
  std::string open = whole;
  const std::size_t data = open.find("data");
  std::memset(open.data() + data + 4, 0xff, 4);
  auto unfinished = parse(open);
  REQUIRE_MESSAGE(unfinished.has_value(),
                  (unfinished ? std::string{} : unfinished.error().message()));
  CHECK(unfinished->size() == 4000);
  CHECK(unfinished->findings.at(0).kind == FindingKind::header_mismatch);
}

TEST_CASE("lying and broken headers are refused or survived [src:bytes set by hand]") {
  const test::Scratch scratch;
  const std::string path = scratch.path("a.wav");
  write(path, SF_FORMAT_WAV | SF_FORMAT_PCM_16, 8000, {sine(400, 0.1)});
  const std::string whole = bytes_of(path);
  const auto with = [&](std::size_t at, std::initializer_list<int> values) {
    std::string s = whole;
    for (const int v : values) s[at++] = static_cast<char>(v);
    return s;
  };
  // Bytes 22-23: channels; 24-27: rate.
  refused(parse(with(22, {0xff, 0xff})), Errc::corrupt_file, "not readable as audio");
  refused(parse(with(22, {0, 0})), Errc::corrupt_file, "not readable as audio");
  refused(parse(std::string_view{whole}.substr(0, 20)), Errc::corrupt_file,
          "not readable as audio");
  refused(parse(std::string_view{whole}.substr(0, 44)), Errc::too_short, "no samples");
  const auto still = parse(with(24, {0, 0, 0, 0}));
  REQUIRE_FALSE(still.has_value());
  CHECK(still.error().message().find('\n') == std::string::npos);
  refused(parse(whole, {.max_samples = 100}), Errc::bad_argument, "more than 100 samples");
}

TEST_CASE("values that are no numbers in a float WAV are filled or refused [src:interpolation]") {
  const test::Scratch scratch;
  std::vector<double> x = sine(1000, 0.1);
  x[500] = std::numeric_limits<double>::quiet_NaN();
  const std::string path = scratch.path("a.wav");
  write(path, SF_FORMAT_WAV | SF_FORMAT_DOUBLE, 8000, {x});
  auto r = read_capture(path);
  REQUIRE(r.has_value());
  CHECK(test::close_rel(r->channels[0].samples[500], (x[499] + x[501]) / 2, 1e-14));
  CHECK(r->findings.at(0).kind == FindingKind::repaired);
  for (std::size_t i = 0; i < 50; ++i) x[i] = std::numeric_limits<double>::infinity();
  write(path, SF_FORMAT_WAV | SF_FORMAT_DOUBLE, 8000, {x});
  refused(read_capture(path), Errc::corrupt_file, "51 of 1000 samples are missing");
}

TEST_CASE("paths that are no recordings are refused plainly [src:contract]") {
  const test::Scratch scratch;
  refused(read_capture(scratch.path("absent.wav")), Errc::io, "cannot open");
  refused(read_capture(scratch.path(".")), Errc::io, "is a directory");
  refused(read_capture(scratch.file("empty.wav", "")), Errc::too_short, "is empty");
  refused(read_capture(scratch.file("zeros.wav", std::string(64, '\0'))), Errc::corrupt_file,
          "not readable as audio");
}

TEST_CASE("many channels are read planar [src:channel k holds k]") {
  const test::Scratch scratch;
  std::vector<std::vector<double>> channels;
  for (int c = 0; c < 64; ++c) channels.emplace_back(300, c / 128.0);
  const std::string path = scratch.path("a.w64");
  write(path, SF_FORMAT_W64 | SF_FORMAT_DOUBLE, 1000, channels);
  auto r = read_capture(path);
  REQUIRE(r.has_value());
  REQUIRE(r->channels.size() == 64);
  for (std::size_t c = 0; c < 64; ++c) CHECK(r->channels[c].samples == channels[c]);
  auto listed = list_contents(path);
  REQUIRE(listed.has_value());
  CHECK(listed->items.size() == 64);
  CHECK(listed->items[63].dims == std::vector<std::uint64_t>{300});
  CHECK(listed->rate.value() == Hz{1000});
}

TEST_CASE("threads that read broken files each get the reason of their own [src:contract]") {
  const std::string wav{"RIFF\x10\0\0\0WAVEjunkjunkjunk", 24};
  const std::string aiff{
      "FORM\0\0\0\x10"
      "AIFFjunkjunkjunk",
      24};
  const auto reason = [](const std::string& bytes) {
    const std::string name = bytes.substr(0, 4) == "RIFF" ? "a.wav" : "b.aiff";
    const auto r = read_capture_bytes(std::as_bytes(std::span{bytes}), name, {});
    return r ? std::string{} : r.error().message();
  };
  const std::string of_wav = reason(wav);
  const std::string of_aiff = reason(aiff);
  REQUIRE(of_wav.find("a.wav") != std::string::npos);
  REQUIRE(of_aiff.find("b.aiff") != std::string::npos);
  std::array<int, 2> wrong{};
  const auto repeat = [&](const std::string& bytes, const std::string& right, int& count) {
    for (int i = 0; i < 100'000; ++i) count += reason(bytes) != right ? 1 : 0;
  };
  std::thread other{[&] { repeat(aiff, of_aiff, wrong[1]); }};
  repeat(wav, of_wav, wrong[0]);
  other.join();
  CHECK(wrong[0] == 0);
  CHECK(wrong[1] == 0);
}

TEST_CASE("a refused or failed write leaves no file and keeps the old one [src:contract]") {
  const test::Scratch scratch;
  Capture c;
  c.rate = Hz{1000.5};
  c.channels = {{"x", SampleUnit::acceleration, {1, 2, 3}, {}}};
  const std::string path = scratch.file("a.wav", "old");
  CHECK_FALSE(write_wav(c, path).has_value());
  CHECK(bytes_of(path) == "old");
  c.rate = Hz{1000};
  CHECK_FALSE(write_wav(c, scratch.path("no/such/folder/a.wav")).has_value());
  CHECK_FALSE(write_csv(c, scratch.path("no/such/folder/a.csv")).has_value());
  CHECK_FALSE(write_csv(c, path, {.delimiter = ',', .decimal = ','}).has_value());
  CHECK_FALSE(write_wav(Capture{}, path).has_value());
  CHECK(bytes_of(path) == "old");
  REQUIRE(write_wav(c, path));
  REQUIRE(write_wav(c, scratch.path("b.wav")));
  CHECK(bytes_of(path) == bytes_of(scratch.path("b.wav")));
  std::size_t files = 0;
  for ([[maybe_unused]] const auto& e : std::filesystem::directory_iterator{scratch.path(".")})
    ++files;
  CHECK(files == 2);
  auto back = read_capture(path, {.units = {"m/s2"}});
  REQUIRE(back.has_value());
  CHECK(back->channels[0].samples == std::vector<double>{1, 2, 3});
}

TEST_CASE("audio of several blocks: every sample, and the one that is not a number [src:written]") {
  const test::Scratch scratch;
  for (const std::size_t channels : {std::size_t{1}, std::size_t{3}}) {
    CAPTURE(channels);
    std::vector<std::vector<double>> x;
    for (std::size_t c = 0; c < channels; ++c)
      x.push_back(sine(20001, 0.01 * static_cast<double>(c + 1)));
    const std::string path = scratch.path("a.wav");
    write(path, SF_FORMAT_WAV | SF_FORMAT_DOUBLE, 8000, x);
    auto r = read_capture(path);
    REQUIRE(r.has_value());
    REQUIRE(r->channels.size() == channels);
    for (std::size_t c = 0; c < channels; ++c) CHECK(r->channels[c].samples == x[c]);
    CHECK(r->findings.empty());
    // In the last block of all.
    x[channels - 1][19000] = std::numeric_limits<double>::quiet_NaN();
    write(path, SF_FORMAT_WAV | SF_FORMAT_DOUBLE, 8000, x);
    r = read_capture(path);
    REQUIRE(r.has_value());
    const std::vector<double>& y = r->channels[channels - 1].samples;
    CHECK(test::close_abs(y[19000], 0.5 * (y[18999] + y[19001]), 1e-15));
    REQUIRE(r->findings.size() == 1);
    CHECK(r->findings[0].kind == FindingKind::repaired);
  }
}
