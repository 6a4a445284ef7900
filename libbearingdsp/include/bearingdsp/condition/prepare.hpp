#pragma once
/// A channel made ready for analysis: calibrated, freed of offset and drift, integrated, slowed
/// down. Each step takes the signal and returns it with one more entry in its trail.
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/trail.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/dsp/integrate.hpp"

namespace bearingdsp {

/// Samples that own themselves, with rate, unit and what was done to them.
struct Conditioned {
  std::vector<double> x;
  Hz rate;
  SampleUnit unit{SampleUnit::uncalibrated};
  Trail trail;

  [[nodiscard]] SignalView view() const& { return {x, rate, unit}; }
  SignalView view() && = delete;
};

/// The channel as it is, with an empty trail.
[[nodiscard]] Conditioned condition(SignalView signal);

/// Samples in V (or raw counts) divided by the sensor's sensitivity.
/// units_per_sample: what one unit of the samples stands for, in the SI unit given (a sensor of
/// 100 mV/g on samples in V: from_g(1) / 0.1 m/s^2 per V). Sign kept: a negative factor turns the
/// sensor round.
/// Errors: bad_argument if the factor is 0 or not finite, or the samples already are in a physical
///         unit other than the one given
[[nodiscard]] Result<Conditioned> calibrate(Conditioned signal, double units_per_sample,
                                            SampleUnit unit);

[[nodiscard]] Conditioned without_mean(Conditioned signal);   ///< mean removed (needs a sample)
[[nodiscard]] Conditioned without_drift(Conditioned signal);  ///< straight line removed

/// Acceleration to velocity in the band (see integrate()).
/// Errors: missing_metadata if the samples are not acceleration; those of integrate()
[[nodiscard]] Result<Conditioned> to_velocity(Conditioned signal, FftPlans& plans,
                                              const VelocityBand& band = {});

/// Every factor-th sample after an anti-alias filter (see decimate()).
/// Errors: bad_argument if factor is 0; too_short if fewer than 2 samples would be left
[[nodiscard]] Result<Conditioned> slowed(Conditioned signal, std::size_t factor);

}  // namespace bearingdsp
