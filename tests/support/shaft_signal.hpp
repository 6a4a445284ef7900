#pragma once
/// Shaft harmonics with a known rate, for tests of speed.
#include <cmath>
#include <functional>
#include <numbers>
#include <vector>

#include "bearingdsp/simulate/random.hpp"

namespace test {

/// sum over h of amplitudes[h-1] sin(2 pi h angle(t) + h), angle in revolutions, plus white noise.
inline std::vector<double> shaft_signal(double rate, double seconds,
                                        const std::function<double(double)>& angle,
                                        const std::vector<double>& amplitudes, double noise,
                                        std::uint64_t seed) {
  bearingdsp::Random random{seed};
  std::vector<double> x(static_cast<std::size_t>(rate * seconds));
  for (std::size_t j = 0; j < x.size(); ++j) {
    const double a = angle(static_cast<double>(j) / rate);
    for (std::size_t h = 1; h <= amplitudes.size(); ++h)
      x[j] += amplitudes[h - 1] *
              std::sin(2 * std::numbers::pi * static_cast<double>(h) * a + static_cast<double>(h));
    x[j] += noise * random.normal();
  }
  return x;
}

inline void add_line(std::vector<double>& x, double rate, double f, double amplitude) {
  for (std::size_t j = 0; j < x.size(); ++j)
    x[j] += amplitude * std::sin(2 * std::numbers::pi * f * static_cast<double>(j) / rate + f);
}

}  // namespace test
