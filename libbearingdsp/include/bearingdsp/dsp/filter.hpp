#pragma once
/// Filters: zero-phase band filters in the frequency domain, and Butterworth sections for long
/// recordings or causal use.
#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/dsp/fft.hpp"

namespace bearingdsp {

/// Zero-phase gain: 1 from low to high, half-cosine slopes of the given width centred on the two
/// corners (gain one half at a corner).
struct BandShape {
  Hz low{0};    ///< 0: no lower corner
  Hz high{0};   ///< 0: no upper corner
  Hz slope{0};  ///< full width of each slope; 0 is a sharp cut, which rings
};

/// Gain of the shape at a frequency >= 0, in 0 .. 1.
[[nodiscard]] double band_gain(const BandShape& shape, Hz f) noexcept;

/// x through the shape, in the frequency domain. The ends are mirrored (with a lower corner) or
/// point-reflected over four periods of the narrowest feature and faded out, so a recording need
/// not be periodic.
/// Shape:    x [n], n >= 1 -> y [n] Accuracy: 1e-5 of the amplitude for a sine in the flat part
/// away from the ends; within about one
///           reciprocal slope width (or period of the corner) of an end the reflection is a guess
/// Errors:   bad_argument if rate <= 0, a corner is negative, low >= high (both given), low is at
///           or above rate/2, or slope is negative; too_short if n = 0
[[nodiscard]] Result<std::vector<double>> filter_band(std::span<const double> x, Hz rate,
                                                      const BandShape& shape, FftPlans& plans);

/// Second-order section, a[0] = 1: y = (b0 + b1/z + b2/z^2) / (1 + a1/z + a2/z^2) x.
struct Biquad {
  std::array<double, 3> b{1, 0, 0};
  std::array<double, 2> a{0, 0};  ///< a1, a2
};

enum class FilterKind : std::uint8_t { low_pass, high_pass, band_pass };

struct ButterworthDesign {
  FilterKind kind{FilterKind::low_pass};
  int order{4};  ///< of the low-pass prototype, 1 .. 20; a band-pass has twice as many poles
  Hz low{0};     ///< lower -3 dB corner (high_pass, band_pass)
  Hz high{0};    ///< upper -3 dB corner (low_pass, band_pass)
};

/// Butterworth filter by the bilinear transform with its corners pre-warped.
/// Accuracy: response within 1e-10 of the exact design for corners above 1e-4 of the rate
/// Errors:   bad_argument if order is not 1 .. 20 or a corner is not inside (0, rate/2)
/// Source:   [oppenheim2010] section 7.2
[[nodiscard]] Result<std::vector<Biquad>> butterworth(const ButterworthDesign& design, Hz rate);

/// Magnitude of a cascade at a frequency.
[[nodiscard]] double response(std::span<const Biquad> sections, Hz f, Hz rate);

/// Causal filtering from rest.
/// Shape: x [n] -> y [n].
[[nodiscard]] std::vector<double> filter_forward(std::span<const Biquad> sections,
                                                 std::span<const double> x);

/// Forward and backward: zero phase, the cascade's magnitude squared. The ends are continued by
/// point reflection until the slowest pole has decayed to 1e-6 (at most n - 1 samples) and each
/// pass starts in the steady state of its first sample.
/// Shape: x [n], n >= 1 -> y [n].
/// Errors: std::invalid_argument if x is empty
/// Source: [gustafsson1996] for the problem of the ends; the simpler reflection is used here
[[nodiscard]] std::vector<double> filter_zero_phase(std::span<const Biquad> sections,
                                                    std::span<const double> x);

}  // namespace bearingdsp
