#pragma once
/// The envelope spectrum as a level in the unit of the samples, for pictures. It decides nothing.
#include <optional>

#include "bearingdsp/core/band.hpp"
#include "verdict/shared_bands.hpp"

namespace bearingdsp {

/// Amplitude spectrum (Hann, rms) of the envelope of a band, mean removed, over multiples of the
/// shaft's rate up to `highest`: of the live axis whose envelope is highest there
/// (SignalFigures::envelope_rms). None where that is not known.
/// Units: samples in U -> U rms: an envelope A (1 + m cos) reads A m / sqrt(2) at its rate
/// Source: magnitude of the analytic signal [randall2011] section 5; scaling: closed form, and
/// SciPy in tests/python/test_reference.py
[[nodiscard]] std::optional<Curve> envelope_amplitude(const ExaminationDetail& detail,
                                                      const SharedBands& shared,
                                                      const Diagnosis& diagnosis, Band band,
                                                      Order highest, FftPlans& plans);

}  // namespace bearingdsp
