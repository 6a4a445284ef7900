#pragma once
/// Which carriers pulse at which rate: the cyclic coherence, averaged over bands of the carrier.
#include <span>
#include <vector>

#include "bearingdsp/core/band.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/spectra/envelope_spectrum.hpp"

namespace bearingdsp {

/// Magnitude over carrier (bands side by side) and cyclic frequency.
struct CoherenceMap {
  std::vector<Band> bands;  ///< of the carrier, ascending; shape [m]
  Hz step;                  ///< column c holds cyclic frequencies from c step to below (c + 1) step
  /// 0: no pulsing there; 1: the band does nothing but pulse so.
  /// Shape: [m][n]
  std::vector<std::vector<double>> magnitude;
  /// Gaussian noise reaches this in one cell of 1000.
  double by_chance{0};
};

/// The mean over each band of the cyclic coherence X(f + a/2) X*(f - a/2) / power, of a recording
/// with a flat spectrum. That mean is the line at a of the band's squared envelope over its mean,
/// so it is read from squared_envelope_spectrum(): half of the modulation depth. Of several lines
/// in a column the largest is kept, of several axes the root mean square.
///
/// Shape:    axes [k], k >= 1, flattened, of equal length and rate; up to 16 bands from 0 to 0.49
///           of the rate, fewer where they would be narrower than 1.2 up_to; at most 1024 columns
/// Units:    up_to in Hz, > 0: the highest cyclic frequency
/// Accuracy: by_chance is that of one axis; the pooled noise of several reaches less
/// Errors:   std::invalid_argument for no axis, or axes that differ
/// Source:   spectral coherence and its sum over carriers [antoni2007cyclic]; as an average over
///           bands, the fast way [antoni2017]; a line of the squared envelope spectrum is the
///           cyclic spectrum summed over the band [randall2001]
[[nodiscard]] CoherenceMap cyclic_coherence(std::span<const RecordSpectrum> axes, Hz up_to,
                                            FftPlans& plans);

}  // namespace bearingdsp
