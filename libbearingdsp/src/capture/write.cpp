#include "bearingdsp/capture/write.hpp"

#include <sndfile.h>

#include <algorithm>
#include <cerrno>
#include <cmath>
#include <iterator>
#include <limits>
#include <system_error>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "bearingdsp/core/foreign_text.hpp"
#include "sndfile_opening.hpp"

namespace bearingdsp {
namespace {

constexpr std::size_t block_samples = 65536;
/// A WAV file counts its bytes in 32 bits; RF64 is the same with 64.
constexpr std::uint64_t largest_wav = 0xFFFF0000U;

Error system_error(const std::string& path, std::string_view doing, int code) {
  return {Errc::io, path,
          fmt::format("cannot {} ({})", doing, std::generic_category().message(code)),
          "check the folder, the permissions and the free space"};
}

Result<void> check(const Capture& capture, const std::string& path) {
  const auto bad = [&](std::string what) {
    return Error{Errc::bad_argument, path, std::move(what), "nothing was written"};
  };
  if (capture.size() == 0) return bad("the recording contains no samples");
  for (const Channel& c : capture.channels) {
    if (c.samples.size() != capture.size()) {
      return bad(fmt::format("channel '{}' has {} samples, the first has {}", c.name,
                             c.samples.size(), capture.size()));
    }
  }
  if (!(std::isfinite(capture.rate.value()) && capture.rate.value() > 0)) {
    return bad(fmt::format("a sample rate of {} Hz is not possible", capture.rate.value()));
  }
  return {};
}

}  // namespace

Result<void> write_wav(const Capture& capture, const std::string& path,
                       const WriteWavOptions& options) {
  auto file = WholeFile::start(path);
  if (!file) return file.error();
  if (auto done = write_wav(capture, *file, options); !done) return done;
  return file->commit();
}

Result<void> write_csv(const Capture& capture, const std::string& path,
                       const WriteCsvOptions& options) {
  auto file = WholeFile::start(path);
  if (!file) return file.error();
  if (auto done = write_csv(capture, *file, options); !done) return done;
  return file->commit();
}

namespace {

Result<void> check_wav(const Capture& capture, const std::string& path,
                       const WriteWavOptions& options) {
  if (auto ok = check(capture, path); !ok) return ok;
  const double rate = capture.rate.value();
  const auto bad = [&](std::string what, std::string advice) {
    return Error{Errc::bad_argument, path, std::move(what), std::move(advice)};
  };
  if (rate != std::round(rate) || rate > std::numeric_limits<int>::max())
    return bad(fmt::format("WAV holds whole hertz, the rate is {} Hz", rate),
               "write CSV, or resample");
  if (capture.channels.size() > 1024)
    return bad(fmt::format("WAV holds at most 1024 channels, not {}", capture.channels.size()),
               "write several files");
  if (!(std::isfinite(options.full_scale) && options.full_scale > 0))
    return bad(fmt::format("a full scale of {} is not possible", options.full_scale),
               "give a value above 0");
  return {};
}

SF_INFO wav_info(const Capture& capture, WavSamples samples) {
  const std::size_t channels = capture.channels.size();
  const std::uint64_t bytes = std::uint64_t{capture.size()} * channels *
                              (samples == WavSamples::pcm16   ? 2
                               : samples == WavSamples::pcm24 ? 3
                                                              : 4);
  SF_INFO info{};
  info.samplerate = static_cast<int>(capture.rate.value());
  info.channels = static_cast<int>(channels);
  info.format = (bytes > largest_wav ? SF_FORMAT_RF64 : SF_FORMAT_WAV) |
                (samples == WavSamples::pcm16   ? SF_FORMAT_PCM_16
                 : samples == WavSamples::pcm24 ? SF_FORMAT_PCM_24
                                                : SF_FORMAT_FLOAT);
  return info;
}

}  // namespace

Result<void> write_wav(const Capture& capture, WholeFile& target, const WriteWavOptions& options) {
  const std::string& path = target.path();
  if (auto ok = check_wav(capture, path, options); !ok) return ok;
  const bool pcm = options.samples != WavSamples::float32;
  const std::size_t channels = capture.channels.size();
  SF_INFO info = wav_info(capture, options.samples);
  SNDFILE* file = nullptr;
  {
    const std::scoped_lock lock{capture_detail::sndfile_opening()};
    file = sf_open_fd(target.descriptor(), SFM_WRITE, &info, SF_FALSE);
  }
  if (file == nullptr) {
    return Error{Errc::io, path, "cannot be started as a WAV file",
                 "check the folder and the free space"};
  }
  // The peak chunk carries the time of writing: the same samples would give different files.
  sf_command(file, SFC_SET_ADD_PEAK_CHUNK, nullptr, SF_FALSE);
  sf_command(file, SFC_SET_CLIPPING, nullptr, SF_TRUE);
  const std::size_t frames = std::max<std::size_t>(1, block_samples / channels);
  std::vector<double> block(frames * channels);
  bool written = true;
  for (std::size_t at = 0; at < capture.size() && written; at += frames) {
    const std::size_t n = std::min(frames, capture.size() - at);
    for (std::size_t c = 0; c < channels; ++c) {
      const double* in = capture.channels[c].samples.data() + at;
      for (std::size_t f = 0; f < n; ++f) {
        block[f * channels + c] = pcm ? in[f] / options.full_scale : in[f];
      }
    }
    const auto want = static_cast<sf_count_t>(n);
    written = sf_writef_double(file, block.data(), want) == want;
  }
  written = sf_close(file) == 0 && written;
  if (!written) return system_error(path, "write all samples", errno);
  return {};
}

Result<void> write_csv(const Capture& capture, WholeFile& target, const WriteCsvOptions& options) {
  const std::string& path = target.path();
  if (auto ok = check(capture, path); !ok) return ok;
  const bool known =
      (options.delimiter == ',' || options.delimiter == ';' || options.delimiter == '\t') &&
      (options.decimal == '.' || options.decimal == ',');
  if (!known || options.delimiter == options.decimal) {
    return Error{Errc::bad_argument, path,
                 "delimiter and decimal separator have to differ, and be one of , ; tab and . ,",
                 "use ';' with a decimal comma"};
  }
  std::string text;
  const auto flush = [&]() -> Result<void> {
    auto done = target.write(text);
    text.clear();
    return done;
  };
  const auto number = [&](double v) {
    const std::size_t at = text.size();
    fmt::format_to(std::back_inserter(text), "{}", v);
    if (options.decimal == ',')
      std::replace(text.begin() + static_cast<std::ptrdiff_t>(at), text.end(), '.', ',');
  };
  if (options.time_column) text += "time [s]";
  for (std::size_t c = 0; c < capture.channels.size(); ++c) {
    if (c > 0 || options.time_column) text += options.delimiter;
    const Channel& channel = capture.channels[c];
    std::string name = channel.name.empty() ? fmt::format("channel {}", c + 1) : channel.name;
    for (char& ch : name) {
      const bool safe =
          static_cast<unsigned char>(ch) >= 0x20 && ch != options.delimiter && ch != '"';
      if (!safe) ch = '_';
    }
    text += safe_text(fmt::format("{} [{}]", name, symbol(channel.unit)), Medium::csv);
  }
  text += '\n';
  for (std::size_t i = 0; i < capture.size(); ++i) {
    if (options.time_column) number(static_cast<double>(i) / capture.rate.value());
    for (std::size_t c = 0; c < capture.channels.size(); ++c) {
      if (c > 0 || options.time_column) text += options.delimiter;
      number(capture.channels[c].samples[i]);
    }
    text += '\n';
    if (text.size() > (1U << 20U)) {
      if (auto ok = flush(); !ok) return ok;
    }
  }
  return flush();
}

}  // namespace bearingdsp
