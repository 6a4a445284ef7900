// Recordings in pieces hold what they hold as a whole.
#include "bearingdsp/capture/pieces.hpp"

#include <doctest/doctest.h>
#include <sys/stat.h>
#include <zlib.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/capture/write.hpp"
#include "support/close.hpp"
#include "support/scratch.hpp"

using namespace bearingdsp;

namespace {

Capture made(std::size_t n, std::size_t channels = 2) {
  Capture c;
  c.source = "memory";
  c.rate = Hz{8000};
  for (std::size_t k = 0; k < channels; ++k) {
    Channel ch{std::string(1, static_cast<char>('x' + k)), SampleUnit::acceleration, {}, {}};
    for (std::size_t i = 0; i < n; ++i)
      ch.samples.push_back(0.7 * std::sin(0.1 * static_cast<double>(i * (k + 1))));
    c.channels.push_back(ch);
  }
  return c;
}

std::string bytes_of(const std::string& path) {
  std::ifstream in{path, std::ios::binary};
  return {std::istreambuf_iterator<char>{in}, std::istreambuf_iterator<char>{}};
}

struct Joined {
  std::vector<std::vector<double>> samples;
  std::vector<std::size_t> sizes;
  Findings findings;
  std::vector<Error> errors;
};

Joined join(PieceReader& reader, std::size_t at_once) {
  Joined out;
  for (int calls = 0; calls < 10000; ++calls) {
    auto piece = reader.next(at_once);
    if (!piece) {
      out.errors.push_back(piece.error());
      continue;
    }
    if (!*piece) return out;
    out.samples.resize((*piece)->channels.size());
    for (std::size_t c = 0; c < out.samples.size(); ++c) {
      const auto& x = (*piece)->channels[c].samples;
      out.samples[c].insert(out.samples[c].end(), x.begin(), x.end());
    }
    out.sizes.push_back((*piece)->size());
    for (const Finding& f : (*piece)->findings) out.findings.push_back(f);
  }
  FAIL("the pieces do not end");
  return out;
}

std::unique_ptr<PieceReader> opened(const std::string& path, const ReadOptions& options = {}) {
  auto reader = open_pieces(path, options);
  if (!reader) throw BadResult{reader.error()};
  return std::move(reader).value();
}

void same_as_whole(const std::string& path, const ReadOptions& options = {}) {
  CAPTURE(path);
  const auto whole = read_capture(path, options);
  REQUIRE(whole);
  for (const std::size_t at_once : {std::size_t{64}, std::size_t{1000}, std::size_t{1u << 20u}}) {
    const auto reader = opened(path, options);
    CHECK(reader->channels() == whole->channels.size());
    const Joined pieces = join(*reader, at_once);
    CHECK(pieces.errors.empty());
    REQUIRE(pieces.samples.size() == whole->channels.size());
    for (std::size_t c = 0; c < pieces.samples.size(); ++c)
      CHECK(pieces.samples[c] == whole->channels[c].samples);
    for (std::size_t i = 0; i + 1 < pieces.sizes.size(); ++i) CHECK(pieces.sizes[i] == at_once);
  }
}

}  // namespace

TEST_CASE("pieces: WAV of one and two channels, whole or chosen, scaled") {
  const test::Scratch scratch;
  for (const std::size_t channels : {std::size_t{1}, std::size_t{2}}) {
    const std::string path = scratch.path("a.wav");
    REQUIRE(write_wav(made(5000, channels), path));
    same_as_whole(path, {.units = {"g"}});
    CHECK(opened(path)->expected() == 5000);
    CHECK(opened(path)->rate() == Hz{8000});
  }
  same_as_whole(scratch.path("a.wav"), {.select = {"2"}});
}

TEST_CASE("pieces: text with a header, other signs, UTF-16 and packed") {
  const test::Scratch scratch;
  const Capture c = made(5000);
  REQUIRE(write_csv(c, scratch.path("a.csv")));
  same_as_whole(scratch.path("a.csv"));
  REQUIRE(write_csv(c, scratch.path("b.csv"), {.delimiter = ';', .decimal = ','}));
  same_as_whole(scratch.path("b.csv"));
  // Within two per cent, from the first rows.
  CHECK(
      test::close_rel(static_cast<double>(opened(scratch.path("a.csv"))->expected()), 5000, 0.02));
  const std::string text = bytes_of(scratch.path("a.csv"));
  gzFile packed = gzopen(scratch.path("a.csv.gz").c_str(), "wb");
  REQUIRE(gzwrite(packed, text.data(), static_cast<unsigned>(text.size())) > 0);
  gzclose(packed);
  same_as_whole(scratch.path("a.csv.gz"));
  std::string wide{"\xff\xfe"};
  for (const char ch : text) wide += std::string{ch, '\0'};
  same_as_whole(scratch.file("wide.csv", wide));
  same_as_whole(scratch.file("bom.csv", "\xef\xbb\xbf" + text));
}

