#include "bearingdsp/dsp/fft.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "support/close.hpp"

using namespace bearingdsp;

TEST_CASE("real transform equals the O(n^2) sum at awkward lengths [src:definition of the DFT]") {
  for (const std::size_t n : {1U, 2U, 3U, 5U, 16U, 17U, 97U, 129U}) {
    CAPTURE(n);
    std::vector<double> x(n);
    for (std::size_t j = 0; j < n; ++j) x[j] = std::sin(0.3 * static_cast<double>(j * j)) + 0.1;
    const RealFft fft{n};
    std::vector<std::complex<double>> y(fft.bins());
    fft.forward(x, y);
    for (std::size_t k = 0; k < y.size(); ++k) {
      std::complex<double> sum;
      for (std::size_t j = 0; j < n; ++j)
        sum += x[j] * std::polar(1.0, -2 * std::numbers::pi * static_cast<double>(j * k % n) /
                                          static_cast<double>(n));
      CHECK(test::close_abs(std::abs(sum - y[k]), 0.0, 1e-11 * static_cast<double>(n)));
    }
    std::vector<double> back(n);
    fft.inverse(y, back);
    for (std::size_t j = 0; j < n; ++j)
      CHECK(test::close_abs(back[j] / static_cast<double>(n), x[j], 1e-13));
  }
}

TEST_CASE("good sizes are smooth neighbours") {
  CHECK(good_fft_size(121) == 125);
  CHECK(good_fft_size_below(121) == 120);
  CHECK(good_fft_size(1) == 1);
}
