#pragma once
/// What a recording shows of whether its shaft turned evenly, and whether it holds impacts that a
/// changing speed could hide.
#include <span>
#include <vector>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/basis.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/spectra/envelope_spectrum.hpp"

namespace bearingdsp {

/// Whether one line near a low harmonic of the rate holds most of the power round it, and keeps its
/// frequency through the recording to MotionModel::unsteady: then the shaft turned evenly. Lines of
/// the supply are passed over, because they do not follow the shaft.
/// Source: closed form; differences of phase between overlapping parts of the recording
[[nodiscard]] bool steady_harmonic(std::span<const SignalView> axes, Hz rate, const Basis& basis,
                                   FftPlans& plans);
/// The same on spectra of the axes that are there already.
[[nodiscard]] bool steady_harmonic(std::span<const RecordSpectrum> axes, Hz rate,
                                   const Basis& basis);

/// Kurtosis of an axis with an even spectrum, without what no bearing does: what recurs with the
/// supply (twice a period), and single events that are rarer than a cage turns. Near 3 (2.9, since
/// the strongest events of noise go as well) where no impacts are left.
/// Source: fourth moment over the square of the second

[[nodiscard]] double impulsiveness_left(const RecordSpectrum& axis, Hz rate, const Basis& basis,
                                        FftPlans& plans);

/// The spectrum of each axis.
/// Errors: std::invalid_argument for less than 16 samples
[[nodiscard]] std::vector<RecordSpectrum> record_spectra(std::span<const SignalView> axes,
                                                         FftPlans& plans);

/// What squared envelopes hold of impacts whose rate changes, between 2 and 12 times the rate of the
/// shaft: the highest hump of their spectra, in deviations of noise above both sides. It is wider
/// than a line; lines themselves do not make one, nor does a spectrum that falls or rises evenly.
/// Noise leaves 4 or less.
/// Source: closed form; variance of means of exponentially distributed powers
[[nodiscard]] double smeared_impacts(std::span<const SignalView> envelopes, Hz rate,
                                     const ModelParameters& model, FftPlans& plans);

}  // namespace bearingdsp
