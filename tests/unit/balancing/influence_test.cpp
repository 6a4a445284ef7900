#include "bearingdsp/balancing/influence.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <string>
#include <vector>

#include "bearingdsp/simulate/random.hpp"
#include "support/close.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;
using Complex = std::complex<double>;

namespace {

BalanceRun run_of(std::vector<BalanceWeight> weights, std::vector<Complex> vibration) {
  return {"", std::move(weights), std::move(vibration), {}, {}};
}

Complex at(double amplitude, double degrees) { return polar_vector(amplitude, Degrees{degrees}); }
BalanceWeight grams(double mass, double degrees) { return {Grams{mass}, Degrees{degrees}}; }

/// A rotor with known unbalance: vibration = influence * (unbalance + weights).
struct Rotor {
  std::vector<std::vector<Complex>> influence;  ///< [rows][planes]
  std::vector<Complex> unbalance;               ///< [planes], g
  [[nodiscard]] std::vector<Complex> vibration(const std::vector<BalanceWeight>& weights) const {
    std::vector<Complex> v;
    for (const auto& row : influence) {
      Complex sum;
      for (std::size_t p = 0; p < row.size(); ++p)
        sum += row[p] * (unbalance[p] + vector_of(weights[p]));
      v.push_back(sum);
    }
    return v;
  }
};

/// Two planes, two bearings, each plane acting most on its own.
Rotor two_planes() {
  return {{{at(0.08, 170), at(0.03, 150)}, {at(0.025, 120), at(0.09, 200)}},
          {at(55, 30), at(40, 250)}};
}

std::vector<BalanceRun> usual_runs(const Rotor& rotor, double trial = 30) {
  std::vector<BalanceRun> runs;
  const std::size_t planes = rotor.unbalance.size();
  std::vector<BalanceWeight> none(planes);
  runs.push_back(run_of(none, rotor.vibration(none)));
  for (std::size_t p = 0; p < planes; ++p) {
    auto weights = none;
    weights[p] = grams(trial, 90.0 * static_cast<double>(p));
    runs.push_back(run_of(weights, rotor.vibration(weights)));
  }
  return runs;
}

}  // namespace

TEST_CASE(
    "influence: one plane, worked example [src:workshop references rows 5.10-5.16, derived]") {
  const std::vector<BalanceRun> runs{run_of({grams(0, 0)}, {at(6.0, 40)}),
                                     run_of({grams(20, 0)}, {at(4.5, 110)})};
  const auto a = balance(runs).value();
  REQUIRE(a.usable());
  CHECK(close_rel(std::abs(a.rows[0].influence[0]), 0.3073, 1e-3));
  CHECK(close_abs(angle_of(a.rows[0].influence[0]).value(), 176.5, 0.1));
  CHECK(close_rel(a.planes[0].weight.mass.value(), 19.5, 3e-3));
  CHECK(close_abs(a.planes[0].weight.angle.value(), 43.5, 0.1));
  CHECK(close_rel(a.planes[0].added.mass.value(), 14.6, 5e-3));
  CHECK(close_abs(a.planes[0].added.angle.value(), 113.5, 0.2));
  CHECK(std::abs(a.rows[0].after) < 1e-9);
  CHECK(a.changes.size() == 1);
  CHECK(close_rel(a.changes[0].ratio, -0.25, 1e-9));
  CHECK(close_abs(a.changes[0].turn.value(), 70, 1e-9));
  CHECK(a.changes[0].enough);  // 25 % alone would not do
  // Trim from 0.8 at 75 degrees with the same coefficient: 2.6 g at 78.5 degrees.
  const auto trim = weight_of(-at(0.8, 75) / a.rows[0].influence[0]);
  CHECK(close_rel(trim.mass.value(), 2.6, 5e-3));
  CHECK(close_abs(trim.angle.value(), 78.5, 0.1));
}

