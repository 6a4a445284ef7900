#pragma once
/// In which band a recording is most impulsive: the spectral kurtosis of every band of a tree.
#include <cstddef>
#include <vector>

#include "bearingdsp/core/band.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/spectra/envelope_spectrum.hpp"

namespace bearingdsp {

/// Spectral kurtosis by band. The three lists belong together.
struct Kurtogram {
  std::vector<Band> bands;  ///< of band_tree(), from the whole band to the narrowest
  /// mean(|z|^4) / mean(|z|^2)^2 - 2 of the band's complex envelope z: 0 for stationary Gaussian
  /// noise, -1 for a sine, high where single bursts exceed the rest.
  /// Shape: [bands]
  std::vector<double> kurtosis;
  /// Standard deviation of the kurtosis of Gaussian noise, sqrt(8/3 / (width x duration)): narrow
  /// bands scatter most.
  /// Shape: [bands]
  std::vector<double> deviation;
  std::size_t best{0};  ///< index of the largest kurtosis
};

/// The kurtogram of a recording on the tree of halves and thirds.
/// Units:    narrowest in Hz: bands are not narrower. For bearings several times the highest
///           impact rate, or single impacts run together
/// Accuracy: 2e-6 of the largest value (single precision); no aliasing: each band is read at twice
///           its width. Bands are cut sharply, so a tone at a cut rings into both sides
/// Errors:   std::invalid_argument for a recording whose narrowest band holds less than 8 lines
/// Source:   kurtogram and the tree [antoni2007]; spectral kurtosis of noise and of sums
///           [antoni2006]
[[nodiscard]] Kurtogram kurtogram(const RecordSpectrum& spectrum, Hz narrowest, FftPlans& plans);

}  // namespace bearingdsp
