#pragma once
/// Analytic signals and envelopes. A band is cut out of the record's one-sided spectrum and
/// transformed back at the band's own width: no filter to design, no full-length inverse transform.
/// Source: [randall2011] R. Randall, J. Antoni, Mech. Syst. Signal Process. 25, 485-520, section 5
#include <complex>
#include <cstddef>
#include <limits>
#include <span>
#include <vector>

#include "bearingdsp/dsp/fft.hpp"

namespace bearingdsp {

/// Options of squared_envelope.
struct SquaredEnvelopeOptions {
  /// Highest spectral line of the squared envelope that must be free of aliasing, in lines of
  /// rate/n. The squared envelope of a band of B lines has lines up to B - 1; the inverse transform
  /// has at least B + alias_free_lines points, so lines up to that one are exact and those above
  /// are folded. The default keeps them all (twice the band's width). 0 transforms at the band's
  /// width: the cheapest, each line k then also holds line B - k.
  std::size_t alias_free_lines{std::numeric_limits<std::size_t>::max()};
  /// Half-cosine slope at each edge of the band, in lines inside the band (0: a sharp cut, which
  /// rings; the ringing is below the slope's reciprocal length). At most half the band.
  std::size_t edge_lines{0};
};

/// Squared magnitude of the analytic signal of the lines first <= k < last of a recording.
/// Shape:    spectrum [n/2 + 1] (unscaled RealFft::forward of a recording of n samples), B = last -
///           first lines -> y [m], m = good_fft_size(min(B + alias_free_lines, 2B - 1)); y covers
///           the record's duration evenly, at the rate m/n * record rate
/// Units:    record in U -> U^2. A sine of amplitude A gives A^2: the mean of y is twice the mean
///           square of the band's signal (exactly, for 0 < first and last <= n/2)
/// Lines:    the transform of y has the record's own line spacing: line k is at k * rate / n
/// Accuracy: mean within 1e-13 relative of the sum over the lines
/// Errors:   std::invalid_argument if spectrum does not belong to n, the band is empty or outside
[[nodiscard]] std::vector<double> squared_envelope(std::span<const std::complex<double>> spectrum,
                                                   std::size_t n, std::size_t first,
                                                   std::size_t last, FftPlans& plans,
                                                   const SquaredEnvelopeOptions& options = {});

/// Complex envelope of a band: its analytic signal moved to 0 Hz at m >= last - first points,
/// m chosen by the caller (good_fft_size(...)); |z|^2 is the squared envelope.
/// Shape: spectrum [n/2 + 1] -> z [m]. Units, errors: as squared_envelope; also if m < last - first
[[nodiscard]] std::vector<std::complex<double>> complex_envelope(
    std::span<const std::complex<double>> spectrum, std::size_t n, std::size_t first,
    std::size_t last, std::size_t m, FftPlans& plans, std::size_t edge_lines = 0);

/// The same into arrays of the caller's, for runs over many bands.
/// Shape: work [m] (its content is lost) -> z [m], two different arrays.
void complex_envelope(std::span<const std::complex<double>> spectrum, std::size_t n,
                      std::size_t first, std::size_t last, FftPlans& plans, std::size_t edge_lines,
                      std::span<std::complex<double>> work, std::span<std::complex<double>> z);

/// x + i H{x} by the one-sided spectrum; the real part is x.
/// Shape: x [n], n >= 1 -> [n]. The recording is taken as periodic: its ends see each other.
/// Errors: std::invalid_argument for n = 0
[[nodiscard]] std::vector<std::complex<double>> analytic_signal(std::span<const double> x,
                                                                FftPlans& plans);
/// Magnitude of the analytic signal.
/// Shape: x [n] -> [n].
/// Units: U.
[[nodiscard]] std::vector<double> envelope(std::span<const double> x, FftPlans& plans);

}  // namespace bearingdsp
