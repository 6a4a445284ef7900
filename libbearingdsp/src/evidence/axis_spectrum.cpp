#include "evidence/axis_spectrum.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <numbers>
#include <utility>

#include "bearingdsp/core/letters.hpp"
#include "bearingdsp/dsp/noise_floor.hpp"
#include "bearingdsp/dsp/statistics.hpp"
#include "bearingdsp/dsp/window.hpp"

namespace bearingdsp::detail {
namespace {

constexpr double two_pi = 2 * std::numbers::pi;
/// Bins kept with their phase, for the low-frequency waveform.
constexpr std::size_t max_phase_bins = 1U << 14U;

bool says_axial(const std::string& axis_name) {
  const std::string text = lower(axis_name);
  if (text.find("axial") != std::string::npos) return true;
  const std::size_t cut = text.find_last_of(" _-.");
  const std::string last = cut == std::string::npos ? text : text.substr(cut + 1);
  return last == "ax" || last == "a";
}

/// Power of (2 pi f) that turns the unit into acceleration.
int derivatives(SampleUnit unit) {
  if (unit == SampleUnit::velocity) return 1;
  if (unit == SampleUnit::displacement) return 2;
  return 0;
}

}  // namespace

AxisSpectrum::AxisSpectrum(const SignalView& axis, std::string name,
                           std::span<const std::complex<double>> known, FftPlans& plans)
    : name_{std::move(name)}, axial_{says_axial(name_)}, rate_{axis.rate.value()} {
  calibrated_ = axis.unit == SampleUnit::acceleration || axis.unit == SampleUnit::velocity ||
                axis.unit == SampleUnit::displacement;
  if (axis.x.size() < 256) return;
  const std::size_t n = good_fft_size_below(axis.x.size());
  df_ = rate_ / static_cast<double>(n);

  std::vector<std::complex<double>> made(known.empty() ? n / 2 + 1 : 0);
  if (known.empty()) {
    plans.real(n)->forward(axis.x.first(n), made);
    made[0] = 0;  // the mean
  }
  const std::span<const std::complex<double>> spectrum = known.empty() ? std::span{made} : known;
  const double window_power = 0.375 * static_cast<double>(n);  // sum of the squared window
  const int times = derivatives(axis.unit);
  const double scale = 2 / (window_power * static_cast<double>(n));
  const std::complex<double> turn = times == 1 ? std::complex<double>{0, 1} : 1.0;
  power_.assign(spectrum.size(), 0);
  bins_.resize(std::min(spectrum.size(), max_phase_bins));
  // The Hann window is a sum over neighbours here, which spares two arrays as long as the
  // recording: w = 1/2 - cos(2 pi i / n) / 2 turns X[k] into X[k] / 2 - (X[k-1] + X[k+1]) / 4.
  // Before 0 Hz stands the conjugate of the first line.
  std::complex<double> before = std::conj(spectrum.size() > 1 ? spectrum[1] : spectrum[0]);
  for (std::size_t k = 0; k < spectrum.size(); ++k) {
    const std::complex<double> here = spectrum[k];
    // The line past the last one mirrors the one before it (n even) or the last one (n odd).
    const std::complex<double> after =
        k + 1 < spectrum.size() ? spectrum[k + 1] : std::conj(n % 2 == 0 ? before : here);
    const std::complex<double> windowed = 0.5 * here - 0.25 * (before + after);
    before = here;
    const double w = two_pi * df_ * static_cast<double>(k);
    if (k > 0) {
      const double gain = times == 0 ? 1.0 : times == 1 ? w : w * w;
      power_[k] = std::norm(windowed) * scale * gain * gain;
      total_ += power_[k];
    }
    if (k >= bins_.size()) continue;
    bins_[k] = windowed;
    bins_[k] *= times == 0 ? 1.0 : times == 1 ? w : -w * w;
    bins_[k] *= turn;
  }
  if (!std::isfinite(total_)) total_ = 0;
}

LineLevel AxisSpectrum::line(double f, double half_width, double floor_width) const {
  LineLevel out{.frequency = f};
  const double half = std::max(half_width, 1.5 * df_);
  const auto index = [&](double at) {
    return static_cast<std::size_t>(
        std::clamp(std::lround(at / df_), 1L, static_cast<long>(power_.size()) - 1));
  };
  if (!usable() || f + half >= nyquist()) return out;
  const std::size_t from = index(f - half);
  const std::size_t to = index(f + half);
  std::size_t best = from;
  for (std::size_t k = from; k <= to; ++k)
    if (power_[k] > power_[best]) best = k;

  std::vector<double> beside;
  const std::size_t floor_from = index(f - floor_width);
  const std::size_t floor_to = index(f + floor_width);
  for (std::size_t k = floor_from; k <= floor_to; ++k)
    if (k + 3 < best || k > best + 3) beside.push_back(power_[k]);
  if (beside.size() < 4) return out;
  const double floor = std::max(median(beside) / gamma_median_over_mean(1), total_ * 1e-18);

  const std::size_t low = best > 3 ? best - 2 : 1;
  const std::size_t high = std::min(best + 2, power_.size() - 1);
  double sum = 0;
  for (std::size_t k = low; k <= high; ++k) sum += power_[k];
  out.frequency = df_ * static_cast<double>(best);
  out.power = std::max(0.0, sum - floor * static_cast<double>(high - low + 1));
  out.prominence = power_[best] / floor;
  return out;
}

double AxisSpectrum::power_between(double low, double high, bool velocity) const {
  double sum = 0;
  const double first = std::max(1.0, std::ceil(low / df_));
  for (std::size_t k = static_cast<std::size_t>(first); k < power_.size(); ++k) {
    const double f = df_ * static_cast<double>(k);
    if (f > high) break;
    sum += velocity ? power_[k] / (two_pi * f * two_pi * f) : power_[k];
  }
  return sum;
}

double AxisSpectrum::acceleration_power(double low, double high) const {
  return power_between(low, high, false);
}

double AxisSpectrum::velocity_power(double low, double high) const {
  return power_between(low, high, true);
}

double AxisSpectrum::displacement_skewness(double low, double high, FftPlans& plans) const {
  const auto last = static_cast<std::size_t>(std::max(0.0, high / df_));
  if (last < 16 || last >= bins_.size()) return 0;
  const std::size_t n = good_fft_size(4 * last);
  std::vector<std::complex<double>> kept(n / 2 + 1);
  for (std::size_t k = 1; k <= last; ++k) {
    const double f = df_ * static_cast<double>(k);
    if (f >= low) kept[k] = bins_[k] / (f * f) * -1.0;
  }
  std::vector<double> wave(n);
  plans.real(n)->inverse(kept, wave);
  // The window is divided out where it is well above zero.
  const std::vector<double> window = make_window(n, {.kind = WindowKind::hann});
  std::vector<double> middle;
  for (std::size_t i = n / 4; i < n - n / 4; ++i) middle.push_back(wave[i] / window[i]);
  return skewness(middle);
}

double velocity_of(const LineLevel& line) noexcept {
  const double w = two_pi * line.frequency;
  return w > 0 ? line.power / (w * w) : 0;
}

}  // namespace bearingdsp::detail
