#include "bearingdsp/capture/sound_writer.hpp"

#include <fmt/format.h>
#include <sndfile.h>
#include <unistd.h>

#include <cerrno>
#include <cmath>
#include <limits>
#include <mutex>
#include <stdexcept>
#include <system_error>
#include <utility>
#include <vector>

#include "sndfile_opening.hpp"

namespace bearingdsp {
namespace {

constexpr int max_wav_channels = 1024;
constexpr int max_flac_channels = 8;
constexpr int max_flac_rate = 655350;
constexpr std::size_t frames_at_once = 4096;

using SoundFile = std::unique_ptr<SNDFILE, int (*)(SNDFILE*)>;

SoundFile open_descriptor(int descriptor, int mode, SF_INFO& info) {
  const std::scoped_lock lock{capture_detail::sndfile_opening()};
  return SoundFile{sf_open_fd(descriptor, mode, &info, SF_FALSE), sf_close};
}

Error not_written(const std::string& path, int code) {
  return {Errc::io, path,
          code == 0 ? "not all samples could be written"
                    : "cannot write all samples (" + std::generic_category().message(code) + ")",
          "check the free space"};
}

}  // namespace

struct SoundWriter::State {
  SoundFile sound{nullptr, sf_close};
  std::string path;
  std::size_t channels{1};
  std::uint64_t frames{0};
};

SoundWriter::SoundWriter(std::unique_ptr<State> state) : state_{std::move(state)} {}
SoundWriter::SoundWriter(SoundWriter&&) noexcept = default;
SoundWriter& SoundWriter::operator=(SoundWriter&&) noexcept = default;
SoundWriter::~SoundWriter() = default;

Result<SoundWriter> SoundWriter::start(WholeFile& file, const SoundShape& shape) {
  const double rate = shape.rate.value();
  const bool whole =
      rate >= 1 && rate <= std::numeric_limits<int>::max() && rate == std::round(rate);
  if (!whole || shape.channels < 1 || shape.channels > max_wav_channels)
    return Error{Errc::bad_argument, file.path(),
                 fmt::format("WAV cannot hold {} channels at {} Hz", shape.channels, rate),
                 "give 1 to 1024 channels and a whole rate"};
  SF_INFO info{};
  info.samplerate = static_cast<int>(rate);
  info.channels = shape.channels;
  info.format = SF_FORMAT_RF64 | SF_FORMAT_PCM_24;
  auto state = std::make_unique<State>();
  state->sound = open_descriptor(file.descriptor(), SFM_WRITE, info);
  if (!state->sound) return not_written(file.path(), errno);
  // Plain WAV unless it grows above 4 GB.
  sf_command(state->sound.get(), SFC_RF64_AUTO_DOWNGRADE, nullptr, SF_TRUE);
  sf_command(state->sound.get(), SFC_SET_UPDATE_HEADER_AUTO, nullptr, SF_TRUE);
  state->path = file.path();
  state->channels = static_cast<std::size_t>(shape.channels);
  return SoundWriter{std::move(state)};
}

Result<void> SoundWriter::write(std::span<const std::int32_t> interleaved) {
  State& s = *state_;
  if (interleaved.size() % s.channels != 0)
    throw std::invalid_argument{"SoundWriter: the last frame is not whole"};
  const auto frames = static_cast<sf_count_t>(interleaved.size() / s.channels);
  errno = 0;
  const sf_count_t done = sf_writef_int(s.sound.get(), interleaved.data(), frames);
  if (done > 0) s.frames += static_cast<std::uint64_t>(done);
  if (done != frames) return not_written(s.path, errno);
  return {};
}

std::uint64_t SoundWriter::frames() const noexcept { return state_->frames; }

Result<void> SoundWriter::finish() {
  errno = 0;
  if (sf_close(state_->sound.release()) != 0) return not_written(state_->path, errno);
  return {};
}

Result<void> write_flac(WholeFile& wav, WholeFile& flac) {
  if (::lseek(wav.descriptor(), 0, SEEK_SET) != 0) return not_written(wav.path(), errno);
  SF_INFO info{};
  const SoundFile in = open_descriptor(wav.descriptor(), SFM_READ, info);
  if (!in) return not_written(wav.path(), 0);
  if (info.channels > max_flac_channels || info.samplerate > max_flac_rate)
    return Error{
        Errc::bad_argument, flac.path(),
        fmt::format("FLAC cannot hold {} channels at {} Hz", info.channels, info.samplerate),
        "give a name that ends in .wav"};
  SF_INFO target{};
  target.samplerate = info.samplerate;
  target.channels = info.channels;
  target.format = SF_FORMAT_FLAC | SF_FORMAT_PCM_24;
  SoundFile out = open_descriptor(flac.descriptor(), SFM_WRITE, target);
  if (!out) return not_written(flac.path(), errno);
  std::vector<int> block(frames_at_once * static_cast<std::size_t>(info.channels));
  errno = 0;
  sf_count_t all = 0;
  sf_count_t n = 0;
  while ((n = sf_readf_int(in.get(), block.data(), static_cast<sf_count_t>(frames_at_once))) > 0) {
    if (sf_writef_int(out.get(), block.data(), n) != n) return not_written(flac.path(), errno);
    all += n;
  }
  if (all != info.frames || sf_close(out.release()) != 0) return not_written(flac.path(), errno);
  return {};
}

}  // namespace bearingdsp
