#include <algorithm>
#include <span>

#include "bearingdsp/comparison/acceptance.hpp"
#include "bearingdsp/dsp/integrate.hpp"
#include "bearingdsp/dsp/statistics.hpp"

namespace bearingdsp {
namespace {

constexpr double shortest_s = 1;
constexpr double slowest_hz = 2500;
// integrate() is not to be believed within two periods of the low corner from the ends.
constexpr double end_s = 0.2;

/// velocity_rms() weighs by omega^-2, 1 or omega^2 as the unit says. Called with the unit of the
/// derivative, it gives the rms of the samples themselves or of their integral.
Result<double> as(SampleUnit weight, std::span<const double> x, Hz rate, FftPlans& plans) {
  return velocity_rms(x, rate, weight, plans);
}
constexpr auto integral = SampleUnit::acceleration;
constexpr auto itself = SampleUnit::velocity;
constexpr auto derivative = SampleUnit::displacement;

/// Integral of x from 10 Hz up to `high`, without its ends.
Result<std::vector<double>> integrated(std::span<const double> x, Hz rate, Hz high,
                                       FftPlans& plans) {
  VelocityBand band;
  band.high = high;
  auto y = integrate(x, rate, plans, band);
  if (!y) return y.error();
  const auto end = static_cast<std::ptrdiff_t>(end_s * rate.value());
  return std::vector<double>(y->begin() + end, y->end() - end);
}

Result<NoLoadLevels> collected(const Result<double>& displacement, const Result<double>& velocity,
                               const Result<double>& acceleration, double velocity_peak) {
  for (const Result<double>* level : {&displacement, &velocity, &acceleration})
    if (!*level) return level->error();
  return NoLoadLevels{DisplacementRms{*displacement}, VelocityRms{*velocity},
                      AccelerationRms{*acceleration}, VelocityPeak{velocity_peak}};
}

}  // namespace

Result<NoLoadLevels> no_load_levels(const SignalView& axis, FftPlans& plans) {
  const double seconds = static_cast<double>(axis.x.size()) / axis.rate.value();
  if (axis.unit != SampleUnit::acceleration && axis.unit != SampleUnit::velocity)
    return Error{Errc::missing_metadata, "unit",
                 "limits of standards need acceleration or velocity",
                 "give --unit, and for an audio file --full-scale"};
  if (!(axis.rate.value() > slowest_hz) || !(seconds >= shortest_s))
    return Error{Errc::too_short, "recording",
                 "levels of 10-1000 Hz need 1 s or more at a rate above 2.5 kHz",
                 "record 10 s at 25600 samples/s"};
  const Hz rate = axis.rate;
  if (axis.unit == SampleUnit::velocity) {
    const std::vector<double> v = remove_mean(axis.x);
    return collected(as(integral, v, rate, plans), as(itself, v, rate, plans),
                     as(derivative, v, rate, plans), peak(v));
  }
  const auto narrow = integrated(axis.x, rate, Hz{1000}, plans);
  if (!narrow) return narrow.error();
  const auto wide = integrated(axis.x, rate, std::min(0.4 * rate, Hz{10'000}), plans);
  if (!wide) return wide.error();
  return collected(as(integral, *narrow, rate, plans), as(integral, axis.x, rate, plans),
                   as(itself, axis.x, rate, plans), peak(*wide));
}

NoLoadLevels larger(const NoLoadLevels& a, const NoLoadLevels& b) noexcept {
  return {std::max(a.displacement, b.displacement), std::max(a.velocity, b.velocity),
          std::max(a.acceleration, b.acceleration), std::max(a.velocity_peak, b.velocity_peak)};
}

}  // namespace bearingdsp
