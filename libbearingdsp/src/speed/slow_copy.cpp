#include "slow_copy.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <numbers>

namespace bearingdsp::speed_detail {

namespace {

using Complex = std::complex<double>;

}  // namespace

SlowCopy slow_copy(SignalView axis, std::span<const Complex> known, double top, FftPlans& plans) {
  const double rate = axis.rate.value();
  const std::size_t n = good_fft_size_below(axis.x.size());
  const double seconds = static_cast<double>(n) / rate;
  const std::size_t m =
      std::min(n, good_fft_size(static_cast<std::size_t>(2.6 * top * seconds) + 64));
  std::vector<Complex> made(known.empty() ? n / 2 + 1 : 0);
  if (known.empty()) plans.real(n)->forward(axis.x.first(n), made);
  const std::span<const Complex> spectrum = known.empty() ? std::span{made} : known;
  std::vector<Complex> kept(m / 2 + 1);
  const auto last = std::min(static_cast<std::size_t>(1.15 * top * seconds), m / 2);
  // From the first line on: without the mean.
  for (std::size_t k = 1; k < kept.size() && k < spectrum.size() && k <= last; ++k) {
    // Raised-cosine edge, so that the cut does not ring.
    const double f = static_cast<double>(k) / seconds / top;
    const double w = f < 1 ? 1 : 0.5 * (1 + std::cos(std::numbers::pi * (f - 1) / 0.15));
    kept[k] = spectrum[k] * (w / static_cast<double>(n));
  }
  SlowCopy out;
  out.x.resize(m);
  out.rate = static_cast<double>(m) / seconds;
  plans.real(m)->inverse(kept, out.x);
  return out;
}

}  // namespace bearingdsp::speed_detail
