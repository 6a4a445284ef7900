#include "bearingdsp/dsp/spectrum.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "bearingdsp/dsp/statistics.hpp"
#include "support/close.hpp"
#include "support/vectors.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

TEST_CASE("welch agrees with scipy [src:tests/reference/gen_dsp.py]") {
  const auto v = test::load_vectors("dsp_vectors.json");
  const auto x = test::doubles(v["x"]);
  FftPlans plans;
  for (const auto& c : v["welch"]) {
    WelchOptions o;
    o.segment = c["segment"].get<std::size_t>();
    o.overlap = c["overlap"].get<double>() + 1e-12;  // the generator's overlap is whole samples
    o.scaling = c["scaling"] == "density" ? Scaling::density : Scaling::power;
    o.trend = c["trend"] == "constant" ? SegmentTrend::remove_mean
              : c["trend"] == "linear" ? SegmentTrend::remove_line
                                       : SegmentTrend::keep;
    const std::string w = c["window"];
    o.window.kind = w == "hann"      ? WindowKind::hann
                    : w == "hamming" ? WindowKind::hamming
                    : w == "flattop" ? WindowKind::flat_top
                                     : WindowKind::blackman;
    const auto s = welch(x, Hz{100}, plans, o).value();
    const auto e = test::doubles(c["y"]);
    REQUIRE(s.y.size() == e.size());
    for (std::size_t k = 0; k < e.size(); ++k)
      CHECK(close_abs(s.y[k], e[k], 1e-12 * (e[k] + 1e-4)));
  }
}

TEST_CASE("Parseval: density sums to the mean square at awkward lengths [src:Parseval]") {
  FftPlans plans;
  for (const std::size_t n : {1U, 2U, 3U, 5U, 31U, 32U, 33U, 1021U, 1023U, 1024U, 1025U}) {
    CAPTURE(n);
    const auto x = test::noise(n, n);
    WelchOptions o;
    o.segment = n;
    o.trend = SegmentTrend::keep;
    o.window.kind = WindowKind::rectangular;
    const auto s = welch(x, Hz{250}, plans, o).value();
    double sum = 0;
    for (const double p : s.y) sum += p * s.line_spacing.value();
    CHECK(close_rel(sum, rms(x) * rms(x), 1e-12));
    CHECK(s.averages == 1);
    CHECK(close_rel(band_rms(s, Hz{0}, Hz{125}).value(), rms(x), 1e-12));
  }
}

TEST_CASE("white noise of variance 1 at 1000 Hz has density 2/1000 [src:definition]") {
  FftPlans plans;
  const auto s = welch(test::noise(200000, 3), Hz{1000}, plans, {.segment = 1000}).value();
  CHECK(s.averages == 399);
  // 500 lines of 399 half-overlapped averages: relative standard deviation of the mean about 0.003
  CHECK(close_rel(mean(std::span{s.y}.subspan(5, 490)), 2e-3, 0.015));
}

TEST_CASE("a sine of amplitude 3 reads 3, 3/sqrt 2, 6 and 4.5 [src:definition of the detectors]") {
  FftPlans plans;
  for (const auto kind : {WindowKind::rectangular, WindowKind::hann, WindowKind::flat_top}) {
    const auto x = test::sine(1000, 40, 1000, 3, 0.7);
    const auto read = [&](Detector d) {
      return amplitude_spectrum(x, Hz{1000}, plans, {.window = {kind}, .detector = d}).value();
    };
    CHECK(close_rel(read(Detector::peak).y[40], 3, 1e-12));
    CHECK(close_rel(read(Detector::rms).y[40], 3 / std::sqrt(2.0), 1e-12));
    CHECK(close_rel(read(Detector::peak_to_peak).y[40], 6, 1e-12));
    CHECK(read(Detector::peak).frequency(40) == Hz{40});
    for (const auto d : {Detector::peak, Detector::rms, Detector::peak_to_peak})
      CHECK(close_rel(band_rms(read(d), Hz{20}, Hz{60}).value(), 3 / std::sqrt(2.0), 1e-12));
    const auto p =
        welch(x, Hz{1000}, plans, {.segment = 500, .window = {kind}, .scaling = Scaling::power});
    CHECK(close_rel(p.value().y[20], 4.5, 1e-12));
    CHECK(close_rel(band_rms(p.value(), Hz{20}, Hz{60}).value(), 3 / std::sqrt(2.0), 1e-12));
  }
  // Between two lines the flat top still reads the amplitude (scalloping about 0.01 dB).
  const auto off = test::sine(1000, 40.5, 1000, 3, 0.7);
  const auto s = amplitude_spectrum(off, Hz{1000}, plans,
                                    {.window = {WindowKind::flat_top}, .detector = Detector::peak});
  CHECK(test::close_db(s.value().y[40], 3, 0.015));
}

TEST_CASE("the lines at 0 Hz and half the rate are not doubled [src:definition]") {
  FftPlans plans;
  std::vector<double> x(64);
  for (std::size_t i = 0; i < x.size(); ++i) x[i] = 2 + (i % 2 == 0 ? 1.0 : -1.0);
  AmplitudeOptions o;
  o.window.kind = WindowKind::rectangular;
  o.trend = SegmentTrend::keep;
  const auto s = amplitude_spectrum(x, Hz{64}, plans, o).value();
  CHECK(close_rel(s.y[0], 2, 1e-14));
  CHECK(close_rel(s.y[32], 1, 1e-14));
}

TEST_CASE("refusals name what is wrong and what to do") {
  FftPlans plans;
  const std::vector<double> x(100, 1.0);
  CHECK(welch(x, Hz{1}, plans, {.segment = 101}).error().code == Errc::too_short);
  CHECK(welch(x, Hz{1}, plans, {.segment = 0}).error().code == Errc::bad_argument);
  CHECK(welch(x, Hz{1}, plans, {.segment = 10, .overlap = 1}).error().code == Errc::bad_argument);
  CHECK(welch(x, Hz{0}, plans, {.segment = 10}).error().code == Errc::bad_argument);
  CHECK(amplitude_spectrum({}, Hz{1}, plans).error().code == Errc::too_short);
  CHECK(amplitude_spectrum(x, Hz{-1}, plans).error().code == Errc::bad_argument);
  CHECK(band_rms(Spectrum{}, Hz{2}, Hz{1}).error().code == Errc::bad_argument);
}
