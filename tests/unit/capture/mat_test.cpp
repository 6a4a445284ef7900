// MAT v4, v5 (plain and packed) and v7.3, made here by matio; and recordings of open sets.
#include <matio.h>
#include <algorithm>

#include <cmath>
#include <numeric>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "bearingdsp/capture/contents.hpp"
#include "bearingdsp/capture/read.hpp"
#include "support/close.hpp"
#include "support/scratch.hpp"

namespace {

using namespace bearingdsp;

struct Version {
  mat_ft type;
  matio_compression packing;
  const char* label;
};
constexpr Version versions[] = {{MAT_FT_MAT4, MAT_COMPRESSION_NONE, "MAT v4"},
                                {MAT_FT_MAT5, MAT_COMPRESSION_NONE, "MAT v5"},
                                {MAT_FT_MAT5, MAT_COMPRESSION_ZLIB, "MAT v5"},
                                {MAT_FT_MAT73, MAT_COMPRESSION_NONE, "MAT v7.3"},
                                {MAT_FT_MAT73, MAT_COMPRESSION_ZLIB, "MAT v7.3"}};

class Manufacturer {
 public:
  Manufacturer(const std::string& path, const Version& v)
      : packing_{v.packing}, mat_{Mat_CreateVer(path.c_str(), nullptr, v.type)} {
    REQUIRE(mat_ != nullptr);
  }
  ~Manufacturer() { Mat_Close(mat_); }
  Manufacturer(const Manufacturer&) = delete;
  Manufacturer& operator=(const Manufacturer&) = delete;
  template <class T>
  static matvar_t* variable(const char* name, matio_classes cls, matio_types type,
                            const std::vector<T>& x, std::size_t rows, std::size_t columns) {
    std::size_t dims[2] = {rows, columns};
    std::vector<T> copy = x;
    return Mat_VarCreate(name, cls, type, 2, dims, copy.data(), 0);
  }
  static matvar_t* column(const char* name, const std::vector<double>& x) {
    return variable(name, MAT_C_DOUBLE, MAT_T_DOUBLE, x, x.size(), 1);
  }
  void put(matvar_t* v) {
    REQUIRE(v != nullptr);
    CHECK(Mat_VarWrite(mat_, v, packing_) == 0);
    Mat_VarFree(v);
  }

 private:
  matio_compression packing_;
  mat_t* mat_;
};

std::vector<double> ramp(std::size_t n, double step = 0.25) {
  std::vector<double> x(n);
  for (std::size_t i = 0; i < n; ++i) x[i] = step * static_cast<double>(i) - 3;
  return x;
}
void refused(const Result<Capture>& r, Errc code, std::string_view what) {
  REQUIRE_FALSE(r.has_value());
  INFO(r.error().message());
  CHECK(token(r.error().code) == token(code));
  CHECK(r.error().message().find(what) != std::string::npos);
  CHECK(r.error().message().find('\n') == std::string::npos);
}

}  // namespace

TEST_CASE("the only long vector is read, scalars give rate and speed [src:the numbers written]") {
  const test::Scratch scratch;
  for (const Version& v : versions) {
    CAPTURE(v.label);
    const std::string path = scratch.path("a.mat");
    {
      Manufacturer m{path, v};
      m.put(Manufacturer::column("x", ramp(20000)));
      m.put(Manufacturer::column("fs", {12800}));
      m.put(Manufacturer::column("RPM", {1480}));
    }
    auto r = read_capture(path);
    REQUIRE_MESSAGE(r.has_value(), (r ? std::string{} : r.error().message()));
    CHECK(r->format == v.label);
    CHECK(r->rate == Hz{12800});
    CHECK(r->noted_speed.value() == Rpm{1480});
    REQUIRE(r->channels.size() == 1);
    CHECK(r->channels[0].name == "x");
    CHECK(r->channels[0].samples == ramp(20000));
    auto listed = list_contents(path);
    REQUIRE(listed.has_value());
    CHECK(listed->items.size() == 3);
    std::filesystem::remove(path);
  }
}

