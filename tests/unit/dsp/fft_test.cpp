#include "bearingdsp/dsp/fft.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <memory>
#include <numbers>
#include <span>
#include <stdexcept>
#include <thread>
#include <vector>

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

// FFTW's complex transform of the whole length, by one plan, is the general library asked. The
// lengths: powers of two, an odd lesser half, one that does not fill the last group, and two that
// are too short or odd and take FFTW's real plan.
TEST_CASE("long real transforms, split into short ones, equal FFTW's of one plan [fftw2005]") {
  for (const std::size_t n : {1U << 16U, 1U << 17U, 2U * 225U * 243U, 2U * 270U * 315U, 512000U,
                              65534U, 3U * 3U * 3U * 3U * 3U * 3U * 3U * 3U * 25U}) {
    CAPTURE(n);
    std::vector<double> x(n);
    std::vector<std::complex<double>> z(n);
    double state = 0.3;
    for (std::size_t j = 0; j < n; ++j) {
      state = 3.99 * state * (1 - state);
      z[j] = x[j] = state - 0.5;
    }
    const RealFft real{n};
    std::vector<std::complex<double>> split(real.bins());
    std::vector<std::complex<double>> one(n);
    real.forward(x, split);
    ComplexFft{n}.forward(z, one);
    double error = 0;
    double worst = 0;
    double power = 0;
    for (std::size_t k = 0; k < split.size(); ++k) {
      error += std::norm(split[k] - one[k]);
      worst = std::max(worst, std::abs(split[k] - one[k]));
      power += std::norm(one[k]);
    }
    CHECK(error < 1e-30 * power);
    CHECK(worst * worst < 1e-28 * power / static_cast<double>(split.size()));
    CHECK(split.front().imag() == 0);
    if (n % 2 == 0) CHECK(split.back().imag() == 0);

    // Any place in memory serves, and every time the same bits come.
    std::vector<double> moved(n + 1);
    std::copy(x.begin(), x.end(), moved.begin() + 1);
    std::vector<std::complex<double>> again(real.bins());
    real.forward(std::span{moved}.subspan(1), again);
    CHECK(split == again);
    std::vector<double> back(n);
    real.inverse(again, back);
    double off = 0;
    for (std::size_t j = 0; j < n; ++j)
      off = std::max(off, std::abs(back[j] / static_cast<double>(n) - x[j]));
    CHECK(off < 1e-14);
  }
}

TEST_CASE("good sizes are smooth neighbours") {
  CHECK(good_fft_size(121) == 125);
  CHECK(good_fft_size_below(121) == 120);
  CHECK(good_fft_size(1) == 1);
}

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
  alone.reserve(lengths.size());
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

TEST_CASE("fft: samples that start between two aligned places give the same bits") {
  constexpr std::size_t n = 240;
  std::vector<double> x(n + 1);
  for (std::size_t i = 0; i < x.size(); ++i) x[i] = std::sin(0.37 * static_cast<double>(i * i));
  const std::vector<double> moved(x.begin() + 1, x.end());
  const RealFft fft{n};
  std::vector<std::complex<double>> a(fft.bins());
  std::vector<std::complex<double>> b(fft.bins());
  fft.forward(std::span{x}.subspan(1), a);
  fft.forward(moved, b);
  CHECK(a == b);
  std::vector<double> back(n + 1);
  std::vector<double> there(n);
  fft.inverse(a, std::span{back}.subspan(1));
  fft.inverse(b, there);
  CHECK(std::equal(there.begin(), there.end(), back.begin() + 1));
}

TEST_CASE("of long plans the latest alone is kept, which a user holds on to, and short ones stay") {
  FftPlans plans;
  const std::size_t n = std::size_t{1} << 20U;  // planned when it first runs, so not here
  const std::weak_ptr<const RealFft> small = plans.real(1024);
  const auto used = plans.real(n);
  const std::weak_ptr<const RealFft> left = plans.real(2 * n);
  CHECK(plans.real(2 * n) == left.lock());
  const std::weak_ptr<const RealFft> latest = plans.real(3 * n);
  CHECK(left.expired());
  CHECK_FALSE(latest.expired());
  CHECK_FALSE(small.expired());
  CHECK(used->size() == n);
  CHECK(plans.real(n) != used);
}

TEST_CASE("of the shorter plans those used least recently are dropped [src:documented limit]") {
  // Four million points of plans are kept: a hundred plans of 2^17 points are three times that.
  constexpr std::size_t first = 1U << 17U;
  FftPlans plans;
  const std::weak_ptr<const RealFft> used_always = plans.real(first);
  const std::weak_ptr<const RealFft> used_once = plans.real(first + 1);
  std::vector<std::weak_ptr<const RealFft>> others;
  for (std::size_t k = 2; k < 100; ++k) {
    others.push_back(plans.real(first + k));
    CHECK(plans.real(first) == used_always.lock());
    CHECK(plans.real(first + k) == others.back().lock());
  }
  CHECK_FALSE(used_always.expired());
  CHECK(used_once.expired());
  // The latest thirty are there, those before the latest thirty-two are not.
  CHECK_FALSE(others[others.size() - 30].expired());
  CHECK(others[others.size() - 33].expired());
  // Other kinds have their own room.
  const std::weak_ptr<const ComplexFft> complex = plans.complex(first);
  for (std::size_t k = 100; k < 200; ++k) (void)plans.real(first + k);
  CHECK_FALSE(complex.expired());
}

TEST_CASE("a transform into its own input is refused: its plan would be another") {
  std::vector<std::complex<double>> y(9);
  const std::span x{reinterpret_cast<double*>(y.data()), 16};
  const RealFft real{16};
  CHECK_THROWS_AS(real.forward(x, y), std::invalid_argument);
  CHECK_THROWS_AS(real.inverse(y, x), std::invalid_argument);
  const ComplexFft complex{9};
  CHECK_THROWS_AS(complex.forward(y, y), std::invalid_argument);
}
