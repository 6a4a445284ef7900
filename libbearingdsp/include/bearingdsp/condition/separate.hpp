#pragma once
/// Taking a recording apart: what repeats with the shaft or the mains, and the rest, in which a
/// bearing's slipping bursts live.
#include <cstddef>
#include <span>
#include <vector>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/dsp/fft.hpp"

namespace bearingdsp {

/// deterministic + random = x, sample by sample.
struct Separated {
  std::vector<double> deterministic;
  std::vector<double> random;
};

struct SeparationOptions {
  /// Samples per block, 0: 8192 or what the recording allows (a power of two near n/12). Lines
  /// closer than about 4 rate/block share their fate.
  std::size_t block{0};
  /// Samples between a block and its delayed copy, 0: one block. Must exceed the correlation time
  /// of the random part and keep the deterministic part correlated.
  std::size_t delay{0};
};

/// Discrete and random parts by the coherence between the recording and its delayed copy: it is
/// near 1 on lines that persist over the delay and near 0 elsewhere. Its magnitude, with the bias
/// of M averages taken off and lines within chance (0.1 % each) set to 0, filters the recording
/// block by block (overlap and add).
/// Shape:    x [n] -> two arrays [n] Accuracy: a steady line 20 dB above the noise in its own line
/// width keeps less than 5 % of its
///           amplitude in the random part; white noise loses less than 3 % of its power to the
///           deterministic part (records of at least 30 blocks); less than a block from an end
///           more of the line stays
/// Errors:   too_short if fewer than 4 blocks and a delay fit; bad_argument if rate <= 0, or a
/// block
///           is given below 16
/// Source:   [antoni2004], whose complex transfer function, applied to the delayed record, is
/// replaced by
///           its magnitude applied to the recording
[[nodiscard]] Result<Separated> separate_deterministic(std::span<const double> x, Hz rate,
                                                       FftPlans& plans,
                                                       const SeparationOptions& options = {});

struct AdaptiveOptions {
  std::size_t taps{256};   ///< length of the predictor
  std::size_t delay{256};  ///< samples it looks ahead, above the random part's correlation time
  double step{0.005};      ///< normalised step, 0 < step < 2; smaller is finer and slower
  int passes{2};           ///< passes over the recording; the output is that of the last
};

/// The same by a normalised least-mean-squares predictor from the delayed record: follows lines
/// that drift. Costs taps * n multiplications a pass.
/// Accuracy: a steady line at the noise's level is reduced by 20 dB or more once adapted
/// Errors:   too_short if n < delay + 4 taps; bad_argument if an option is outside its range
/// Source:   [widrow1975] (adaptive line enhancer)
[[nodiscard]] Result<Separated> separate_adaptive(std::span<const double> x,
                                                  const AdaptiveOptions& options = {});

struct HarmonicOptions {
  int harmonics{0};      ///< how many multiples; 0: all below rate/2
  double half_lines{3};  ///< lines of rate/n on each side of a harmonic that are replaced
  /// Additional half width as a fraction of the harmonic's frequency: the speed's uncertainty or
  /// variation.
  double relative_width{0};
};

/// The recording without the multiples of a frequency (mains, shaft): lines around each are
/// replaced by lines of the neighbourhood's root-mean-square magnitude with their own phase where
/// they are above it, so no hole is left that an envelope would show. Only the ends of lines much
/// stronger than their surroundings leak beyond the width in a recording that holds no whole number
/// of periods.
/// Shape:    x [n] -> y [n] Accuracy: a line on a bin is reduced to the level of the lines around
/// it. Half-way between bins a
///           steady line leaks as 1/(pi d) at d lines: with half_lines = 3 it keeps about a third
///           of its rms, spread over its neighbourhood (a tenth near its own frequency); a wider
///           notch or a recording of whole periods leaves less
/// Errors:   bad_argument if rate or fundamental is not positive, the fundamental is at or above
///           rate/2, or an option is negative; too_short if the recording is shorter than 16
///           periods
[[nodiscard]] Result<std::vector<double>> remove_harmonics(std::span<const double> x, Hz rate,
                                                           Hz fundamental, FftPlans& plans,
                                                           const HarmonicOptions& options = {});

/// Mean of the recording over its periods, for recordings whose period is a whole number of samples
/// (after angle-domain resampling it is by construction). Noise falls by the root of the number of
/// periods.
/// Shape:    x [n], n >= period -> average [period], over floor(n / period) periods
/// Errors:   std::invalid_argument if period is 0 or above n
/// Source:   [braun1975]
[[nodiscard]] std::vector<double> synchronous_average(std::span<const double> x,
                                                      std::size_t period);
/// x with its synchronous average taken off every period, the incomplete last one included.
/// Shape: x [n] -> [n]
[[nodiscard]] std::vector<double> remove_synchronous(std::span<const double> x, std::size_t period);

}  // namespace bearingdsp