TEST_CASE("influence: a rotor with known unbalance is recovered exactly [src:closed-form]") {
  const Rotor rotor = two_planes();
  const auto a = balance(usual_runs(rotor)).value();
  REQUIRE(a.usable());
  for (std::size_t p = 0; p < 2; ++p) {
    CHECK(std::abs(vector_of(a.planes[p].weight) + rotor.unbalance[p]) < 1e-9);
    for (std::size_t m = 0; m < 2; ++m)
      CHECK(std::abs(a.rows[m].influence[p] - rotor.influence[m][p]) < 1e-12);
  }
  CHECK_FALSE(a.misfit.has_value());
}

TEST_CASE("influence: a trial weight that was left on gives the same answer as one removed") {
  const Rotor rotor = two_planes();
  const std::vector<BalanceWeight> none(2), first{grams(30, 0), grams(0, 0)},
      both{grams(30, 0), grams(25, 90)};
  const std::vector<BalanceRun> runs{run_of(none, rotor.vibration(none)),
                                     run_of(first, rotor.vibration(first)),
                                     run_of(both, rotor.vibration(both))};
  const auto a = balance(runs).value();
  REQUIRE(a.usable());
  for (std::size_t p = 0; p < 2; ++p) {
    CHECK(std::abs(vector_of(a.planes[p].weight) + rotor.unbalance[p]) < 1e-9);
    // What is added completes what is on the rotor.
    CHECK(std::abs(vector_of(a.planes[p].added) + vector_of(both[p]) + rotor.unbalance[p]) < 1e-9);
  }
}

TEST_CASE(
    "influence: several sensors and speeds in one plane, least squares [src:goodman1964, memory]") {
  // Three rows that one weight cannot silence together: the normal equations by hand.
  const std::vector<Complex> influence{at(0.1, 10), at(0.2, 50), at(0.05, -60)};
  std::vector<Complex> found;
  const std::vector<Complex> odd{at(0.5, 100), at(0.4, 20), at(1.2, 200)};
  for (std::size_t m = 0; m < 3; ++m) found.push_back(influence[m] * at(35, 77) + odd[m]);
  std::vector<Complex> with;
  const BalanceWeight trial = grams(20, 45);
  for (std::size_t m = 0; m < 3; ++m) with.push_back(found[m] + influence[m] * vector_of(trial));
  Complex top;
  double bottom = 0;
  for (std::size_t m = 0; m < 3; ++m) {
    top += std::conj(influence[m]) * found[m];
    bottom += std::norm(influence[m]);
  }
  const std::vector<BalanceRun> runs{run_of({grams(0, 0)}, found), run_of({trial}, with)};
  const auto a = balance(runs).value();
  REQUIRE(a.usable());
  CHECK(std::abs(vector_of(a.planes[0].weight) + top / bottom) < 1e-9);
  CHECK_FALSE(a.notes.empty());  // much remains at a sensor
}

TEST_CASE("influence: turning all angles turns the answer, scaling masses scales it") {
  const Rotor rotor = two_planes();
  const auto runs = usual_runs(rotor);
  const auto a = balance(runs).value();
  for (const double turn : {17.0, 133.0, -80.0}) {
    // The mark elsewhere: weights and phases turn together.
    auto turned = runs;
    for (auto& r : turned) {
      for (auto& w : r.weights) w.angle = w.angle + Degrees{turn};
      for (auto& v : r.vibration) v *= at(1, turn);
    }
    const auto b = balance(turned).value();
    for (std::size_t p = 0; p < 2; ++p)
      CHECK(std::abs(vector_of(b.planes[p].weight) - vector_of(a.planes[p].weight) * at(1, turn)) <
            1e-9);
  }
  auto scaled = runs;
  for (auto& r : scaled) {
    for (auto& w : r.weights) w.mass = 1000 * w.mass;
    for (auto& v : r.vibration) v *= 0.04;
  }
  const auto c = balance(scaled).value();
  for (std::size_t p = 0; p < 2; ++p) {
    CHECK(close_rel(c.planes[p].weight.mass.value(), 1000 * a.planes[p].weight.mass.value(), 1e-9));
    CHECK(close_rel(c.planes[p].mass_uncertainty.value(),
                    1000 * a.planes[p].mass_uncertainty.value(), 1e-9));
  }
  // The other sense of the angles is the mirror image.
  auto mirrored = runs;
  for (auto& r : mirrored) {
    for (auto& w : r.weights) w.angle = -1 * w.angle;
    for (auto& v : r.vibration) v = std::conj(v);
  }
  const auto d = balance(mirrored).value();
  for (std::size_t p = 0; p < 2; ++p)
    CHECK(std::abs(vector_of(d.planes[p].weight) - std::conj(vector_of(a.planes[p].weight))) <
          1e-9);
}

