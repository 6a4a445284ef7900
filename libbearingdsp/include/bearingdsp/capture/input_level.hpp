#pragma once
/// What an input delivers, before it is recorded: its level, and what would spoil the recording.
#include <cstdint>
#include <span>

#include "bearingdsp/capture/sound_writer.hpp"
#include "bearingdsp/core/finding.hpp"
#include "bearingdsp/dsp/fft.hpp"

namespace bearingdsp {

/// Of full scale, over all channels. A block without samples is silent.
struct InputLevel {
  double peak_db{-200};  ///< dB of full scale; -200: all samples are 0
  double rms_db{-200};   ///< the mean left out, of the loudest channel; a full-scale sine is -3
  bool clipped{false};   ///< samples at the end of the range
  /// The peak as a part of a bar: 0 at -80 dB or below, 1 at full scale.
  [[nodiscard]] double bar() const noexcept;
};
/// Shape: interleaved [frames * channels], samples of 32 bits that fill the whole range
[[nodiscard]] InputLevel input_level(std::span<const std::int32_t> interleaved,
                                     int channels) noexcept;

/// What would spoil a recording of this input: clipping, silence, mains hum and what else
/// assess_quality() finds that the person at the machine can correct at once; `where` is the
/// channel.
/// Shape: interleaved [frames * channels]; 1 s or more is enough
[[nodiscard]] Findings listen(std::span<const std::int32_t> interleaved, const SoundShape& shape,
                              FftPlans& plans);

}  // namespace bearingdsp
