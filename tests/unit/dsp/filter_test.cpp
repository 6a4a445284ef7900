#include "bearingdsp/dsp/filter.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <stdexcept>
#include <string>

#include "support/close.hpp"
#include "support/vectors.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

TEST_CASE("Butterworth sections agree with scipy [src:tests/reference/gen_dsp.py]") {
  const auto v = test::load_vectors("dsp_vectors.json");
  const auto x = test::doubles(v["x"]);
  const Hz rate{2};  // so that a corner is a fraction of Nyquist, as in the generator
  for (const auto& c : v["butterworth"]) {
    const std::string kind = c["kind"];
    CAPTURE(kind);
    CAPTURE(c["order"].get<int>());
    const auto edges = test::doubles(c["edges"]);
    ButterworthDesign d;
    d.order = c["order"];
    d.kind = kind == "lowpass"    ? FilterKind::low_pass
             : kind == "highpass" ? FilterKind::high_pass
                                  : FilterKind::band_pass;
    (d.kind == FilterKind::low_pass ? d.high : d.low) = Hz{edges[0]};
    if (d.kind == FilterKind::band_pass) d.high = Hz{edges[1]};
    const auto s = butterworth(d, rate).value();
    const auto w = test::doubles(c["w"]);
    const auto m = test::doubles(c["magnitude"]);
    const auto phase = test::doubles(c["phase"]);
    for (std::size_t i = 0; i < w.size(); ++i) {
      const Hz f{w[i] / std::numbers::pi};
      CHECK(close_abs(response(s, f, rate), m[i], 1e-10 * (m[i] + 1e-3)));
      std::complex<double> h = 1;
      const auto u = std::polar(1.0, -w[i]);
      for (const auto& b : s)
        h *= (b.b[0] + u * (b.b[1] + u * b.b[2])) / (1.0 + u * (b.a[0] + u * b.a[1]));
      CHECK(close_abs(std::abs(std::polar(1.0, std::arg(h)) - std::polar(1.0, phase[i])), 0, 1e-8));
    }
    const auto y = filter_forward(s, x);
    const auto e = test::doubles(c["filtered"]);
    for (std::size_t i = 0; i < e.size(); ++i) CHECK(close_abs(y[8 * i], e[i], 1e-10));
  }
}

TEST_CASE("Butterworth: 3 dB at the corners, 1 inside [src:definition]") {
  for (int order = 1; order <= 20; ++order) {
    const auto s =
        butterworth({.kind = FilterKind::low_pass, .order = order, .high = Hz{100}}, Hz{1000});
    CHECK(close_rel(response(s.value(), Hz{100}, Hz{1000}), std::sqrt(0.5), 1e-9));
    CHECK(close_rel(response(s.value(), Hz{0}, Hz{1000}), 1, 1e-12));
    const auto b = butterworth(
        {.kind = FilterKind::band_pass, .order = order, .low = Hz{40}, .high = Hz{120}}, Hz{1000});
    CHECK(close_rel(response(b.value(), Hz{40}, Hz{1000}), std::sqrt(0.5), 1e-8));
    CHECK(close_rel(response(b.value(), Hz{120}, Hz{1000}), std::sqrt(0.5), 1e-8));
    CHECK(b.value().size() == static_cast<std::size_t>(order));
  }
  CHECK(butterworth({.order = 0, .high = Hz{1}}, Hz{10}).error().code == Errc::bad_argument);
  CHECK(butterworth({.order = 2, .high = Hz{5}}, Hz{10}).error().code == Errc::bad_argument);
  CHECK(butterworth({.kind = FilterKind::band_pass, .low = Hz{3}, .high = Hz{2}}, Hz{10})
            .error()
            .code == Errc::bad_argument);
}

TEST_CASE("zero-phase filtering keeps phase and squares the magnitude [src:definition]") {
  const Hz rate{1000};
  const auto s =
      butterworth({.kind = FilterKind::band_pass, .order = 3, .low = Hz{30}, .high = Hz{90}}, rate);
  for (const double f : {25.0, 50.0, 100.0}) {
    const auto x = test::sine(4000, f, 1000, 1, 0.3);
    const auto y = filter_zero_phase(s.value(), x);
    const double g = std::pow(response(s.value(), Hz{f}, rate), 2);
    for (std::size_t i = 500; i < 3500; ++i) CHECK(close_abs(y[i], g * x[i], 1e-6));
  }
  // A constant passes a low-pass untouched, ends included.
  const auto low = butterworth({.kind = FilterKind::low_pass, .order = 4, .high = Hz{20}}, rate);
  for (const double v : filter_zero_phase(low.value(), std::vector<double>(40, 2.5)))
    CHECK(close_abs(v, 2.5, 1e-9));
  CHECK(filter_zero_phase(low.value(), std::vector<double>{1}).size() == 1);
  CHECK_THROWS_AS((void)filter_zero_phase(low.value(), {}), std::invalid_argument);
}

TEST_CASE("band filter: pass band kept, stop band gone, off-bin and at odd lengths") {
  FftPlans plans;
  const BandShape shape{.low = Hz{100}, .high = Hz{300}, .slope = Hz{20}};
  CHECK(close_rel(band_gain(shape, Hz{100}), 0.5, 1e-15));
  CHECK(band_gain(shape, Hz{110}) == 1);
  CHECK(band_gain(shape, Hz{90}) == 0);
  for (const std::size_t n : {3001U, 3002U}) {
    const auto keep = test::sine(n, 203.37, 1000, 1, 0.2);
    const auto stop = test::sine(n, 57.31, 1000, 1, 0.2);
    const auto y = filter_band(keep, Hz{1000}, shape, plans).value();
    const auto z = filter_band(stop, Hz{1000}, shape, plans).value();
    REQUIRE(y.size() == n);
    double worst = 0;
    for (std::size_t i = 1000; i < 2000; ++i)
      worst = std::max({worst, std::abs(y[i] - keep[i]), std::abs(z[i])});
    CHECK(worst < 1e-5);
  }
  CHECK(filter_band(std::vector<double>{3}, Hz{1000}, shape, plans).value().size() == 1);
  CHECK(filter_band({}, Hz{1000}, shape, plans).error().code == Errc::too_short);
  const std::vector<double> x(10, 1.0);
  CHECK(filter_band(x, Hz{0}, shape, plans).error().code == Errc::bad_argument);
  CHECK(filter_band(x, Hz{150}, shape, plans).error().code == Errc::bad_argument);
  CHECK(filter_band(x, Hz{1000}, {.low = Hz{3}, .high = Hz{3}}, plans).error().code ==
        Errc::bad_argument);
}
