#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <cstddef>
#include <thread>
#include <vector>

#include "bearingdsp/dsp/fft.hpp"

using namespace bearingdsp;

// FFTW's planner is not thread-safe, executing is: eight threads plan, share and run at once. The
// thread sanitizer looks on in its preset; here the results must be bit for bit those of one
// thread.
TEST_CASE("plans are made and used from many threads at once [src:definition of the DFT]") {
  constexpr std::size_t threads = 8;
  const std::vector<std::size_t> lengths = {8, 15, 64, 97, 128, 1000};
  const auto sum_of_magnitudes = [](FftPlans& plans, std::size_t n) {
    std::vector<double> x(n);
    for (std::size_t i = 0; i < n; ++i) x[i] = std::cos(0.1 * static_cast<double>(i * i % 101));
    const auto fft = plans.real(n);
    std::vector<std::complex<double>> y(fft->bins());
    fft->forward(x, y);
    double sum = 0;
    for (const auto& bin : y) sum += std::abs(bin);
    return sum;
  };

  std::vector<double> alone;
  FftPlans own;
  for (const std::size_t n : lengths) alone.push_back(sum_of_magnitudes(own, n));

  FftPlans shared;
  std::vector<std::vector<double>> together(threads);
  std::vector<std::thread> workers;
  for (std::size_t t = 0; t < threads; ++t)
    workers.emplace_back([&, t] {
      for (const std::size_t n : lengths) together[t].push_back(sum_of_magnitudes(shared, n));
    });
  for (std::thread& worker : workers) worker.join();
  for (const auto& sums : together) CHECK(sums == alone);
}
