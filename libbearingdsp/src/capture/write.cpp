#include "bearingdsp/capture/write.hpp"

#include <fcntl.h>
#include <sndfile.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cmath>
#include <iterator>
#include <limits>
#include <memory>
#include <system_error>
#include <utility>
#include <vector>

#include <fmt/format.h>

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

/// A file beside the target that replaces it only when commit() succeeds.
class Replacement {
 public:
  static Result<std::unique_ptr<Replacement>> start(const std::string& path) {
    struct stat info {};
    if (::stat(path.c_str(), &info) == 0 && !S_ISREG(info.st_mode))
      return Error{Errc::io, path, "is not a file", "give a file name"};
    auto out = std::unique_ptr<Replacement>{new Replacement{path}};
    for (int attempt = 0; attempt < 100; ++attempt) {
      out->temporary_ = fmt::format("{}.{}-{}.part", path, ::getpid(), attempt);
      out->fd_ = ::open(out->temporary_.c_str(), O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
      if (out->fd_ >= 0 || errno != EEXIST) break;
    }
    if (out->fd_ < 0) return system_error(path, "create a file beside it", errno);
    out->exists_ = true;
    return out;
  }
  Replacement(const Replacement&) = delete;
  Replacement& operator=(const Replacement&) = delete;
  ~Replacement() {
    if (fd_ >= 0) ::close(fd_);
    if (exists_) ::unlink(temporary_.c_str());
  }
  [[nodiscard]] int fd() const noexcept { return fd_; }
  Result<void> commit() {
    if (::fsync(fd_) != 0) return system_error(path_, "write it to disk", errno);
    if (::close(std::exchange(fd_, -1)) != 0) return system_error(path_, "close it", errno);
    if (::rename(temporary_.c_str(), path_.c_str()) != 0) {
      return system_error(path_, "put it in place", errno);
    }
    exists_ = false;
    return {};
  }

 private:
  explicit Replacement(std::string path) : path_{std::move(path)} {}
  std::string path_;
  std::string temporary_;
  int fd_{-1};
  bool exists_{false};
};

Result<void> check(const Capture& capture, const std::string& path) {
  const auto bad = [&](std::string what) {
    return Error{Errc::bad_argument, path, std::move(what), "nothing was written"};
  };
  if (capture.size() == 0) return bad("the capture holds no samples");
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
  if (auto ok = check(capture, path); !ok) return ok;
  const double rate = capture.rate.value();
  const auto bad = [&](std::string what, std::string advice) {
    return Error{Errc::bad_argument, path, std::move(what), std::move(advice)};
  };
  if (rate != std::round(rate) || rate > std::numeric_limits<int>::max()) {
    return bad(fmt::format("WAV holds whole hertz, the rate is {} Hz", rate),
               "write CSV, or resample");
  }
  if (capture.channels.size() > 1024) {
    return bad(fmt::format("WAV holds at most 1024 channels, not {}", capture.channels.size()),
               "write several files");
  }
  if (!(std::isfinite(options.full_scale) && options.full_scale > 0)) {
    return bad(fmt::format("a full scale of {} is not possible", options.full_scale),
               "give a value above 0");
  }
  const bool pcm = options.samples != WavSamples::float32;
  const std::size_t channels = capture.channels.size();
  const std::uint64_t bytes = std::uint64_t{capture.size()} * channels *
                              (options.samples == WavSamples::pcm16   ? 2
                               : options.samples == WavSamples::pcm24 ? 3
                                                                      : 4);
  SF_INFO info{};
  info.samplerate = static_cast<int>(rate);
  info.channels = static_cast<int>(channels);
  info.format = (bytes > largest_wav ? SF_FORMAT_RF64 : SF_FORMAT_WAV) |
                (options.samples == WavSamples::pcm16   ? SF_FORMAT_PCM_16
                 : options.samples == WavSamples::pcm24 ? SF_FORMAT_PCM_24
                                                        : SF_FORMAT_FLOAT);
  auto target = Replacement::start(path);
  if (!target) return target.error();
  SNDFILE* file = nullptr;
  std::string why;
  {
    const std::scoped_lock lock{capture_detail::sndfile_opening()};
    file = sf_open_fd((*target)->fd(), SFM_WRITE, &info, SF_FALSE);
    if (file == nullptr) why = sf_strerror(nullptr);
  }
  if (file == nullptr) {
    return Error{Errc::io, path, fmt::format("cannot start the WAV file ({})", why),
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
  return (*target)->commit();
}

Result<void> write_csv(const Capture& capture, const std::string& path,
                       const WriteCsvOptions& options) {
  if (auto ok = check(capture, path); !ok) return ok;
  const bool known =
      (options.delimiter == ',' || options.delimiter == ';' || options.delimiter == '\t') &&
      (options.decimal == '.' || options.decimal == ',');
  if (!known || options.delimiter == options.decimal) {
    return Error{Errc::bad_argument, path,
                 "delimiter and decimal separator have to differ, and be one of , ; tab and . ,",
                 "use ';' with a decimal comma"};
  }
  auto target = Replacement::start(path);
  if (!target) return target.error();
  std::string text;
  const auto flush = [&]() -> Result<void> {
    for (std::size_t done = 0; done < text.size();) {
      const ssize_t n = ::write((*target)->fd(), text.data() + done, text.size() - done);
      if (n < 0 && errno == EINTR) continue;
      if (n <= 0) return system_error(path, "write all rows", errno);
      done += static_cast<std::size_t>(n);
    }
    text.clear();
    return {};
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
    text += fmt::format("{} [{}]", name, symbol(channel.unit));
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
  if (auto ok = flush(); !ok) return ok;
  return (*target)->commit();
}

}  // namespace bearingdsp
