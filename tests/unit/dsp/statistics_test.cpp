#include "bearingdsp/dsp/statistics.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "support/close.hpp"
#include "support/vectors.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

TEST_CASE("figures of one array agree with scipy [src:tests/reference/gen_dsp.py]") {
  const auto v = test::load_vectors("dsp_vectors.json");
  const auto x = test::doubles(v["x"]);
  const auto& s = v["statistics"];
  CHECK(close_rel(mean(x), s["mean"], 1e-13));
  CHECK(close_rel(rms(x), s["rms"], 1e-13));
  CHECK(close_rel(variance(x), s["variance"], 1e-13));
  CHECK(close_rel(skewness(x), s["skewness"], 1e-11));
  CHECK(close_rel(kurtosis(x), s["kurtosis"], 1e-12));
  CHECK(median(x) == s["median"].get<double>());
  CHECK(close_rel(median_absolute_deviation(x), s["mad"], 1e-14));
  for (const auto& q : s["quantiles"]) CHECK(close_rel(quantile(x, q[0]), q[1], 1e-13));
  const auto straight = test::doubles(s["remove_line"]);
  const auto ours = remove_line(x);
  for (std::size_t i = 0; i < x.size(); ++i) CHECK(close_abs(ours[i], straight[i], 1e-12));
  for (const auto& r : v["running_median"]) {
    const auto y = running_median(x, r["half"].get<std::size_t>());
    CHECK(y == test::doubles(r["y"]));
  }
}

TEST_CASE("sine: kurtosis 1.5, crest sqrt(2), skewness 0 [src:closed form, whole periods]") {
  const auto x = test::sine(1000, 7, 1000, 3.0);
  CHECK(close_rel(kurtosis(x), 1.5, 1e-12));
  CHECK(close_abs(skewness(x), 0.0, 1e-12));
  CHECK(close_rel(rms(x), 3 / std::sqrt(2.0), 1e-12));
  // 1000/7 samples a period: the largest sample misses the crest by at most 1 - cos(pi 7/1000).
  CHECK(close_rel(crest_factor(x), std::sqrt(2.0), 3e-4));
}

TEST_CASE("AM sine with depth m: kurtosis 1.5 (1+3m^2+3m^4/8)/(1+m^2/2)^2 [src:closed form]") {
  for (const auto& [m, expected] : {std::pair{1.0, 2.916666666666667}, {0.5, 2.101851851851852}}) {
    std::vector<double> x(10000);
    for (std::size_t i = 0; i < x.size(); ++i) {
      const double t = 2 * std::numbers::pi * static_cast<double>(i) / 10000;
      x[i] = (1 + m * std::cos(7 * t)) * std::cos(1013 * t);
    }
    CHECK(close_rel(kurtosis(x), expected, 1e-12));
  }
}

TEST_CASE("one impulse in 100 samples: kurtosis 98.0101 [src:closed form (1-3pq)/pq, p = 1/100]") {
  std::vector<double> x(100, 0.0);
  x[37] = 5;
  CHECK(close_rel(kurtosis(x), (1 - 3 * 0.0099) / 0.0099, 1e-12));
  CHECK(close_rel(crest_factor(x), 10, 1e-14));
}

TEST_CASE("Gaussian noise: kurtosis 3 within five standard deviations [src:var = 24/N]") {
  const auto x = test::noise(200000, 5);
  CHECK(close_abs(kurtosis(x), 3.0, 5 * std::sqrt(24.0 / 200000)));
  CHECK(close_abs(skewness(x), 0.0, 5 * std::sqrt(6.0 / 200000)));
  CHECK(close_rel(normal_per_mad * median_absolute_deviation(x), 1.0, 0.01));
}

TEST_CASE("moments keep their digits beside a large offset and ignore scale") {
  const auto x = test::noise(4001, 2);
  auto shifted = x;
  for (double& a : shifted) a = 1e6 + a;
  auto scaled = x;
  for (double& a : scaled) a *= -1e-9;
  const Moments m = moments(x);
  // The shift itself rounds each sample at 1e-10: that is what the tolerance allows.
  CHECK(close_rel(moments(shifted).kurtosis, m.kurtosis, 1e-8));
  CHECK(close_rel(moments(scaled).kurtosis, m.kurtosis, 1e-13));
  CHECK(close_rel(moments(scaled).skewness, -m.skewness, 1e-11));
  CHECK(close_rel(moments(scaled).variance, 1e-18 * m.variance, 1e-13));
}

