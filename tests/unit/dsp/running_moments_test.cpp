#include "bearingdsp/dsp/running_moments.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "support/close.hpp"
#include "support/vectors.hpp"

using namespace bearingdsp;
using test::close_rel;

TEST_CASE(
    "running moments: any cut gives scipy's figures of the whole "
    "[src:tests/reference/gen_dsp.py]") {
  const auto v = test::load_vectors("dsp_vectors.json");
  const auto x = test::doubles(v["x"]);
  const auto& s = v["statistics"];
  for (const std::size_t block : {std::size_t{1}, std::size_t{7}, x.size() / 2, x.size()}) {
    RunningMoments m;
    for (std::size_t at = 0; at < x.size(); at += block)
      m.add(std::span{x}.subspan(at, std::min(block, x.size() - at)));
    CAPTURE(block);
    CHECK(m.count() == x.size());
    CHECK(close_rel(m.moments().mean, s["mean"], 1e-12));
    CHECK(close_rel(m.moments().variance, s["variance"], 1e-12));
    CHECK(close_rel(m.moments().skewness, s["skewness"], 1e-10));
    CHECK(close_rel(m.moments().kurtosis, s["kurtosis"], 1e-11));
    CHECK(close_rel(m.rms(), std::sqrt(s["variance"].get<double>()), 1e-12));
  }
}

TEST_CASE("running moments: blocks of different means and sizes [src:closed form]") {
  // 3 at 0 and 1 at 4: mean 1, variance 3, third moment 6, fourth 21; peak 3.
  RunningMoments m;
  m.add(std::vector<double>{0, 0, 0});
  m.add(std::vector<double>{4});
  CHECK(m.moments().mean == 1);
  CHECK(close_rel(m.moments().variance, 3, 1e-15));
  CHECK(close_rel(m.moments().skewness, 6 / std::pow(3, 1.5), 1e-14));
  CHECK(close_rel(m.moments().kurtosis, 21.0 / 9, 1e-14));
  CHECK(m.peak() == 3);
}

TEST_CASE("running moments: nothing and a constant have no shape") {
  RunningMoments m;
  CHECK(m.rms() == 0);
  CHECK(m.peak() == 0);
  CHECK(m.moments().kurtosis == 0);
  m.add({});
  CHECK(m.count() == 0);
  m.add(std::vector<double>(100, 0.1));
  m.add(std::vector<double>(33, 0.1));
  CHECK(m.rms() == 0);
  CHECK(m.moments().kurtosis == 0);
  CHECK(close_rel(m.moments().mean, 0.1, 1e-14));
}

TEST_CASE(
    "signal levels: a sine of amplitude a has rms a/sqrt(2), kurtosis 3/2 [src:closed form]") {
  std::vector<double> x;
  for (int i = 0; i < 1000; ++i) x.push_back(5 + 2 * std::sin(2 * M_PI * i / 100.0));
  const SignalLevels l = signal_levels(x);
  CHECK(close_rel(l.mean, 5, 1e-12));
  CHECK(close_rel(l.rms, std::sqrt(2.0), 1e-12));
  CHECK(close_rel(l.peak, 2, 1e-12));
  CHECK(close_rel(l.crest_factor, std::sqrt(2.0), 1e-12));
  CHECK(close_rel(l.kurtosis, 1.5, 1e-10));
  CHECK(std::abs(l.skewness) < 1e-12);
}

TEST_CASE("signal levels: nothing and a constant have no shape") {
  CHECK(signal_levels({}).rms == 0);
  const SignalLevels flat = signal_levels(std::vector<double>(3, 5.0));
  CHECK(flat.mean == 5);
  CHECK(flat.rms == 0);
  CHECK(flat.crest_factor == 0);
  CHECK(flat.kurtosis == 0);
}