TEST_CASE("influence: with noise the true answer is within the 95 % ranges as often as they say") {
  const Rotor rotor = two_planes();
  Random random{3, 5};
  constexpr int times = 600;
  constexpr double sigma = 0.04;
  int weight_inside = 0, vibration_inside = 0, remains_inside = 0, usable = 0;
  for (int i = 0; i < times; ++i) {
    auto runs = usual_runs(rotor);
    for (auto& r : runs) {
      for (auto& v : r.vibration)
        v += sigma / std::sqrt(2.0) * Complex{random.normal(), random.normal()};
      r.scatter.assign(r.vibration.size(), sigma);
    }
    BalanceOptions o;
    o.repeatability = 0;
    const auto a = balance(runs, o).value();
    if (!a.usable()) continue;
    ++usable;
    std::vector<BalanceWeight> mounted{a.planes[0].weight, a.planes[1].weight};
    const auto left = rotor.vibration(mounted);
    for (std::size_t k = 0; k < 2; ++k) {
      const Complex error = vector_of(a.planes[k].weight) + rotor.unbalance[k];
      // Along the weight: its mass.
      const Complex along = rotor.unbalance[k] / std::abs(rotor.unbalance[k]);
      if (std::abs((error * std::conj(along)).real()) <= a.planes[k].mass_uncertainty.value())
        ++weight_inside;
      if (std::abs(error) <= a.planes[k].remains_at_most.value()) ++remains_inside;
      if (std::abs(left[k]) <= a.rows[k].at_most) ++vibration_inside;
    }
  }
  CHECK(usable == times);
  // 1200 trials of 95 %: three standard deviations are 1.9 %.
  for (const int inside : {weight_inside, remains_inside, vibration_inside}) {
    INFO(inside);
    CHECK(inside > 0.93 * 2 * times);
    CHECK(inside < 0.97 * 2 * times);
  }
}

TEST_CASE("influence: a control run is used too, and runs that contradict each other are refused") {
  const Rotor rotor = two_planes();
  auto runs = usual_runs(rotor);
  const std::vector<BalanceWeight> control{grams(50, 215), grams(35, 75)};
  runs.push_back(run_of(control, rotor.vibration(control)));
  const auto good = balance(runs).value();
  REQUIRE(good.usable());
  REQUIRE(good.misfit);
  CHECK(*good.misfit < 1e-9);
  CHECK(std::abs(vector_of(good.planes[0].weight) + rotor.unbalance[0]) < 1e-9);
  // The weight was really on the other side.
  auto wrong = runs;
  wrong.back().weights[0].angle = wrong.back().weights[0].angle + Degrees{180};
  const auto bad = balance(wrong).value();
  CHECK_FALSE(bad.usable());
  CHECK(bad.planes.empty());
  CHECK(bad.why_not.front().find("contradict") != std::string::npos);
}

