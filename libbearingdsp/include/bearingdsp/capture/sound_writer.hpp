#pragma once
/// Writing samples to a sound file while they arrive, so that what is on the disk can be read at
/// any moment.
#include <cstdint>
#include <memory>
#include <span>

#include "bearingdsp/capture/whole_file.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// Samples of 32 bits that fill the whole range; the file holds the upper 24.
struct SoundShape {
  int channels{1};
  Hz rate{48000};  ///< whole hertz
};

/// A WAV file (PCM 24; RF64 where it grows above 4 GB) whose header is right after every write.
class SoundWriter {
 public:
  /// The file outlives this.
  /// Errors: bad_argument for a shape that WAV cannot hold; io
  [[nodiscard]] static Result<SoundWriter> start(WholeFile& file, const SoundShape& shape);
  SoundWriter(SoundWriter&&) noexcept;
  SoundWriter& operator=(SoundWriter&&) noexcept;
  SoundWriter(const SoundWriter&) = delete;
  SoundWriter& operator=(const SoundWriter&) = delete;
  ~SoundWriter();

  /// Shape: interleaved [frames * channels].
  /// Errors: io, for example a full disk; what was written before stays readable
  [[nodiscard]] Result<void> write(std::span<const std::int32_t> interleaved);
  /// Frames that the file holds.
  [[nodiscard]] std::uint64_t frames() const noexcept;
  /// Completes the header. Nothing can be written afterwards.
  /// Errors: io
  [[nodiscard]] Result<void> finish();

 private:
  struct State;
  explicit SoundWriter(std::unique_ptr<State> state);
  std::unique_ptr<State> state_;
};

/// The samples of a WAV file that SoundWriter finished, as FLAC (24 bits, without loss).
/// Errors: io; bad_argument for more channels than the eight of FLAC, or a rate above 655350 Hz
/// Source: RFC 9639, section 8.2
[[nodiscard]] Result<void> write_flac(WholeFile& wav, WholeFile& flac);

}  // namespace bearingdsp
