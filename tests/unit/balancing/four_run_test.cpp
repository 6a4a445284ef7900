#include "bearingdsp/balancing/four_run.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <vector>

#include "bearingdsp/simulate/random.hpp"
#include "support/close.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

namespace {

/// Amplitudes of a linear rotor: as found `v0`, influence `alpha` per gram.
FourRuns runs_of(std::complex<double> v0, std::complex<double> alpha, double trial,
                 const std::vector<double>& angles) {
  FourRuns r;
  r.found = std::abs(v0);
  r.trial = Grams{trial};
  for (const double a : angles)
    r.runs.push_back({std::abs(v0 + alpha * polar_vector(trial, Degrees{a})), Degrees{a}});
  return r;
}

}  // namespace

TEST_CASE("four runs: worked example [src:workshop references rows 5.18-5.22, derived]") {
  const FourRuns r{
      6.00, Grams{15}, {{3.34, Degrees{0}}, {7.16, Degrees{120}}, {8.52, Degrees{240}}}};
  const auto a = balance_without_phase(r).value();
  CHECK(a.usable());
  CHECK(close_rel(a.effect, 3.00, 2e-3));
  CHECK(close_abs(a.direction.value(), 200.0, 0.1));
  CHECK(close_rel(a.found_again, 6.002, 1e-3));
  CHECK(close_rel(a.correction.mass.value(), 30.0, 2e-3));
  CHECK(close_abs(a.correction.angle.value(), 20.0, 0.1));
  CHECK(a.notes.empty());
}

TEST_CASE("four runs: a linear rotor is recovered at any angles [src:closed-form]") {
  const auto v0 = polar_vector(5.2, Degrees{71});
  const auto alpha = polar_vector(0.19, Degrees{-130});
  const auto wanted = weight_of(-v0 / alpha);
  for (const auto& angles : {std::vector<double>{0, 120, 240}, {10, 90, 200}, {0, 90, 180, 270}}) {
    const auto a = balance_without_phase(runs_of(v0, alpha, 14, angles)).value();
    REQUIRE(a.usable());
    CHECK(close_rel(a.correction.mass.value(), wanted.mass.value(), 1e-9));
    CHECK(close_abs(a.correction.angle.value(), wanted.angle.value(), 1e-7));
    CHECK(close_rel(a.found_again, 5.2, 1e-9));
  }
}

TEST_CASE("four runs: angles turn with the weights, masses scale with the trial weight") {
  const auto v0 = polar_vector(5.2, Degrees{71});
  const auto alpha = polar_vector(0.19, Degrees{-130});
  const FourRuns r = runs_of(v0, alpha, 14, {0, 120, 240});
  const auto a = balance_without_phase(r).value();
  FourRuns turned = r;
  for (auto& run : turned.runs) run.angle = run.angle + Degrees{33};
  turned.trial = 2 * turned.trial;
  for (auto& run : turned.runs) run.amplitude *= 7;
  turned.found *= 7;
  const auto b = balance_without_phase(turned).value();
  CHECK(close_abs(std::remainder(b.correction.angle.value() - a.correction.angle.value() - 33, 360),
                  0, 1e-7));
  CHECK(close_rel(b.correction.mass.value(), 2 * a.correction.mass.value(), 1e-9));
}

TEST_CASE("four runs: the true weight is within the 95 % range in 90 to 100 of 100 cases") {
  const auto v0 = polar_vector(6, Degrees{200});
  const auto alpha = polar_vector(0.2, Degrees{0});
  const auto wanted = -v0 / alpha;
  Random random{7, 1};
  int inside = 0, usable = 0;
  for (int i = 0; i < 400; ++i) {
    FourRuns r = runs_of(v0, alpha, 15, {0, 120, 240});
    r.found *= 1 + 0.02 * random.normal();
    for (auto& run : r.runs) run.amplitude *= 1 + 0.02 * random.normal();
    FourRunOptions o;
    o.repeatability = 0.02;
    const auto a = balance_without_phase(r, o).value();
    if (!a.usable()) continue;
    ++usable;
    // The remaining vibration of what is really a linear rotor.
    const double left = std::abs(v0 + alpha * vector_of(a.correction));
    if (left <= a.at_most) ++inside;
    (void)wanted;
  }
  CHECK(usable > 300);
  CHECK(inside >= 90 * usable / 100);
}

TEST_CASE("four runs: contradictory or useless runs give no weight, and say why") {
  // Amplitudes that no linear rotor has: lower at all three angles.
  const auto all_lower = balance_without_phase(
      {6, Grams{15}, {{4, Degrees{0}}, {4.2, Degrees{120}}, {4.1, Degrees{240}}}});
  REQUIRE(all_lower);
  CHECK_FALSE(all_lower->usable());
  CHECK(all_lower->why_not.front().find("contradict") != std::string::npos);
  // One value wrong: what the runs give as found is far from what was measured.
  const auto wrong = balance_without_phase(
      {6, Grams{15}, {{3.34, Degrees{0}}, {9.5, Degrees{120}}, {8.52, Degrees{240}}}});
  REQUIRE(wrong);
  CHECK_FALSE(wrong->usable());
  CHECK(wrong->why_not.front().find("contradict") != std::string::npos);
  const auto light = balance_without_phase(
      runs_of(polar_vector(6, Degrees{10}), polar_vector(0.1, Degrees{0}), 10, {0, 120, 240}));
  REQUIRE(light);
  CHECK_FALSE(light->usable());
  CHECK(light->why_not.front().find("17 %") != std::string::npos);
  // A little apart: a remark. 7 % on one reading of the worked example.
  const auto doubtful = balance_without_phase(
      {6.4, Grams{15}, {{3.34, Degrees{0}}, {7.16, Degrees{120}}, {8.52, Degrees{240}}}});
  REQUIRE(doubtful);
  CHECK((doubtful->usable() ? doubtful->notes : doubtful->why_not).size() == 1);
}

TEST_CASE(
    "four runs: half the scatter of the runs, half the range of the weight [src:closed-form linear "
    "propagation of errors]") {
  const FourRuns r =
      runs_of(polar_vector(6, Degrees{200}), polar_vector(0.2, Degrees{0}), 15, {0, 120, 240});
  const auto at = [&](double repeatability) {
    FourRunOptions o;
    o.repeatability = repeatability;
    return balance_without_phase(r, o).value();
  };
  CHECK(at(0.03).repeatability == 0.03);
  CHECK(close_rel(at(0.01).mass_uncertainty.value(), 2 * at(0.005).mass_uncertainty.value(), 1e-3));
  CHECK(at(0).mass_uncertainty.value() == 0);
  FourRunOptions impossible;
  impossible.repeatability = -0.1;
  CHECK_FALSE(balance_without_phase(r, impossible));
  impossible.repeatability = 1.1;
  CHECK_FALSE(balance_without_phase(r, impossible));
}

TEST_CASE("four runs: what cannot be runs is refused") {
  const AmplitudeRun a{3, Degrees{0}}, b{4, Degrees{120}}, c{5, Degrees{240}};
  CHECK_FALSE(balance_without_phase({6, Grams{15}, {a, b}}));
  CHECK_FALSE(balance_without_phase({6, Grams{0}, {a, b, c}}));
  CHECK_FALSE(balance_without_phase({0, Grams{15}, {a, b, c}}));
  CHECK_FALSE(balance_without_phase({6, Grams{15}, {a, a, b}}));
  CHECK_FALSE(balance_without_phase({6, Grams{15}, {a, b, {std::nan(""), Degrees{240}}}}));
}
