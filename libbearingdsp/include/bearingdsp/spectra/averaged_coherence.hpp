#pragma once
/// The cyclic coherence by its definition: cross-spectra of the recording shifted by half the
/// cyclic frequency to both sides, averaged over segments. cyclic_coherence() is the fast map.
#include <cstddef>
#include <span>
#include <vector>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/dsp/fft.hpp"

namespace bearingdsp {

struct AveragedCoherenceOptions {
  std::size_t segment{256};  ///< samples, even: the resolution of the carrier is rate / segment
  /// Fraction shared with the next segment, 0.5 <= overlap < 1. Less than two thirds leaves
  /// leakage at multiples of rate / step.
  double overlap{0.75};
};

/// Squared magnitude of the cyclic coherence over cyclic frequency and carrier.
struct AveragedCoherence {
  std::vector<double> cyclic_hz;  ///< as asked for, Hz
  Hz line_spacing;                ///< of the carrier: column k is at k * line_spacing
  /// 0: no pulsing at that rate, 1: nothing else. Without the bias of the estimate, so that it
  /// scatters about 0 where there is nothing and may be negative. NaN within half the cyclic
  /// frequency of 0 or of half the rate: there is no pair.
  /// Shape: [cyclic][segment/2 + 1]
  std::vector<std::vector<double>> squared;
  double averages{0};   ///< how many independent segments the overlapped ones are worth
  double by_chance{0};  ///< `squared` that stationary Gaussian noise exceeds in one cell of 1000
};

/// |S(f, a)|^2 / (S(f + a/2) S(f - a/2)), S(f, a) the mean of X(f + a/2) X*(f - a/2) over Hann
/// segments whose phase counts from the start of the recording. Its bias is taken off as
/// (c - 1/K) / (1 - 1/K) for K independent averages: exact where there is no coherence, within
/// 1/(4 K) elsewhere.
///
/// Shape:    x [n]; cyclic_hz [m], each above 0 and below the rate
/// Units:    cyclic_hz in Hz
/// Accuracy: a cyclic frequency is resolved to rate / n; a pulsation further off than that is not
///           seen. Cyclic frequencies below about 4 / segment of the rate also hold the
///           neighbourhood of the mean
/// Errors:   bad_argument for a figure out of range; too_short where the segments are worth less
///           than 4 independent averages
/// Source:   averaged cyclic periodogram and the overlap that it needs [antoni2007cyclic]; bias and
///           distribution of squared coherence [carter1973]; overlapped averages [welch1967]
[[nodiscard]] Result<AveragedCoherence> averaged_coherence(
    std::span<const double> x, Hz rate, std::span<const double> cyclic_hz, FftPlans& plans,
    const AveragedCoherenceOptions& options = {});

}  // namespace bearingdsp