TEST_CASE(
    "influence: a trial weight has to change 30 % or 30 degrees [src:workshop references row 5.11, "
    "memory 90 %]") {
  const auto answer = [](Complex with) {
    return balance(std::vector<BalanceRun>{run_of({grams(0, 0)}, {at(6, 40)}),
                                           run_of({grams(20, 0)}, {with})})
        .value();
  };
  CHECK(answer(at(6 * 1.31, 40)).usable());
  CHECK(answer(at(6 * 0.69, 40)).usable());
  CHECK(answer(at(6, 71)).usable());
  CHECK(answer(at(6, 9)).usable());
  for (const Complex small : {at(6 * 1.29, 40), at(6 * 0.71, 40), at(6, 69), at(6, 11)}) {
    const auto a = answer(small);
    CHECK_FALSE(a.usable());
    CHECK(a.planes.empty());
    CHECK(a.why_not.front().find("30 % or 30 degrees is needed") != std::string::npos);
    CHECK(a.rows.size() == 1);
  }
}

TEST_CASE(
    "influence: the speed has to be the same within 2 % [src:workshop references row 5.17, "
    "memory 95 %]") {
  auto runs = usual_runs(two_planes());
  for (auto& r : runs) r.speed = {Rpm{1480}, Rpm{1480}};
  runs[1].speed = {Rpm{1508}, Rpm{1508}};
  CHECK(balance(runs)->usable());
  runs[1].speed = {Rpm{1511}, Rpm{1511}};
  const auto a = balance(runs).value();
  CHECK_FALSE(a.usable());
  CHECK(a.why_not.front().find("the speed differs by 2.1 %") != std::string::npos);
}

TEST_CASE("influence: planes that the sensors cannot separate give no answer") {
  Rotor rotor = two_planes();
  // Both planes act in the same proportion but for a thousandth.
  for (auto& row : rotor.influence) row[1] = 0.8 * row[0];
  rotor.influence[1][1] *= 1.001;
  const auto a = balance(usual_runs(rotor)).value();
  CHECK(a.condition > 100);
  REQUIRE_FALSE(a.usable());
  CHECK(a.why_not.front().find("almost the same way") != std::string::npos);
  CHECK(a.planes.empty());
}

TEST_CASE("influence: runs of the wrong shape are errors") {
  const auto code = [](const std::vector<BalanceRun>& runs) {
    const auto a = balance(runs);
    REQUIRE_FALSE(a);
    return a.error().code;
  };
  const BalanceRun found = run_of({grams(0, 0)}, {at(6, 40)});
  CHECK(code({}) == Errc::missing_metadata);
  CHECK(code({found}) == Errc::missing_metadata);
  CHECK(code({found, found}) == Errc::missing_metadata);  // no weight in either
  CHECK(code({found, run_of({grams(20, 0)}, {})}) == Errc::bad_argument);
  CHECK(code({found, run_of({grams(20, 0), grams(0, 0)}, {at(4, 1)})}) == Errc::bad_argument);
  CHECK(code({found, run_of({grams(std::nan(""), 0)}, {at(4, 1)})}) == Errc::bad_argument);
  // Two planes and one sensor.
  CHECK(code({run_of({grams(0, 0), grams(0, 0)}, {at(4, 1)})}) == Errc::bad_argument);
  CHECK(code({run_of({}, {at(4, 1)})}) == Errc::bad_argument);
}

TEST_CASE("influence: the prediction of other weights is that of the rotor [src:closed-form]") {
  const Rotor rotor = two_planes();
  const auto runs = usual_runs(rotor);
  const std::vector<BalanceWeight> other{grams(52, 208), grams(41, 71)};
  const auto rows = predict(runs, other).value();
  const auto true_ones = rotor.vibration(other);
  for (std::size_t m = 0; m < 2; ++m) CHECK(std::abs(rows[m].after - true_ones[m]) < 1e-9);
  CHECK_FALSE(predict(runs, std::vector<BalanceWeight>{grams(1, 0)}));
}

TEST_CASE("influence: a rotor without vibration as found has nothing to be balanced") {
  const std::vector<BalanceRun> runs{run_of({grams(0, 0)}, {0.0}),
                                     run_of({grams(20, 0)}, {at(4.5, 110)})};
  const BalanceAnswer a = balance(runs, {}).value();
  REQUIRE(a.why_not.size() == 1);
  CHECK(a.why_not[0].find("nothing is to be balanced") != std::string::npos);
}
