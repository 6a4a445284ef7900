#pragma once
/// The plain spectrum of one axis, read at shaft orders. Internal to evidence/.
#include <complex>
#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/dsp/fft.hpp"

namespace bearingdsp::detail {

/// One line above its local floor.
struct LineLevel {
  double frequency{0};   ///< Hz, of the strongest bin
  double power{0};       ///< mean square of the line as acceleration, its floor taken off
  double prominence{0};  ///< strongest bin over the mean power of the noise beside it
};

/// Mean square per bin as acceleration (a velocity or displacement is differentiated in the
/// frequency domain), with a Hann window, and a few figures of the waveform. Without a calibrated
/// unit the acceleration is in unknown units: only ratios mean anything.
class AxisSpectrum {
 public:
  /// known: the forward transform of the first good_fft_size_below(n) samples, the line at 0 Hz set
  /// to 0, if not empty.
  AxisSpectrum(const SignalView& axis, std::string name,
               std::span<const std::complex<double>> known, FftPlans& plans);

  [[nodiscard]] const std::string& name() const noexcept { return name_; }
  [[nodiscard]] bool calibrated() const noexcept { return calibrated_; }
  [[nodiscard]] bool usable() const noexcept { return total_ > 0; }
  [[nodiscard]] bool axial() const noexcept { return axial_; }
  [[nodiscard]] double spacing() const noexcept { return df_; }
  [[nodiscard]] double rate() const noexcept { return rate_; }
  [[nodiscard]] double nyquist() const noexcept { return rate_ / 2; }
  [[nodiscard]] std::size_t bins() const noexcept { return power_.size(); }
  [[nodiscard]] double bin_power(std::size_t k) const noexcept { return power_[k]; }

  /// Strongest line within half_width of f (at least two bins each way), floor from within
  /// floor_width each way.
  [[nodiscard]] LineLevel line(double f, double half_width, double floor_width) const;
  /// Mean square of the acceleration from low to high.
  [[nodiscard]] double acceleration_power(double low, double high) const;
  /// Mean square of the velocity from low to high (low > 0).
  [[nodiscard]] double velocity_power(double low, double high) const;
  /// Skewness of the displacement made of the lines from low to high: a rub or a stop cuts one
  /// side off. 0 if there is too little to tell.
  [[nodiscard]] double displacement_skewness(double low, double high, FftPlans& plans) const;

 private:
  [[nodiscard]] double power_between(double low, double high, bool velocity) const;

  std::string name_;
  bool calibrated_{false};
  bool axial_{false};
  double rate_{0};
  double df_{0};
  double total_{0};
  std::vector<double> power_;
  std::vector<std::complex<double>> bins_;  ///< windowed transform as acceleration, low part only
};

/// Mean square of a line as velocity, from its mean square as acceleration.
[[nodiscard]] double velocity_of(const LineLevel& line) noexcept;

}  // namespace bearingdsp::detail
