// What reading a recording costs, as a ratio to something bare: libsndfile or matio reading the
// same file into memory of its own, or, for text, the file's bytes read and its line ends counted.
// The files are warm in the system's cache: disks are not measured. Results:
// docs/validation/cost.md
//
// usage: reader_cost [REPETITIONS] [SECONDS OF RECORDING]
#include <fmt/core.h>
#include <matio.h>
#include <sndfile.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <exception>
#include <filesystem>
#include <functional>
#include <memory>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "../support/scratch.hpp"
#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/capture/write.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "ratio.hpp"

using namespace bearingdsp;

namespace {

constexpr double rate = 51200;

void heading(std::string_view yardstick) {
  fmt::print("\n{:<58}{:>8} {:>16} {:>8} {:>8}\n", fmt::format("{} = 1", yardstick), "median",
             "quartiles", "MB/s", "Msmp/s");
}

/// megabytes: of the file; megasamples: over all channels.
void row(std::string_view name, int repetitions, const std::string& path, double megasamples,
         const std::function<void()>& yardstick, const std::function<void()>& ours) {
  const double megabytes = static_cast<double>(std::filesystem::file_size(path)) / 1e6;
  const bench::Ratio r = bench::ratio(repetitions, yardstick, ours);
  fmt::print("{:<58}{:>8.2f} {:>7.2f} .. {:>5.2f} {:>8.0f} {:>8.0f}\n", name, r.of_yardstick.middle,
             r.of_yardstick.low, r.of_yardstick.high, megabytes / r.seconds,
             megasamples / r.seconds);
}

void must(const Result<void>& done) {
  if (!done) throw BadResult{done.error()};
}

ReadOptions options_of(std::vector<std::string> select = {}) {
  ReadOptions options;
  options.rate = Hz{rate};
  options.select = std::move(select);
  return options;
}

void ours(const std::string& path, std::size_t samples, const ReadOptions& options) {
  const auto read = read_capture(path, options);
  if (!read) throw BadResult{read.error()};
  if (read->size() != samples) throw std::runtime_error{path + ": not all samples were read"};
}

/// Interleaved, as libsndfile gives them.
void bare_sndfile(const std::string& path, double* room, std::size_t values) {
  SF_INFO info{};
  const std::unique_ptr<SNDFILE, int (*)(SNDFILE*)> file{sf_open(path.c_str(), SFM_READ, &info),
                                                         sf_close};
  if (!file || sf_read_double(file.get(), room, static_cast<sf_count_t>(values)) !=
                   static_cast<sf_count_t>(values))
    throw std::runtime_error{path + ": libsndfile does not read it"};
}

void audio(const test::Scratch& folder, const Capture& capture, int repetitions) {
  const std::size_t n = capture.size();
  const std::size_t channels = capture.channels.size();
  const std::string path = folder.path("a.wav");
  const double millions = static_cast<double>(n * channels) / 1e6;
  std::vector<double> kept(n * channels);
  for (const auto& [samples, name] :
       {std::pair{WavSamples::pcm16, "16 bit"}, std::pair{WavSamples::pcm24, "24 bit"},
        std::pair{WavSamples::float32, "32 bit float"}}) {
    must(write_wav(capture, path, {samples, 200}));
    const std::string what = fmt::format("WAV, {} channel(s) of {}", channels, name);
    const auto read = [&] { ours(path, n, {}); };
    row(
        what, repetitions, path, millions,
        [&] {
          const std::unique_ptr<double[]> room{
              new double[n * channels]};  // not cleared, as is fair
          bare_sndfile(path, room.get(), n * channels);
        },
        read);
    row(
        what + ", into memory at hand", repetitions, path, millions,
        [&] { bare_sndfile(path, kept.data(), kept.size()); }, read);
  }
}

/// The limit of any reader of text: the bytes come in and each is looked at once.
std::size_t bare_lines(const std::string& path) {
  const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file{std::fopen(path.c_str(), "rb"),
                                                             std::fclose};
  std::vector<char> block(1U << 20U);
  std::size_t lines = 0;
  for (std::size_t n = 0; (n = std::fread(block.data(), 1, block.size(), file.get())) > 0;)
    lines += static_cast<std::size_t>(
        std::count(block.begin(), block.begin() + static_cast<std::ptrdiff_t>(n), '\n'));
  return lines;
}

void text(const test::Scratch& folder, const Capture& capture, int repetitions) {
  const std::size_t n = capture.size();
  const std::string path = folder.path("a.csv");
  const auto measured = [&](std::string_view name, std::size_t columns) {
    std::size_t lines = 0;
    row(
        name, repetitions, path, static_cast<double>(n * columns) / 1e6,
        [&] { lines = bare_lines(path); }, [&] { ours(path, n, options_of()); });
    if (lines < n) throw std::runtime_error{"lines are missing"};
  };
  const auto written = [&](std::string_view form, bool time) {
    const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file{std::fopen(path.c_str(), "wb"),
                                                               std::fclose};
    fmt::print(file.get(), "{}\n", time ? "time [s],x [m/s2]" : "x [m/s2]");
    for (std::size_t i = 0; i < n; ++i) {
      if (time) fmt::print(file.get(), "{:.6f},", static_cast<double>(i) / rate);
      fmt::print(file.get(), fmt::runtime(form), capture.channels[0].samples[i]);
    }
  };
  written("{:.6f}\n", false);
  measured("one column, 6 decimals", 1);
  written("{}\n", false);
  measured("one column, all digits of a double", 1);
  written("{:.6e}\n", true);
  measured("time and one column, exponents", 2);
  must(write_csv(capture, path));
  measured(fmt::format("time and {} columns, all digits", capture.channels.size()),
           capture.channels.size() + 1);
}

template <class T>
void write_mat(const std::string& path, mat_ft version, matio_compression packing,
               matio_classes cls, matio_types type, std::vector<T> x) {
  std::array<std::size_t, 2> dims{x.size(), 1};
  mat_t* file = Mat_CreateVer(path.c_str(), "made by a measurement of bearingdsp", version);
  matvar_t* variable = Mat_VarCreate("x", cls, type, 2, dims.data(), x.data(), 0);
  const bool good = file != nullptr && Mat_VarWrite(file, variable, packing) == 0;
  Mat_VarFree(variable);
  if (file == nullptr || Mat_Close(file) != 0 || !good)
    throw std::runtime_error{path + " cannot be written"};
}

/// The numbers as doubles, which is what a capture holds.
void bare_matio(const std::string& path, std::size_t samples) {
  mat_t* file = Mat_Open(path.c_str(), MAT_ACC_RDONLY);
  matvar_t* x = file == nullptr ? nullptr : Mat_VarRead(file, "x");
  const bool good = x != nullptr && x->dims[0] == samples && x->data != nullptr;
  if (good && x->data_type == MAT_T_INT16) {
    const std::unique_ptr<double[]> room{new double[samples]};
    std::copy_n(static_cast<const std::int16_t*>(x->data), samples, room.get());
  }
  Mat_VarFree(x);
  if (file != nullptr) Mat_Close(file);
  if (!good) throw std::runtime_error{path + ": matio does not read it"};
}

void mat(const test::Scratch& folder, const Capture& capture, int repetitions) {
  const std::vector<double>& x = capture.channels[0].samples;
  const std::string path = folder.path("a.mat");
  const auto measured = [&](std::string_view name) {
    row(
        name, repetitions, path, static_cast<double>(x.size()) / 1e6,
        [&] { bare_matio(path, x.size()); }, [&] { ours(path, x.size(), options_of({"x"})); });
  };
  std::vector<std::int16_t> coarse(x.size());
  std::transform(x.begin(), x.end(), coarse.begin(),
                 [](double v) { return static_cast<std::int16_t>(std::lround(100 * v)); });
  for (const auto& [version, name] : {std::pair{MAT_FT_MAT4, "v4"}, std::pair{MAT_FT_MAT5, "v5"},
                                      std::pair{MAT_FT_MAT73, "v7.3"}}) {
    write_mat(path, version, MAT_COMPRESSION_NONE, MAT_C_DOUBLE, MAT_T_DOUBLE, x);
    measured(fmt::format("{} doubles", name));
    if (version == MAT_FT_MAT4) continue;
    write_mat(path, version, MAT_COMPRESSION_NONE, MAT_C_INT16, MAT_T_INT16, coarse);
    measured(fmt::format("{} 16-bit integers", name));
    write_mat(path, version, MAT_COMPRESSION_ZLIB, MAT_C_DOUBLE, MAT_T_DOUBLE, x);
    measured(fmt::format("{} doubles, packed", name));
  }
  heading("as many doubles copied in memory");
  std::unique_ptr<double[]> room;  // held until the next: no compiler leaves the copy out
  for (const auto& [version, name] :
       {std::pair{MAT_FT_MAT5, "v5"}, std::pair{MAT_FT_MAT73, "v7.3"}}) {
    write_mat(path, version, MAT_COMPRESSION_NONE, MAT_C_DOUBLE, MAT_T_DOUBLE, x);
    row(
        fmt::format("{} doubles", name), repetitions, path, static_cast<double>(x.size()) / 1e6,
        [&] {
          room.reset();
          room.reset(new double[x.size()]);
          std::copy(x.begin(), x.end(), room.get());
        },
        [&] { ours(path, x.size(), options_of({"x"})); });
  }
}

int run(int argc, char** argv) {
  const auto repetitions = bench::repetitions(argc, argv, 15);
  double seconds = 60;
  if (argc > 2) {
    const std::string_view given{argv[2]};
    std::from_chars(given.data(), given.data() + given.size(), seconds);
  }
  if (!repetitions || !(seconds > 0)) {
    fmt::print(stderr, "usage: reader_cost [REPETITIONS >= 1] [SECONDS OF RECORDING > 0]\n");
    return 2;
  }
  SimulationPlan plan;
  plan.rate = Hz{rate};
  plan.duration = Seconds{seconds};
  plan.shaft_harmonics = {1.0, 0.5, 0.2};
  const auto made = simulate(plan);
  if (!made) throw BadResult{made.error()};
  Capture four = made->capture;
  four.channels.resize(1);
  const Capture one = four;
  while (four.channels.size() < 4) {
    four.channels.push_back(one.channels[0]);
    four.channels.back().name = fmt::format("channel {}", four.channels.size());
  }
  const test::Scratch folder;
  fmt::print("{} s at {} Hz, {} repetitions\n", seconds, rate, *repetitions);
  heading("libsndfile reading the file into doubles");
  audio(folder, one, *repetitions);
  audio(folder, four, *repetitions);
  heading("the bytes read and the line ends counted");
  text(folder, four, *repetitions);
  heading("matio reading the file, as doubles");
  mat(folder, one, *repetitions);
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  try {
    return run(argc, argv);
  } catch (const std::exception& e) {
    std::fputs(e.what(), stderr);
    std::fputs("\n", stderr);
    return 1;
  }
}
