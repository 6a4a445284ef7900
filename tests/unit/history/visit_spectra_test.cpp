#include "bearingdsp/history/visit_spectra.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "bearingdsp/history/store.hpp"
#include "support/close.hpp"
#include "support/made_reading.hpp"
#include "support/scratch.hpp"

using namespace bearingdsp;

namespace {

std::vector<double> sine(double amplitude, double hz, double rate, double seconds) {
  std::vector<double> x(static_cast<std::size_t>(rate * seconds));
  for (std::size_t i = 0; i < x.size(); ++i)
    x[i] = amplitude * std::sin(2 * std::numbers::pi * hz * static_cast<double>(i) / rate);
  return x;
}

VisitSpectra made_spectra(double depth) {
  VisitSpectra v;
  v.envelope = {0, 0.05, std::vector<double>(379, 0.01)};
  v.envelope.level[71] = depth;
  v.velocity = {10, 2.5, std::vector<double>(396, 1e-5)};
  v.velocity.level[6] = 0.0017;
  v.orders = test::made_orders();
  return v;
}

}  // namespace

TEST_CASE("visit spectra: a line keeps its height in its column [src:closed-form v = a / w]") {
  const double rate = 5120;
  const auto x = sine(3, 50, rate, 4);
  const SignalView axis{x, Hz{rate}, SampleUnit::acceleration};
  FftPlans plans;
  const Diagnosis d = test::made_diagnosis();
  const VisitSpectra v = visit_spectra(d, {&axis, 1}, plans);
  REQUIRE(v.velocity.level.size() == 396);
  CHECK(v.velocity.start == 10);
  const double expected = 3 / std::sqrt(2.0) / (2 * std::numbers::pi * 50);
  CHECK(test::close_rel(v.velocity.level.at(16), expected, 1e-9));  // 50-52.5 Hz
  CHECK(v.velocity.level.at(40) < 1e-9 * expected);
  // The envelope of the made diagnosis: 0.31 / h at 3.5611 h orders, on 0.01 elsewhere.
  REQUIRE(v.envelope.level.size() == 380);  // 3.5 x 5.4152 orders in columns of 0.05
  CHECK(v.envelope.level.at(71) == 0.31);
  CHECK(v.envelope.level.at(142) == 0.31 / 2);
  CHECK(v.envelope.level.at(100) == 0.01);
  REQUIRE(v.orders);
  CHECK(v.orders->bpfi == d.orders->bpfi);
}

TEST_CASE("visit spectra: other units, no unit, no speed, too few turns") {
  const double rate = 5120;
  const auto x = sine(0.002, 50, rate, 4);
  FftPlans plans;
  Diagnosis d = test::made_diagnosis();
  const SignalView velocity{x, Hz{rate}, SampleUnit::velocity};
  CHECK(test::close_rel(visit_spectra(d, {&velocity, 1}, plans).velocity.level.at(16),
                        0.002 / std::sqrt(2.0), 1e-9));
  const SignalView displacement{x, Hz{rate}, SampleUnit::displacement};
  CHECK(test::close_rel(visit_spectra(d, {&displacement, 1}, plans).velocity.level.at(16),
                        0.002 / std::sqrt(2.0) * 2 * std::numbers::pi * 50, 1e-9));
  const SignalView unknown{x, Hz{rate}, SampleUnit::uncalibrated};
  CHECK(visit_spectra(d, {&unknown, 1}, plans).velocity.level.empty());
  const auto short_one = sine(1, 50, rate, 0.3);  // lines 3.3 Hz apart
  const SignalView brief{short_one, Hz{rate}, SampleUnit::acceleration};
  CHECK(visit_spectra(d, {&brief, 1}, plans).velocity.level.empty());
  d.curves.clear();
  CHECK(visit_spectra(d, {&velocity, 1}, plans).envelope.level.empty());
}

TEST_CASE("coding: within half a step of 80 dB / 253, lower is 0 [src:closed-form]") {
  KeptSpectrum s{3, 0.5, {}};
  for (int i = 0; i <= 900; ++i) s.level.push_back(0.7 * std::pow(10, -i * 0.1 / 20));
  s.level.push_back(0);
  const CodedSpectrum c = coded(s);
  CHECK(c.highest == 0.7);
  const KeptSpectrum back = decoded(c);
  CHECK(back.start == 3);
  CHECK(back.step == 0.5);
  REQUIRE(back.level.size() == s.level.size());
  CHECK(back.level.front() == 0.7);
  for (int i = 0; i < 800; ++i)
    CHECK(test::close_rel(back.level[static_cast<std::size_t>(i)],
                          s.level[static_cast<std::size_t>(i)], 0.0184));
  CHECK(back.level[820] == 0);
  CHECK(back.level.back() == 0);
  // A silent record stays silent.
  const KeptSpectrum none = decoded(coded({0, 1, {0, 0}}));
  CHECK(none.level == std::vector<double>{0, 0});
}

TEST_CASE("history: spectra come back with their readings, and only when asked for") {
  const test::Scratch scratch;
  const PointKey feed{"planer-feed", "DE"};
  auto opened = History::open(scratch.path("h.db"), Access::read_write);
  REQUIRE(opened);
  History& h = *opened;
  for (int i = 0; i < 3; ++i) {
    Reading r = test::made_reading(i);
    if (i > 0) r.spectra = made_spectra(0.1 * i);
    REQUIRE(h.add(feed, r));
  }
  PointHistory point = h.point(feed).value();
  for (const Reading& r : point.readings) CHECK_FALSE(r.spectra);
  REQUIRE(h.read_spectra(point));
  CHECK_FALSE(point.readings[0].spectra);
  for (const std::size_t i : {std::size_t{1}, std::size_t{2}}) {
    const auto& spectra = point.readings[i].spectra;
    REQUIRE(spectra);
    REQUIRE(spectra->envelope.level.size() == 379);
    CHECK(spectra->envelope.step == 0.05);
    CHECK(test::close_rel(spectra->envelope.level[71], 0.1 * static_cast<double>(i), 1e-12));
    CHECK(test::close_rel(spectra->velocity.level[6], 0.0017, 1e-12));
    REQUIRE(spectra->orders);
    CHECK(spectra->orders->ftf == test::made_orders().ftf);
  }
  // Analysed again, the new analysis's spectra count.
  Reading again = test::made_reading(1);
  again.settings = "bearing=6206";
  again.spectra = made_spectra(0.9);
  REQUIRE(h.add(feed, again));
  point = h.point(feed).value();
  REQUIRE(h.read_spectra(point));
  CHECK(test::close_rel(point.readings[1].spectra->envelope.level[71], 0.9, 1e-12));
  PointHistory other;
  other.at = {"planer-feed", "nowhere"};
  CHECK(h.read_spectra(other).error().code == Errc::not_found);
}
