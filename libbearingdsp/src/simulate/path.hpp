#pragma once
/// The way from an impact to the sensor: decaying resonances, summed exactly at sub-sample times.
#include <complex>
#include <span>
#include <vector>

#include "bearingdsp/simulate/simulation.hpp"

namespace bearingdsp::simulation {

/// An impact: when (sample index with its fraction) and how strong.
struct Blow {
  double index{0};
  double strength{0};
};

class Path {
 public:
  /// Keeps the resonances below half the rate (Hz).
  Path(std::span<const Resonance> resonances, double rate);

  [[nodiscard]] bool empty() const noexcept { return modes_.empty(); }
  /// Adds the response to each blow to `out`; a blow of strength 1 has a largest magnitude of 1.
  /// Blows must be sorted by index. Overlapping responses add.
  void ring(std::span<const Blow> blows, std::span<double> out) const;
  /// Adds the response to a continuous excitation; white noise of unit variance gives rms 1.
  void excite(std::span<const double> excitation, std::span<double> out) const;

 private:
  struct Mode {
    std::complex<double> exponent;  ///< per sample
    std::complex<double> step;      ///< exp(exponent)
    double gain;
  };
  std::vector<Mode> modes_;
  double per_peak_{1};
  double per_rms_{1};
};

}  // namespace bearingdsp::simulation
