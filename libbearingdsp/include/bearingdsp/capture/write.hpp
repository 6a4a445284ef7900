#pragma once
/// Writing a capture: the samples go to a temporary name beside the target, which is renamed when
/// all is on disk, so nobody ever sees half a file.
#include <cstdint>
#include <string>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/capture/whole_file.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// How WAV samples are stored.
enum class WavSamples : std::uint8_t {
  float32,  ///< SI values as they are (read them back with units "m/s2" or the like)
  pcm16,    ///< fractions of a full scale, rounded; larger samples are clipped
  pcm24,
};

struct WriteWavOptions {
  WavSamples samples{WavSamples::float32};
  /// Value, in the unit of the samples, written as full scale (PCM only; > 0). Read the file back
  /// with the same ReadOptions::full_scale.
  double full_scale{1};
};

/// Write all channels to a WAV file (RF64 above 4 GB). The rate is rounded to whole hertz, as the
/// format asks; a rate that is not whole is refused.
/// Errors: bad_argument (no channels, no samples, unequal lengths, rate not whole, full_scale <=
/// 0), io.
[[nodiscard]] Result<void> write_wav(const Capture& capture, const std::string& path,
                                     const WriteWavOptions& options = {});
/// The same into a file that was started; its caller commits it.
[[nodiscard]] Result<void> write_wav(const Capture& capture, WholeFile& file,
                                     const WriteWavOptions& options = {});

struct WriteCsvOptions {
  char delimiter{','};     ///< ',', ';' or tab; ';' allows a decimal comma
  char decimal{'.'};       ///< '.' or ','
  bool time_column{true};  ///< first column: time in s from the first sample
};

/// Write all channels as delimited text: a row of names with SI units ("x [m/s2]"), then a row a
/// sample with all digits a double needs (shortest form that reads back the same).
/// Errors: bad_argument (as above; delimiter equal to decimal), io.
[[nodiscard]] Result<void> write_csv(const Capture& capture, const std::string& path,
                                     const WriteCsvOptions& options = {});
/// The same into a file that was started; its caller commits it.
[[nodiscard]] Result<void> write_csv(const Capture& capture, WholeFile& file,
                                     const WriteCsvOptions& options = {});

}  // namespace bearingdsp