TEST_CASE("two scalars that say different rates leave the rate open [src:contract]") {
  const test::Scratch scratch;
  const std::string path = scratch.path("a.mat");
  {
    Manufacturer m{path, versions[0]};
    m.put(Manufacturer::column("x", ramp(20000)));
    m.put(Manufacturer::column("fs", {12800}));
    m.put(Manufacturer::column("sample_rate", {25600}));
  }
  const auto open = [&](const ReadOptions& options) {
    const auto r = read_capture(path, options);
    REQUIRE(r);
    return std::any_of(r->findings.begin(), r->findings.end(), [](const Finding& f) {
      return f.kind == FindingKind::rate_disagrees && f.weight == Weight::blocking;
    });
  };
  CHECK(open({}));
  CHECK_FALSE(open({.rate = Hz{12800}}));
}

TEST_CASE("several vectors: the error lists them, names, patterns and all work [src:contract]") {
  const test::Scratch scratch;
  for (const Version& v : versions) {
    CAPTURE(v.label);
    const std::string path = scratch.path("a.mat");
    {
      Manufacturer m{path, v};
      m.put(Manufacturer::column("X1_DE_time", ramp(500)));
      m.put(Manufacturer::column("X1_FE_time", ramp(500, 0.5)));
      m.put(Manufacturer::column("other", ramp(90)));
    }
    const Hz rate{1000};
    refused(read_capture(path, {.rate = rate}), Errc::missing_metadata, "X1_DE_time (500)");
    refused(read_capture(path, {.rate = rate}), Errc::missing_metadata, "other (90)");
    auto one = read_capture(path, {.rate = rate, .select = {"*_FE_time"}});
    REQUIRE(one.has_value());
    CHECK(one->channels.size() == 1);
    CHECK(one->channels[0].samples == ramp(500, 0.5));
    auto all = read_capture(path, {.rate = rate, .all_vectors = true});
    REQUIRE(all.has_value());
    CHECK(all->channels.size() == 2);
    refused(read_capture(path, {.rate = rate, .select = {"X1_DE_time", "other"}}),
            Errc::bad_argument, "differ in length");
    refused(read_capture(path, {.rate = rate, .select = {"Y"}}), Errc::not_found, "'Y'");
    refused(read_capture(path, {.select = {"other"}}), Errc::missing_metadata, "sample rate");
    std::filesystem::remove(path);
  }
}

TEST_CASE("fields of structs, integers, single, matrices and a time vector [src:written values]") {
  const test::Scratch scratch;
  for (const Version& v : versions) {
    if (v.type == MAT_FT_MAT4) continue;  // v4 has no structs and no 16-bit class of its own
    CAPTURE(v.label);
    const std::string path = scratch.path("a.mat");
    std::vector<float> single(64);
    std::vector<std::int16_t> pair(200);
    std::iota(single.begin(), single.end(), -7.5F);
    std::iota(pair.begin(), pair.end(), static_cast<std::int16_t>(-100));
    {
      Manufacturer m{path, v};
      const char* fields[] = {"sr", "gs", "unit"};
      std::size_t one[2] = {1, 1};
      matvar_t* s = Mat_VarCreateStruct("bearing", 2, one, fields, 3);
      Mat_VarSetStructFieldByName(s, "sr", 0, Manufacturer::column("sr", {48828}));
      Mat_VarSetStructFieldByName(s, "gs", 0, Manufacturer::column("gs", ramp(1000)));
      char g[] = "g";
      Mat_VarSetStructFieldByName(s, "unit", 0,
                                  Mat_VarCreate("unit", MAT_C_CHAR, MAT_T_UTF8, 2, one, g, 0));
      m.put(s);
      m.put(Manufacturer::variable("single", MAT_C_SINGLE, MAT_T_SINGLE, single, 1, 64));
      m.put(Manufacturer::variable("pair", MAT_C_INT16, MAT_T_INT16, pair, 100, 2));
    }
    auto nested = read_capture(path, {.select = {"bearing.gs"}});
    REQUIRE_MESSAGE(nested.has_value(), (nested ? std::string{} : nested.error().message()));
    CHECK(nested->rate == Hz{48828});
    CHECK(nested->channels[0].unit == SampleUnit::acceleration);
    CHECK(test::close_rel(nested->channels[0].samples[0], -3 * 9.80665, 1e-15));
    auto floats = read_capture(path, {.select = {"single"}});
    REQUIRE(floats.has_value());
    CHECK(floats->channels[0].samples[1] == -6.5);
    CHECK(floats->size() == 64);
    auto two = read_capture(path, {.select = {"pair"}, .names = {"x", "y"}});
    REQUIRE(two.has_value());
    REQUIRE(two->channels.size() == 2);
    CHECK(two->channels[0].samples.front() == -100);
    CHECK(two->channels[1].name == "y");
    CHECK(two->channels[1].samples.back() == 99);
    refused(read_capture(path, {.select = {"bearing.sr"}}), Errc::bad_argument, "not a vector");
    std::filesystem::remove(path);
  }
}

