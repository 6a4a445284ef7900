#pragma once
/// Squared envelope spectra of bands that are cut out of one forward transform of the recording.
#include <complex>
#include <cstddef>
#include <memory>
#include <span>
#include <vector>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/band.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/speed/phase_track.hpp"

namespace bearingdsp {

/// One-sided transform of a whole recording, from which any band can be demodulated without filter
/// design.
/// Shape: bins [n/2 + 1], bins[k] at k * line_spacing(). The mean is removed before the transform.
/// With a track of the shaft's angle, envelopes are read at even steps of the angle before their
/// own transform, so that a line's place is its order times the mean rate: resonances stay where
/// they are in Hz, and order lines stay sharp while the speed changes (source: [abboud2017]).
struct RecordSpectrum {
  std::vector<std::complex<double>> bins;
  std::size_t n{0};
  Hz rate;
  std::shared_ptr<const PhaseTrack> track{};  ///< null: the shaft turns evenly
  /// How many turns the lines are counted by where there is a track; 0: those of the track. Pieces
  /// of one recording share their mean, so that an order has one line in all of them.
  double turns{0};
  [[nodiscard]] Hz line_spacing() const noexcept { return rate / static_cast<double>(n); }
};

/// Forward transform of a recording. Up to 1 % of the samples at the end may be left out so that
/// the length has only small prime factors (the cost of a transform depends on it).
/// Shape: signal.x [n], n >= 16.
/// Errors: std::invalid_argument if shorter.
[[nodiscard]] RecordSpectrum record_spectrum(const SignalView& signal, FftPlans& plans);

/// With a flat floor: each bin is divided by the root of the power smoothed over `smoothing`, so
/// that every frequency weighs alike while bursts (fast changes along the frequency axis) stay. A
/// spectrum that is moved in is changed in place. bins [n/2 + 1] in, as many out, without a unit.
/// smoothing: at least two lines to each side are taken.
/// Errors: none.
/// Source: smoothed variant of cepstral pre-whitening [borghesani2013].
[[nodiscard]] RecordSpectrum flattened(RecordSpectrum spectrum, Hz smoothing);

/// Spectrum of the squared envelope of one band, as modulation depth.
/// depth2[k] is (amplitude of the line at k * line_spacing over the mean of the squared
/// envelope)^2, so that a squared envelope 1 + m cos(wt) reads m^2 at w whatever the gain.
struct EnvelopeSpectrum {
  std::vector<double> depth2;
  Hz line_spacing;
  Band band;
  double mean_square{0};  ///< of the band's signal, unit of the samples squared
  double kurtosis{
      0};  ///< spectral kurtosis of the band: mean(e^4) / mean(e^2)^2 - 2; 0 for Gaussian noise
  double enbw_bins{1.5};  ///< noise bandwidth of the window, bins
};

/// Squared envelope spectrum of a band: the band's bins are shifted to zero, transformed back at
/// the band's own rate, squared, Hann-windowed and transformed again.
/// Shape: depth2 [m], covering 0 .. up_to (or the band's width, if that is less). Accuracy: no
/// aliasing below up_to.
/// Errors: std::invalid_argument for an empty band.
/// Source: [randall2011] section 5 (one-sided spectrum demodulation); squared, not plain, envelope
/// [ho2000].
[[nodiscard]] EnvelopeSpectrum squared_envelope_spectrum(const RecordSpectrum& spectrum, Band band,
                                                         Hz up_to, FftPlans& plans);

/// The same for several bands of one recording, in their order. Bands of one width that follow each
/// other share a transform, two by two. Accuracy: as above, within 1e-13 of the deepest line.
[[nodiscard]] std::vector<EnvelopeSpectrum> squared_envelope_spectra(const RecordSpectrum& spectrum,
                                                                     std::span<const Band> bands,
                                                                     Hz up_to, FftPlans& plans);

/// Bands to try: the whole band, then halves, thirds, quarters ... with half-width overlaps, down
/// to the narrowest width. Shape of the tree: 1/3-binary as in the fast kurtogram [antoni2007].
[[nodiscard]] std::vector<Band> band_tree(Hz rate, Hz narrowest);

}  // namespace bearingdsp
