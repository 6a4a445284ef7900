#include "bearingdsp/dsp/analytic.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <stdexcept>

#include "bearingdsp/dsp/statistics.hpp"
#include "support/close.hpp"
#include "support/vectors.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

namespace {

std::vector<std::complex<double>> spectrum_of(std::span<const double> x, FftPlans& plans) {
  const auto fft = plans.real(x.size());
  std::vector<std::complex<double>> s(fft->bins());
  fft->forward(x, s);
  return s;
}

/// Peak amplitudes of the lines of y.
std::vector<double> lines(std::span<const double> y, FftPlans& plans) {
  const auto s = spectrum_of(y, plans);
  std::vector<double> a(s.size());
  for (std::size_t k = 0; k < s.size(); ++k)
    a[k] = std::abs(s[k]) * (k == 0 ? 1.0 : 2.0) / static_cast<double>(y.size());
  return a;
}

std::vector<double> am(std::size_t n, double carrier, double tone, double m) {
  std::vector<double> x(n);
  for (std::size_t i = 0; i < n; ++i) {
    const double t = 2 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(n);
    x[i] = (1 + m * std::cos(tone * t)) * std::cos(carrier * t);
  }
  return x;
}

}  // namespace

TEST_CASE("envelope agrees with scipy, odd and even lengths [src:tests/reference/gen_dsp.py]") {
  const auto v = test::load_vectors("dsp_vectors.json");
  const auto x = test::doubles(v["x"]);
  FftPlans plans;
  const auto odd = envelope(x, plans);
  const auto even = envelope(std::span{x}.first(256), plans);
  const auto e_odd = test::doubles(v["envelope"]["odd"]);
  const auto e_even = test::doubles(v["envelope"]["even"]);
  for (std::size_t i = 0; i < odd.size(); ++i) CHECK(close_abs(odd[i], e_odd[i], 1e-13));
  for (std::size_t i = 0; i < even.size(); ++i) CHECK(close_abs(even[i], e_even[i], 1e-13));
}

TEST_CASE("the real part of the analytic signal is the signal") {
  FftPlans plans;
  for (const std::size_t n : {1U, 2U, 3U, 16U, 17U, 127U}) {
    const auto x = test::noise(n, n);
    const auto z = analytic_signal(x, plans);
    for (std::size_t i = 0; i < n; ++i) CHECK(close_abs(z[i].real(), x[i], 1e-13));
  }
  CHECK_THROWS_AS((void)analytic_signal({}, plans), std::invalid_argument);
}

TEST_CASE("AM squared envelope: 1 + m^2/2, 2m at W, m^2/2 at 2W, nothing else [src:closed form]") {
  FftPlans plans;
  const double m = 0.6;
  const auto x = am(5000, 1200, 30, m);
  const auto y = squared_envelope(spectrum_of(x, plans), 5000, 1100, 1300, plans);
  const auto a = lines(y, plans);
  CHECK(close_rel(a[0], 1 + m * m / 2, 1e-12));
  CHECK(close_rel(a[30], 2 * m, 1e-12));
  CHECK(close_rel(a[60], m * m / 2, 1e-12));
  for (std::size_t k = 1; k < a.size(); ++k)
    if (k != 30 && k != 60) CHECK(a[k] < 1e-12);
}

TEST_CASE("two tones: line 2 A1 A2 at their difference over A1^2 + A2^2 [src:closed form]") {
  FftPlans plans;
  auto x = test::sine(3001, 500, 3001, 2);
  const auto second = test::sine(3001, 541, 3001, 0.5, 1);
  for (std::size_t i = 0; i < x.size(); ++i) x[i] += second[i];
  const auto a = lines(squared_envelope(spectrum_of(x, plans), 3001, 480, 560, plans), plans);
  CHECK(close_rel(a[0], 4.25, 1e-12));
  CHECK(close_rel(a[41], 2.0, 1e-12));
}

TEST_CASE("the mean of the squared envelope is twice the band's mean square [src:Parseval]") {
  FftPlans plans;
  for (const std::size_t n : {1000U, 1009U, 1023U, 1025U}) {
    const auto s = spectrum_of(test::noise(n, 4), plans);
    for (const std::size_t width : {1U, 2U, 37U, 200U}) {
      double power = 0;
      for (std::size_t k = 100; k < 100 + width; ++k)
        power += 2 * std::norm(s[k]) / (static_cast<double>(n) * static_cast<double>(n));
      for (const std::size_t keep : {0U, 10U, 1000U}) {
        const auto y = squared_envelope(s, n, 100, 100 + width, plans, {.alias_free_lines = keep});
        CHECK(close_rel(mean(y), 2 * power, 1e-13));
      }
    }
  }
}

TEST_CASE("lines up to alias_free_lines equal those of the full-length envelope") {
  FftPlans plans;
  const std::size_t n = 4001;
  const auto s = spectrum_of(test::noise(n, 8), plans);
  const auto full = lines(squared_envelope(s, n, 700, 1100, plans), plans);
  const auto cut = lines(squared_envelope(s, n, 700, 1100, plans, {.alias_free_lines = 60}), plans);
  CHECK(cut.size() < full.size() * 2 / 3);
  for (std::size_t k = 0; k <= 60; ++k) CHECK(close_abs(cut[k], full[k], 1e-13));
  // and the full one equals |band-passed analytic signal|^2 at the record's own rate
  auto masked = s;
  for (std::size_t k = 0; k < masked.size(); ++k)
    if (k < 700 || k >= 1100) masked[k] = 0;
  std::vector<double> band(n);
  plans.real(n)->inverse(masked, band);
  for (double& v : band) v /= static_cast<double>(n);
  auto e = envelope(band, plans);
  for (double& v : e) v *= v;
  const auto direct = lines(e, plans);
  for (std::size_t k = 0; k < 400; ++k) CHECK(close_abs(direct[k], full[k], 1e-13));
}

TEST_CASE("edge slopes only touch the edges, a caller's mistakes are refused") {
  FftPlans plans;
  const std::vector<std::complex<double>> flat(501, 1.0);
  const auto z = complex_envelope(flat, 1000, 100, 200, 100, plans, 10);
  std::vector<std::complex<double>> back(100);
  plans.complex(100)->forward(z, back);
  for (std::size_t k = 0; k < 100; ++k) {
    const double g = std::abs(back[k]) * 1000 / 2 / 100;
    if (k >= 10 && k < 90)
      CHECK(close_rel(g, 1, 1e-12));
    else
      CHECK(g < 1);
  }
  CHECK_THROWS_AS((void)squared_envelope(flat, 998, 1, 9, plans), std::invalid_argument);
  CHECK_THROWS_AS((void)squared_envelope(flat, 1000, 9, 9, plans), std::invalid_argument);
  CHECK_THROWS_AS((void)squared_envelope(flat, 1000, 9, 502, plans), std::invalid_argument);
  CHECK_THROWS_AS((void)complex_envelope(flat, 1000, 0, 10, 9, plans), std::invalid_argument);
}