TEST_CASE("constant, single and empty arrays") {
  const std::vector<double> level(1001, 0.1);
  CHECK(moments(level).variance == 0);
  CHECK(kurtosis(level) == 0);
  CHECK(close_rel(mean(level), 0.1, 1e-16));
  CHECK(crest_factor(std::vector<double>(5, 0.0)) == 0);
  const std::vector<double> one{-4};
  CHECK(median(one) == -4);
  CHECK(peak(one) == 4);
  CHECK(kurtosis(one) == 0);
  CHECK(running_median(one, 9) == one);
  CHECK(running_mean(one, 9) == one);
  CHECK(remove_line(one) == std::vector<double>{0});
  const std::vector<double> none;
  CHECK_THROWS_AS((void)mean(none), std::invalid_argument);
  CHECK_THROWS_AS((void)median(none), std::invalid_argument);
  CHECK_THROWS_AS((void)running_median(none, 3), std::invalid_argument);
  const std::vector<double> bad{1, std::numeric_limits<double>::quiet_NaN()};
  CHECK_THROWS_AS((void)median(bad), std::invalid_argument);
  CHECK_THROWS_AS((void)running_median(bad, 1), std::invalid_argument);
  CHECK_THROWS_AS((void)quantile(one, 1.1), std::invalid_argument);
}

TEST_CASE(
    "quantiles of long arrays equal those of the sorted values, in whatever order they come") {
  const std::size_t n = 70001;
  std::vector<double> x(n);
  std::uint32_t state = 1;
  for (double& v : x) v = static_cast<double>((state = state * 1664525U + 1013904223U) >> 8U);
  std::vector<double> steps(n);
  for (std::size_t i = 0; i < n; ++i) steps[i] = static_cast<double>(i / 20000);
  std::vector<double> rising(n);
  for (std::size_t i = 0; i < n; ++i) rising[i] = static_cast<double>(i * i);
  for (const auto& values : {x, steps, rising, std::vector<double>(n, 3.0)}) {
    auto sorted = values;
    std::sort(sorted.begin(), sorted.end());
    for (const double q : {0.0, 0.01, 0.25, 0.5, 0.5000123, 0.9, 1.0}) {
      const double p = q * static_cast<double>(n - 1);
      const auto low = static_cast<std::size_t>(p);
      const double next = sorted[std::min(low + 1, n - 1)];
      CHECK(close_rel(quantile(values, q),
                      sorted[low] + (p - static_cast<double>(low)) * (next - sorted[low]), 1e-14));
    }
    CHECK(variance(values) == moments(values).variance);
  }
}

TEST_CASE("running median and mean equal their definition at every length and width") {
  for (const std::size_t n : {1U, 2U, 3U, 4U, 7U, 31U, 32U, 33U, 97U})
    for (const std::size_t half : {0U, 1U, 2U, 3U, 10U, 40U, 200U}) {
      CAPTURE(n);
      CAPTURE(half);
      auto x = test::noise(n, n);
      for (double& v : x) v = std::round(3 * v);  // many equal values
      const auto h = static_cast<std::ptrdiff_t>(std::min<std::size_t>(half, n - 1));
      const auto med = running_median(x, half);
      const auto avg = running_mean(x, half);
      for (std::ptrdiff_t i = 0; i < static_cast<std::ptrdiff_t>(n); ++i) {
        std::vector<double> w;
        double sum = 0;
        for (std::ptrdiff_t j = i - h; j <= i + h; ++j) {
          std::ptrdiff_t k = j < 0 ? -j : j;
          if (k >= static_cast<std::ptrdiff_t>(n)) k = 2 * (static_cast<std::ptrdiff_t>(n) - 1) - k;
          w.push_back(x[static_cast<std::size_t>(k)]);
          sum += w.back();
        }
        std::sort(w.begin(), w.end());
        CHECK(med[static_cast<std::size_t>(i)] == w[w.size() / 2]);
        CHECK(close_abs(avg[static_cast<std::size_t>(i)], sum / static_cast<double>(w.size()),
                        1e-12));
      }
    }
}

TEST_CASE("a straight line is found exactly [src:closed form]") {
  std::vector<double> x(101);
  for (std::size_t i = 0; i < x.size(); ++i) x[i] = 3 - 0.25 * static_cast<double>(i);
  CHECK(close_rel(fit_line(x).offset, 3, 1e-13));
  CHECK(close_rel(fit_line(x).slope, -0.25, 1e-13));
}
