#include "bearingdsp/dsp/window.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <stdexcept>
#include <string>
#include <vector>

#include "support/close.hpp"
#include "support/vectors.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

namespace {
WindowKind kind_of(const std::string& s) {
  if (s == "hann") return WindowKind::hann;
  if (s == "hamming") return WindowKind::hamming;
  if (s == "blackman") return WindowKind::blackman;
  if (s == "flat_top") return WindowKind::flat_top;
  if (s == "kaiser") return WindowKind::kaiser;
  return WindowKind::rectangular;
}
}  // namespace

TEST_CASE("windows agree with scipy, periodic and symmetric [src:tests/reference/gen_dsp.py]") {
  for (const auto& c : test::load_vectors("dsp_vectors.json")["windows"]) {
    CAPTURE(c["kind"].get<std::string>());
    const auto w = make_window(
        c["n"].get<std::size_t>(), {.kind = kind_of(c["kind"])},
        c["periodic"].get<bool>() ? WindowSymmetry::periodic : WindowSymmetry::symmetric);
    const auto e = test::doubles(c["w"]);
    REQUIRE(w.size() == e.size());
    for (std::size_t i = 0; i < w.size(); ++i) CHECK(close_abs(w[i], e[i], 2e-15));
  }
}

TEST_CASE(
    "noise bandwidth and coherent gain [src:harris1978 table 1, printed to two decimals, from "
    "memory]") {
  struct Row {
    WindowKind kind;
    double enbw, gain;
  };
  for (const auto& r : {Row{WindowKind::rectangular, 1.00, 1.00}, Row{WindowKind::hann, 1.50, 0.50},
                        Row{WindowKind::hamming, 1.36, 0.54}, Row{WindowKind::blackman, 1.73, 0.42},
                        Row{WindowKind::flat_top, 3.77, 0.2156}}) {
    const auto w = make_window(1024, {.kind = r.kind});
    CHECK(close_abs(enbw_bins(w), r.enbw, 0.005));
    CHECK(close_abs(coherent_gain(w), r.gain, 5e-5));
  }
  CHECK(close_rel(enbw_bins(make_window(64, {})), 1.5, 1e-14));
}

TEST_CASE("scalloping loss half-way between lines [src:harris1978 table 1, from memory]") {
  const auto loss = [](WindowKind kind) {
    const auto w = make_window(512, {.kind = kind});
    double re = 0;
    double im = 0;
    double sum = 0;
    for (std::size_t i = 0; i < w.size(); ++i) {
      const double t = std::numbers::pi * static_cast<double>(i) / 512;
      re += w[i] * std::cos(t);
      im += w[i] * std::sin(t);
      sum += w[i];
    }
    return -20 * std::log10(std::hypot(re, im) / sum);
  };
  CHECK(close_abs(loss(WindowKind::rectangular), 3.92, 0.005));
  CHECK(close_abs(loss(WindowKind::hann), 1.42, 0.005));
  CHECK(close_abs(loss(WindowKind::hamming), 1.75, 0.01));
  CHECK(close_abs(loss(WindowKind::blackman), 1.10, 0.005));
  CHECK(std::abs(loss(WindowKind::flat_top)) < 0.012);
}

TEST_CASE("awkward windows") {
  CHECK(make_window(1, {}) == std::vector<double>{1});
  CHECK(close_abs(make_window(2, {})[0], 0, 1e-16));
  CHECK(close_rel(make_window(2, {})[1], 1, 1e-15));
  CHECK_THROWS_AS((void)make_window(0, {}), std::invalid_argument);
  CHECK_THROWS_AS((void)make_window(8, {.kind = WindowKind::kaiser, .kaiser_beta = -1}),
                  std::invalid_argument);
  // [src:kaiser1974 formula at 60 dB: 0.1102 * 51.3]
  CHECK(close_rel(kaiser_beta_for(60), 5.65326, 1e-12));
}

TEST_CASE("independent averages of overlapped segments [src:closed-form]") {
  const auto hann = make_window(1024, {.kind = WindowKind::hann});
  CHECK(close_rel(independent_averages(hann, 10, 1024), 10, 1e-12));
  // Half overlap: sum of w[i] w[i + n/2] is n/16 for Hann, its power 3n/8: r = 1/6.
  CHECK(close_rel(independent_averages(hann, 1000000, 512), 1e6 / (1 + 2.0 / 36), 1e-5));
  CHECK(close_rel(independent_averages(hann, 2, 512), 2 / (1 + 1.0 / 36), 1e-12));
  // A rectangle moved by a quarter: r = 3/4, 1/2, 1/4.
  const std::vector<double> flat(64, 1.0);
  CHECK(close_rel(independent_averages(flat, 100000000, 16), 1e8 / (1 + 2 * (9.0 + 4.0 + 1.0) / 16),
                  1e-6));
  CHECK_THROWS_AS((void)independent_averages(hann, 0, 512), std::invalid_argument);
  CHECK_THROWS_AS((void)independent_averages(hann, 4, 0), std::invalid_argument);
  CHECK_THROWS_AS((void)independent_averages(std::vector<double>(8, 0.0), 4, 4),
                  std::invalid_argument);
}
