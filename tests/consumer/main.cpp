// Fails unless the library is linked and works: the transform of a cosine of two cycles.
#include <bearingdsp/core/quantity.hpp>
#include <bearingdsp/dsp/fft.hpp>
#include <cmath>
#include <complex>
#include <cstdio>
#include <vector>

int main() {
  constexpr std::size_t n = 16;
  constexpr double two_pi = 6.283185307179586;
  std::vector<double> x(n);
  for (std::size_t i = 0; i < n; ++i)
    x[i] = std::cos(two_pi * 2.0 * static_cast<double>(i) / static_cast<double>(n));
  bearingdsp::FftPlans plans;
  std::vector<std::complex<double>> bins(n / 2 + 1);
  plans.real(n)->forward(x, bins);
  const bool right = std::abs(bins[2] - std::complex<double>{n / 2.0}) < 1e-12 &&
                     std::abs(bins[3]) < 1e-12 &&
                     bearingdsp::shaft_rate(bearingdsp::Rpm{1800}) == bearingdsp::Hz{30};
  std::puts(right ? "consumer: right" : "consumer: wrong");
  return right ? 0 : 1;
}
