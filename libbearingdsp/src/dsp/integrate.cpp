#include "bearingdsp/dsp/integrate.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <string>

#include "bearingdsp/dsp/filter.hpp"
#include "bearingdsp/dsp/spectrum.hpp"
#include "bearingdsp/dsp/statistics.hpp"
#include "dsp/detail.hpp"
#include "dsp/extend.hpp"

namespace bearingdsp {
namespace {

using detail::pi;
using detail::real;

constexpr double min_periods = 3;
constexpr double max_periods = 40;

Result<void> check(std::size_t n, Hz rate, const VelocityBand& band) {
  constexpr const char* where = "velocity";
  if (!(rate.value() > 0))
    return Error{Errc::bad_argument, where, "rate is not positive", "give the sampling rate"};
  if (!(band.low.value() > 0 && band.low < band.high))
    return Error{Errc::bad_argument, where, "band is empty or reversed", "use 10 to 1000 Hz"};
  if (band.low.value() >= rate.value() / 2)
    return Error{Errc::bad_argument, where, "the low cutoff is at or above half the sample rate",
                 "raise the sample rate or lower the cutoff"};
  if (real(n) * band.low.value() < min_periods * rate.value())
    return Error{Errc::too_short, where,
                 std::to_string(n) + " samples contain less than 3 periods of the low cutoff",
                 "record longer"};
  return {};
}

/// Power of omega that turns the mean square of the unit into that of velocity.
Result<int> power_to_velocity(SampleUnit unit) {
  if (unit == SampleUnit::acceleration) return -2;
  if (unit == SampleUnit::velocity) return 0;
  if (unit == SampleUnit::displacement) return 2;
  return Error{Errc::missing_metadata, "velocity",
               "samples are neither acceleration, velocity nor displacement",
               "state the unit or the sensor's sensitivity"};
}

/// Rms in the band of the samples times omega to half of `power_of_omega`.
Result<double> weighted_rms(std::span<const double> x, Hz rate, int power_of_omega, FftPlans& plans,
                            const VelocityBand& band) {
  if (const auto ok = check(x.size(), rate, band); !ok) return ok.error();
  const double longest = max_periods * rate.value() / band.low.value();
  WelchOptions o;
  o.segment = x.size();
  if (real(x.size()) > longest) {
    // Segments that end where the recording ends, so that nothing is left out.
    const double count = std::ceil(2 * real(x.size()) / longest);
    o.segment = good_fft_size_below(static_cast<std::size_t>(2 * real(x.size()) / (count + 1)));
  }
  o.trend = SegmentTrend::remove_line;
  const auto spectrum = welch(x, rate, plans, o);
  if (!spectrum) return spectrum.error();
  const double spacing = spectrum->line_spacing.value();
  double sum = 0;
  for (std::size_t k = 1; k < spectrum->y.size(); ++k) {
    const double f = real(k) * spacing;
    const double low = std::max(f - spacing / 2, band.low.value());
    const double high = std::min(f + spacing / 2, band.high.value());
    if (high <= low) continue;
    sum += spectrum->y[k] * (high - low) * std::pow(2 * pi * f, power_of_omega);
  }
  return std::sqrt(sum);
}

}  // namespace

Result<double> velocity_rms(std::span<const double> x, Hz rate, SampleUnit unit, FftPlans& plans,
                            const VelocityBand& band) {
  const auto power = power_to_velocity(unit);
  if (!power) return power.error();
  return weighted_rms(x, rate, *power, plans, band);
}

Result<double> displacement_rms(std::span<const double> x, Hz rate, SampleUnit unit,
                                FftPlans& plans, const VelocityBand& band) {
  const auto power = power_to_velocity(unit);
  if (!power) return power.error();
  return weighted_rms(x, rate, *power - 2, plans, band);
}

Result<std::vector<double>> integrate(std::span<const double> x, Hz rate, FftPlans& plans,
                                      const VelocityBand& band) {
  if (const auto ok = check(x.size(), rate, band); !ok) return ok.error();
  const std::size_t n = x.size();
  const auto straight = remove_line(x);
  const auto reach = static_cast<std::size_t>(
      std::min(real(n - 1), std::ceil(4 * rate.value() / band.low.value())));
  auto e = detail::mirror_ends(straight, reach, -1);
  detail::fade_ends(e, reach);
  e.resize(good_fft_size(e.size()), 0.0);
  const auto fft = plans.real(e.size());
  std::vector<std::complex<double>> bins(fft->bins());
  fft->forward(e, bins);
  const Hz spacing = rate / real(e.size());
  bins[0] = 0;
  for (std::size_t k = 1; k < bins.size(); ++k) {
    const Hz f = real(k) * spacing;
    const double gain = band_gain({.low = band.low, .slope = 0.5 * band.low}, f) *
                        band_gain({.high = band.high, .slope = 0.5 * band.high}, f);
    bins[k] *= std::complex<double>{0, -gain / (2 * pi * f.value() * real(e.size()))};
  }
  // Half the rate has no quadrature partner to turn into.
  if (e.size() % 2 == 0) bins.back() = 0;
  fft->inverse(bins, e);
  const auto first = e.begin() + static_cast<std::ptrdiff_t>(reach);
  return std::vector<double>(first, first + static_cast<std::ptrdiff_t>(n));
}

}  // namespace bearingdsp
