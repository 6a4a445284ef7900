#include "verdict/mixture.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "support/close.hpp"
#include "support/orders.hpp"

using namespace bearingdsp;

namespace {

/// A candidate whose outer ring alone shows, with that strength.
Weighed outer_ring(double strength, double slip = 0) {
  Weighed w;
  w.evidence.parts[0].part = Part::outer_ring;
  w.evidence.parts[0].score.slip = slip;
  w.evidence.parts[0].tolerance = 0.02;
  w.judgement.own_strength[0] = strength;
  w.judgement.strength = strength;
  w.judgement.damage = damage_probability(strength, {});
  w.judgement.part[0] = 0.97 * w.judgement.damage;
  decide(w.judgement, false, {});
  return w;
}

std::vector<BearingCandidate> candidates(std::vector<double> weights) {
  std::vector<BearingCandidate> out;
  for (const double w : weights) out.emplace_back(test::nine_elements(), w);
  return out;
}

}  // namespace

TEST_CASE("mixture: of one candidate it is that candidate's judgement") {
  const std::vector<Weighed> one{outer_ring(0.5)};
  const auto m = mix(one, candidates({3}), {});
  CHECK(m.judgement.damage == one[0].judgement.damage);
  CHECK(m.share == std::vector<double>{1.0});
}

// Total probability: odds of 0.5 * o + 0.5 * 0 for candidates of equal weight.
TEST_CASE("mixture: candidates that show nothing are paid for [src:closed-form]") {
  const ModelParameters parameters;
  const JudgementModel& model = parameters.judgement;
  const double strength = 0.25;
  const std::vector<Weighed> two{outer_ring(strength), outer_ring(0)};
  const auto m = mix(two, candidates({1, 1}), parameters);
  const double odds = std::pow(strength / model.even_strength, model.steepness) / 2;
  CHECK(test::close_rel(m.judgement.damage, model.unseen + (1 - model.unseen) * odds / (1 + odds),
                        1e-12));
  CHECK(m.judgement.damage < damage_probability(strength, model));
  CHECK(m.best == 0);
}

// Bayes' rule: a third of the weight for the candidate at whose order the lines are, against 'lines
// of another bearing', which is one hypothesis however many candidates there are.
TEST_CASE("mixture: the more candidates, the likelier one matches noise [src:closed-form]") {
  constexpr double elsewhere = 0.2;
  Weighed fits = outer_ring(0.8);
  fits.judgement.elsewhere = elsewhere;
  fits.judgement.part[0] = (1 - elsewhere) * fits.judgement.damage;
  const Judgement one = mix(std::vector<Weighed>{fits}, candidates({1}), {}).judgement;
  CHECK(test::close_rel(one.part[0], (1 - elsewhere) * one.damage, 1e-12));
  const std::vector<Weighed> three{fits, outer_ring(0), outer_ring(0)};
  const Judgement of_three = mix(three, candidates({1, 1, 1}), {}).judgement;
  const double share = (1 - elsewhere) / 3 / ((1 - elsewhere) / 3 + elsewhere);
  CHECK(test::close_rel(of_three.part[0], share * of_three.damage, 1e-12));
  CHECK(of_three.verdict == Verdict::fault);
  CHECK(of_three.place == Place::unclear);
}

TEST_CASE("mixture: candidates that agree cost nothing, whatever their weights") {
  const std::vector<Weighed> three{outer_ring(0.4), outer_ring(0.4), outer_ring(0.4)};
  const auto m = mix(three, candidates({5, 1, 2}), {});
  CHECK(test::close_rel(m.judgement.damage, damage_probability(0.4, {}), 1e-12));
  CHECK(m.judgement.place == Place::outer_ring);
}

TEST_CASE("mixture: of two candidates that explain it alike the one without slip is shown") {
  const std::vector<Weighed> two{outer_ring(0.5, 0.02), outer_ring(0.5, 0.001)};
  CHECK(mix(two, candidates({1, 1}), {}).best == 1);
}

TEST_CASE("mixture: without damage the likeliest candidate is shown") {
  const std::vector<Weighed> two{outer_ring(0), outer_ring(0)};
  const auto m = mix(two, candidates({1, 4}), {});
  CHECK(m.best == 1);
  CHECK(m.judgement.verdict == Verdict::no_fault);
  CHECK(test::close_rel(m.share[1], 0.8, 1e-12));
}
