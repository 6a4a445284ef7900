#pragma once
/// Cepstrum and the two ways of flattening a spectrum: to its phase alone, or by its own smooth
/// shape.
#include <complex>
#include <cstddef>
#include <span>
#include <vector>

#include "bearingdsp/dsp/fft.hpp"

namespace bearingdsp {

/// Real cepstrum c = IDFT(ln |X|); quefrency of c[i] is i / rate. Lines weaker than 1e-12 of the
/// strongest count as that strong, so a spectrum with empty lines has a finite cepstrum; a
/// recording of zeros has a cepstrum of zeros.
/// Shape:  x [n], n >= 1 -> c [n], c[i] = c[n - i].
/// Errors: std::invalid_argument if x is empty Source: [bogert1963]; [oppenheim2010] section 13.1
[[nodiscard]] std::vector<double> real_cepstrum(std::span<const double> x, FftPlans& plans);

/// Every line of a one-sided spectrum divided by its magnitude: shaft lines become as small as any
/// other, resonances vanish, impulses stay. Lines weaker than 1e-12 of the strongest are made 0:
/// their phase is rounding.
/// Source: [sawalhi2011], [borghesani2013]
void whiten_to_phase(std::span<std::complex<double>> spectrum);

/// The recording with whitened spectrum, scaled to unit mean square (over lines that are not
/// empty).
/// Shape:    x [n], n >= 1 -> y [n].
/// Units: none. Accuracy: every kept line of y has magnitude sqrt(n) within 1e-12 Errors:
/// std::invalid_argument if x is empty
[[nodiscard]] std::vector<double> cepstral_prewhiten(std::span<const double> x, FftPlans& plans);

struct WhitenOptions {
  /// Lines on each side over which the shape is smoothed. Much wider than a line, narrower than a
  /// resonance: a few hundred for a recording of some seconds.
  std::size_t half{200};
};

/// Every line of a one-sided spectrum divided by the square root of the local noise floor of its
/// power (running median over knots half lines apart, straight between): resonances become level,
/// lines and bursts keep their height over the floor. The noise part has unit mean square per line.
/// The floor is held above 1e-20 of the strongest line's power.
/// Shape:  spectrum [m] in place
void whiten_by_floor(std::span<std::complex<double>> spectrum, const WhitenOptions& options = {});

/// The recording flattened by whiten_by_floor; white Gaussian noise comes out with unit variance.
/// Shape: x [n], n >= 1 -> y [n].
/// Units: none.
/// Errors: std::invalid_argument if x is empty
[[nodiscard]] std::vector<double> whiten(std::span<const double> x, FftPlans& plans,
                                         const WhitenOptions& options = {});

}  // namespace bearingdsp
