#include "bearingdsp/condition/prepare.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "bearingdsp/dsp/resample.hpp"
#include "bearingdsp/dsp/statistics.hpp"

namespace bearingdsp {

Conditioned condition(SignalView signal) {
  return {{signal.x.begin(), signal.x.end()}, signal.rate, signal.unit, {}};
}

Result<Conditioned> calibrate(Conditioned signal, double units_per_sample, SampleUnit unit) {
  if (!std::isfinite(units_per_sample) || units_per_sample == 0)
    return Error{Errc::bad_argument, "calibration", "the factor is 0 or not a number",
                 "give what one unit of the samples stands for"};
  const bool raw = signal.unit == SampleUnit::volt || signal.unit == SampleUnit::uncalibrated;
  if (!raw && signal.unit != unit)
    return Error{Errc::bad_argument, "calibration",
                 fmt::format("the samples are already in {}", symbol(signal.unit)),
                 "remove the sensitivity"};
  for (double& v : signal.x) v *= units_per_sample;
  signal.unit = unit;
  signal.trail.push_back(
      {"calibrate", fmt::format("factor={} unit={}", units_per_sample, symbol(unit))});
  return signal;
}

Conditioned without_mean(Conditioned signal) {
  const double m = mean(signal.x);
  for (double& v : signal.x) v -= m;
  signal.trail.push_back({"remove_mean", fmt::format("mean={:.6g}", m)});
  return signal;
}

Conditioned without_drift(Conditioned signal) {
  const Line line = fit_line(signal.x);
  for (std::size_t i = 0; i < signal.x.size(); ++i)
    signal.x[i] -= line.offset + line.slope * static_cast<double>(i);
  signal.trail.push_back(
      {"remove_drift", fmt::format("offset={:.6g} slope_per_s={:.6g}", line.offset,
                                   line.slope * signal.rate.value())});
  return signal;
}

Result<Conditioned> to_velocity(Conditioned signal, FftPlans& plans, const VelocityBand& band) {
  if (signal.unit != SampleUnit::acceleration)
    return Error{Errc::missing_metadata, "velocity", "samples are not known to be acceleration",
                 "state the unit or the sensor's sensitivity"};
  auto v = integrate(signal.x, signal.rate, plans, band);
  if (!v) return v.error();
  signal.x = std::move(v).value();
  signal.unit = SampleUnit::velocity;
  signal.trail.push_back(
      {"integrate", fmt::format("low={} Hz high={} Hz", band.low.value(), band.high.value())});
  return signal;
}

Result<Conditioned> slowed(Conditioned signal, std::size_t factor) {
  if (factor == 0) return Error{Errc::bad_argument, "decimation", "factor is 0", "give 1 or more"};
  if (signal.x.size() < factor + 1)
    return Error{
        Errc::too_short, "decimation",
        fmt::format("{} samples, factor {} would leave fewer than 2", signal.x.size(), factor),
        "use a smaller factor"};
  signal.x = decimate(signal.x, factor);
  signal.rate = signal.rate / static_cast<double>(factor);
  signal.trail.push_back({"decimate", fmt::format("factor={}", factor)});
  return signal;
}

}  // namespace bearingdsp
