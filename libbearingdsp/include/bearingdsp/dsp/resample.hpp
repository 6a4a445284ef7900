#pragma once
/// Band-limited values between samples: one Kaiser-windowed sinc serves reading at arbitrary
/// positions, change of rate by any ratio, and decimation.
///
/// Accuracy of all three, with the default 100 dB and 32 samples each side: a sine below 0.9 of the
/// Nyquist frequency (of the slower of the two rates) keeps its amplitude and phase within 3e-5,
/// and what would alias below 0.9 of the new Nyquist frequency is down by 90 dB or more. Between
/// 0.9 and 1.0 the response falls to one half. A constant comes out exact to 1e-14. Half a kernel
/// from an end, samples beyond it are taken by point reflection (2 x[0] - x[i]) and these bounds do
/// not hold.
/// Source: [smith1984] J. Smith, P. Gossett, Proc. IEEE ICASSP, 19.4.1-4; [kaiser1974]
#include <cstddef>
#include <span>
#include <vector>

namespace bearingdsp {

struct InterpolationOptions {
  /// Samples on each side of a position that take part, at cutoff 1; 32 / cutoff below it.
  std::size_t half_width{32};
  double attenuation_db{100};  ///< stop band; more needs a wider kernel or a wider transition
  /// Middle of the transition band as a fraction of the input's Nyquist frequency, 0 < cutoff <= 1.
  /// Reading at positions d > 1 samples apart aliases unless cutoff <= 1/d.
  double cutoff{1};
};

/// Values of the band-limited signal through x at positions counted in samples (0 .. n-1, any
/// order).
/// Shape:  x [n], n >= 1; positions [m] -> y [m].
/// Units: U. Accuracy: see above.
/// Errors: std::invalid_argument if x is empty, a position is outside 0 .. n-1 or an option is
///         outside its range
/// Cost:   130 multiplications a value at the default width
[[nodiscard]] std::vector<double> interpolate_at(std::span<const double> x,
                                                 std::span<const double> positions,
                                                 const InterpolationOptions& options = {});

/// Change of rate: y[i] is the signal at input position i / ratio (ratio = new rate / old rate >
/// 0), low-passed first if ratio < 1.
/// Shape:  x [n], n >= 1 -> y [floor((n - 1) ratio) + 1]
/// Errors: std::invalid_argument as interpolate_at; ratio must lie in 1e-6 .. 1e6
[[nodiscard]] std::vector<double> resample(std::span<const double> x, double ratio,
                                           const InterpolationOptions& options = {});

/// Every factor-th sample after an anti-alias low-pass of zero phase. factor 1 copies.
/// Shape:  x [n], n >= 1 -> y [(n - 1) / factor + 1]
/// Errors: std::invalid_argument if x is empty or factor is 0
[[nodiscard]] std::vector<double> decimate(std::span<const double> x, std::size_t factor,
                                           const InterpolationOptions& options = {});

}  // namespace bearingdsp