TEST_CASE("pieces: what is wrong in one is said with the line of the file, and the rest goes on") {
  const test::Scratch scratch;
  std::string text = "t,x\n";
  for (int i = 0; i < 1000; ++i)
    text += std::to_string(i) + "e-3," +
            (i == 250              ? "nan"
             : i >= 400 && i < 450 ? "?"
                                   : std::to_string(i % 7)) +
            "\n";
  const auto reader = opened(scratch.file("a.csv", text));
  const Joined pieces = join(*reader, 100);
  // 1 of 100 is filled in; 50 of 100 spoil their piece and no other.
  REQUIRE(pieces.errors.size() == 1);
  CHECK(pieces.errors[0].where.find("a.csv:402") != std::string::npos);
  CHECK(pieces.sizes.size() == 9);
  bool found = false;
  for (const Finding& f : pieces.findings)
    found =
        found || (f.kind == FindingKind::repaired && f.what.find("a.csv:252") != std::string::npos);
  CHECK(found);
}

TEST_CASE("pieces: a file that is cut off says so in its last piece, and ends") {
  const test::Scratch scratch;
  REQUIRE(write_wav(made(5000, 1), scratch.path("a.wav")));
  const std::string bytes = bytes_of(scratch.path("a.wav"));
  const std::string cut = scratch.file("cut.wav", bytes.substr(0, bytes.size() - 2000));
  same_as_whole(cut);
  const Joined pieces = join(*opened(cut), 1000);
  REQUIRE(pieces.findings.size() == 1);
  CHECK(pieces.findings[0].kind == FindingKind::truncated);

  REQUIRE(write_csv(made(5000), scratch.path("a.csv")));
  const std::string text = bytes_of(scratch.path("a.csv"));
  const Joined rows =
      join(*opened(scratch.file("cut.csv", text.substr(0, text.size() - 30))), 1000);
  REQUIRE_FALSE(rows.findings.empty());
  CHECK(rows.findings.back().kind == FindingKind::truncated);
}

TEST_CASE("pieces: more rows than may be asked for is an error, once") {
  const test::Scratch scratch;
  REQUIRE(write_csv(made(500, 1), scratch.path("a.csv")));
  ReadOptions options;
  options.max_samples = 500;
  CHECK(join(*opened(scratch.path("a.csv"), options), 300).errors.empty());
  options.max_samples = 499;
  const Joined over = join(*opened(scratch.path("a.csv"), options), 300);
  REQUIRE(over.errors.size() == 1);
  CHECK(over.errors[0].what.find("more than 499 rows") != std::string::npos);
}

TEST_CASE("pieces: only long regular files of audio and text are opened") {
  const test::Scratch scratch;
  REQUIRE(write_wav(made(200000, 1), scratch.path("a.wav")));
  CHECK(open_if_long(scratch.path("a.wav"), {}, 199999) != nullptr);
  CHECK(open_if_long(scratch.path("a.wav"), {}, 200000) == nullptr);
  CHECK(open_if_long(scratch.path("a.wav")) == nullptr);
  CHECK(open_if_long(scratch.path("none.wav"), {}, 1) == nullptr);
  CHECK(open_if_long("/dev/zero", {}, 1) == nullptr);
  REQUIRE(mkfifo(scratch.path("pipe").c_str(), 0600) == 0);
  CHECK(open_if_long(scratch.path("pipe"), {}, 1) == nullptr);
}

TEST_CASE(
    "pieces: some spread over a long recording, as long as one another, and it says so "
    "[src:closed-form places of k of n pieces]") {
  for (const std::size_t n : {1U, 7U, 8U, 100U})
    for (const std::size_t k : {1U, 2U, 4U}) {
      std::size_t count = 0;
      for (std::size_t i = 0; i < n; ++i) count += spread_evenly(i, n, k) ? 1U : 0U;
      CHECK(count == std::min(n, k));
    }
  const test::Scratch scratch;
  const std::string path = scratch.path("long.csv");
  const Capture whole = made(20500, 1);
  REQUIRE(write_csv(whole, path));
  auto reader = open_pieces(path);
  REQUIRE(reader);
  const auto pieces = spread_pieces(**reader, 4, 4 * 1024);
  REQUIRE(pieces);
  REQUIRE(pieces->size() == 4);
  // Of 21 pieces the last is short: 0, 6, 11 and 16 are a quarter of them apart.
  const std::array<std::size_t, 4> starts{0, 6, 11, 16};
  for (std::size_t p = 0; p < 4; ++p) {
    const auto& x = (*pieces)[p].channels[0].samples;
    REQUIRE(x.size() == 1024);
    CHECK(x[0] == whole.channels[0].samples[1024 * starts[p]]);
  }
  CHECK(pieces->front().findings.back().kind == FindingKind::long_recording);
}
