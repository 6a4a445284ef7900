#pragma once
/// The scale of a recording, from a recording of a vibration calibrator: one steady tone of a level
/// that is known.
#include <cstddef>
#include <span>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// The tone as it is in the recording. Amplitudes in the unit of the samples.
struct CalibrationTone {
  Hz frequency;            ///< measured
  double amplitude{0};     ///< peak
  double unsteadiness{0};  ///< largest deviation of a part of half a second, fraction
  double other{0};         ///< rms of all that is not the tone, over the rms of the tone
};

/// Finds the tone near `nominal` (within 3 %, which covers calibrator and sample clock) and
/// measures its amplitude under a Hann window over the whole signal, mean removed.
/// Shape: channel < capture.channels.size(), x [n], 1 s or more
/// Accuracy: amplitude to 1e-4 where only the tone is there
/// Errors: bad_argument (frequency above a third of the rate, or not above 0), too_short (less than
///         1 s or 20 periods), corrupt_file where it is no calibration: clipped at the full scale
///         of the channel, a tone that changes by more than 5 %, or one beside which all else has
///         more than 20 % of its level (then 2 % of the total level; both limits are our choice)
/// Source: closed form (discrete Fourier sum at one frequency)
[[nodiscard]] Result<CalibrationTone> find_calibration_tone(const Capture& capture,
                                                            std::size_t channel, Hz nominal);

/// The same of pieces of one recording, one or more: the mean of their amplitudes and frequencies;
/// the largest of the rest, where the amplitude of a piece beside the mean is unsteadiness too.
/// Errors: as of one capture, for the first piece that has one; corrupt_file where the pieces
///         together change by more than 5 %; std::invalid_argument for no piece
[[nodiscard]] Result<CalibrationTone> find_calibration_tone(std::span<const Capture> pieces,
                                                            std::size_t channel, Hz nominal);

/// What 1 in the samples stands for (full scale of an audio file, 1 V of a voltage), m/s2, where
/// the tone is `level`.
/// Source: closed form, peak = sqrt(2) rms
[[nodiscard]] double scale_of(const CalibrationTone& tone, AccelerationRms level);

}  // namespace bearingdsp