TEST_CASE("numbers of several blocks, and one that is none, in every form [src:written values]") {
  const test::Scratch scratch;
  for (const Version& v : versions) {
    if (v.type == MAT_FT_MAT4) continue;  // matio's 16-bit class is not one of v4
    CAPTURE(v.label);
    const std::string path = scratch.path("a.mat");
    std::vector<std::int16_t> whole;
    for (std::size_t i = 0; i < 40002; ++i)
      whole.push_back(static_cast<std::int16_t>((i * 7919) % 65521 - 32760));
    std::vector<double> holed = ramp(20001);
    holed[19000] = std::nan("");
    {
      Manufacturer m{path, v};
      m.put(Manufacturer::variable("one", MAT_C_INT16, MAT_T_INT16, whole, whole.size(), 1));
      m.put(Manufacturer::variable("two", MAT_C_INT16, MAT_T_INT16, whole, 20001, 2));
      m.put(Manufacturer::column("holed", holed));
    }
    const std::vector<double> numbers(whole.begin(), whole.end());
    auto r = read_capture(path, {.rate = Hz{8000}, .select = {"one"}});
    REQUIRE(r.has_value());
    CHECK(r->channels[0].samples == numbers);
    r = read_capture(path, {.rate = Hz{8000}, .select = {"two"}});
    REQUIRE(r.has_value());
    REQUIRE(r->channels.size() == 2);
    CHECK(r->channels[0].samples == std::vector<double>(numbers.begin(), numbers.begin() + 20001));
    CHECK(r->channels[1].samples == std::vector<double>(numbers.begin() + 20001, numbers.end()));
    r = read_capture(path, {.rate = Hz{8000}, .select = {"holed"}});
    REQUIRE(r.has_value());
    CHECK(r->channels[0].samples == ramp(20001));  // a straight line fills the hole in a ramp
    REQUIRE(r->findings.size() == 1);
    CHECK(r->findings[0].kind == FindingKind::repaired);
    std::filesystem::remove(path);
  }
}

TEST_CASE("a vector named t gives the rate [src:1 ms steps]") {
  const test::Scratch scratch;
  std::vector<double> t(400);
  for (std::size_t i = 0; i < t.size(); ++i) t[i] = static_cast<double>(i) * 1e-3;
  const std::string path = scratch.path("a.mat");
  {
    Manufacturer m{path, versions[1]};
    m.put(Manufacturer::column("t", t));
    m.put(Manufacturer::column("acc", ramp(400)));
  }
  auto r = read_capture(path);
  REQUIRE_MESSAGE(r.has_value(), (r ? std::string{} : r.error().message()));
  CHECK(r->rate == Hz{1000});
  CHECK(r->channels.at(0).name == "acc");
}

TEST_CASE(
    "cut and lying MAT files: what is there is read, nothing is believed [src:bytes by hand]") {
  const test::Scratch scratch;
  for (const Version& v : {versions[0], versions[1], versions[2]}) {
    CAPTURE(v.label);
    const std::string path = scratch.path("a.mat");
    std::vector<double> rough = ramp(5000);
    for (std::size_t i = 0; i < rough.size(); ++i)
      rough[i] += std::sin(1e4 * static_cast<double>(i));
    {
      Manufacturer m{path, v};
      m.put(Manufacturer::column("x", rough));
    }
    const auto size = std::filesystem::file_size(path);
    std::filesystem::resize_file(path, size / 2);
    auto half = read_capture(path, {.rate = Hz{1000}});
    REQUIRE_MESSAGE(half.has_value(), (half ? std::string{} : half.error().message()));
    CHECK(half->size() > 2000);
    CHECK(half->size() < 3000);
    CHECK(half->channels[0].samples[1000] == rough[1000]);
    CHECK(half->findings.at(0).kind == FindingKind::truncated);
    std::filesystem::remove(path);
  }
  // A v4 header that claims 2^30 x 1 doubles in a file of a few bytes.
  std::string lie(21, '\0');
  lie[7] = 0x40;
  lie[8] = 1;
  lie[16] = 2;
  lie[20] = 'x';
  lie += std::string(1 + 8 * 20, '\x3f');
  auto r = read_capture_bytes(std::as_bytes(std::span{lie}), "a.mat", {.rate = Hz{1000}});
  REQUIRE_MESSAGE(r.has_value(), (r ? std::string{} : r.error().message()));
  CHECK(r->size() == 20);
  CHECK(r->findings.at(0).kind == FindingKind::truncated);
}

TEST_CASE("a v5 cell array of empty arrays without end is given up [src:bytes by hand]") {
  std::string mat = "MATLAB 5.0 MAT-file";
  mat.resize(124, ' ');
  mat += std::string{"\0\1IM", 4};
  constexpr std::uint32_t cells = 30000;
  std::vector<std::uint32_t> words = {14, 48 + 8 * cells, 6, 8,          1,  0, 5,
                                      8,  cells,          1, 0x00010001, 'c'};
  for (std::uint32_t i = 0; i < cells; ++i) words.insert(words.end(), {14, 0});
  mat.append(reinterpret_cast<const char*>(words.data()), 4 * words.size());
  const auto contents = list_contents_bytes(std::as_bytes(std::span{mat}), "a.mat");
  REQUIRE(contents.has_value());
  CHECK(contents->items.size() == 1);
  REQUIRE(contents->notes.size() == 1);
  CHECK(contents->notes[0] == "damaged: the variable at byte 128 is damaged or cut off");
}

TEST_CASE("the damaged v7.3 file is refused in one line, and silently [src:contract]") {
  const test::Scratch scratch;
  const std::string path = scratch.path("a.mat");
  {
    Manufacturer m{path, versions[3]};
    m.put(Manufacturer::column("x", ramp(2000)));
  }
  std::filesystem::resize_file(path, 1500);
  refused(read_capture(path, {.rate = Hz{1000}}), Errc::corrupt_file, "v7.3");
}

TEST_CASE(
    "records of open sets: lengths, speeds and levels as published "
    "[src:Smith & Randall 2015 data, files' own fields]") {
  const auto folder = test::datasets();
  if (!folder) return;
  {
    auto r = read_capture((*folder / "cwru/12k_Drive_End_OR021@6_2_236.mat").string(),
                          {.rate = Hz{12000}, .units = {"g"}, .select = {"*DE_time"}});
    REQUIRE(r.has_value());
    CHECK(r->size() == 122281);  // the reference table of record lengths
    CHECK(r->noted_speed.value() == Rpm{1748});
    double sum = 0;
    for (const double x : r->channels[0].samples) sum += x * x;
    // rms 0.56998 g in the same table (about its mean, which is small)
    CHECK(test::close_rel(std::sqrt(sum / 122281) / 9.80665, 0.56998, 2e-3));
  }
  {
    auto r = read_capture((*folder / "mfpt/InnerRaceFault_vload_1.mat").string(), {.units = {"g"}});
    REQUIRE(r.has_value());
    CHECK(r->channels[0].name == "bearing.gs");
    CHECK(r->rate == Hz{48828});
    CHECK(r->size() == 146484);
  }
  {
    auto r = read_capture((*folder / "hit-mfs/Normal_900.mat").string(), {.rate = Hz{51200}});
    REQUIRE(r.has_value());
    CHECK(r->size() == 262144);
  }
}
