#include "bearingdsp/verdict/stage.hpp"

#include <doctest/doctest.h>

#include "bearingdsp/bearing/catalogue.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "support/made_diagnosis.hpp"

using namespace bearingdsp;

namespace {

StageEvidence of(double share, double depth, int harmonics = 5, int parts = 1) {
  return {Verdict::fault, parts, harmonics, 0, depth, share, {Hz{2500}, Hz{5000}}};
}

Stage simulated(double severity) {
  SimulationPlan plan;
  plan.orders = variants(find_bearing("6205").value()).back();
  plan.duration = Seconds{3};
  plan.noise = 0.7;
  plan.shaft_harmonics = {0.5, 0.2};
  plan.defects = {{.part = Part::outer_ring, .severity = severity}};
  const auto made = simulate(plan).value();
  FftPlans plans;
  DiagnoseOptions options;
  options.bearings = {*plan.orders};
  options.speed = plan.speed;
  return judge_stage(stage_evidence(diagnose(made.capture, plans, options).value())).stage;
}

}  // namespace

TEST_CASE("stage: without a verdict none is guessed, and no fault is none") {
  StageEvidence e = of(0.9, 2);
  e.verdict = Verdict::indeterminate;
  CHECK(judge_stage(e, 20).stage == Stage::unknown);
  e.verdict = Verdict::no_fault;
  CHECK(judge_stage(e, 20).stage == Stage::none);
}

TEST_CASE("stage: each step has its own sign [src:docs/history.md]") {
  CHECK(judge_stage(of(0.12, 1.0)).stage == Stage::early);
  CHECK(judge_stage(of(0.12, 1.0), 25).stage == Stage::early);
  CHECK(judge_stage(of(0.33, 1.0)).stage == Stage::developed);
  CHECK(judge_stage(of(0.12, 1.6)).stage == Stage::developed);
  CHECK(judge_stage(of(0.12, 1.6, 2)).stage == Stage::early);
  CHECK(judge_stage(of(0.33, 1.0), 9.9).stage == Stage::developed);
  CHECK(judge_stage(of(0.33, 1.0), 10.1).stage == Stage::advanced);
  CHECK(judge_stage(of(0.12, 1.0, 5, 2)).stage == Stage::advanced);
}

TEST_CASE(
    "stage: each limit on both sides of it [src:docs/history.md, How far the damage has come]") {
  CHECK(judge_stage(of(0.29, 1.0)).stage == Stage::early);
  CHECK(judge_stage(of(0.30, 1.0)).stage == Stage::developed);
  CHECK(judge_stage(of(0.12, 1.49)).stage == Stage::early);
  CHECK(judge_stage(of(0.12, 1.50)).stage == Stage::developed);
  CHECK(judge_stage(of(0.12, 1.50, 2)).stage == Stage::early);
  CHECK(judge_stage(of(0.12, 1.50, 3)).stage == Stage::developed);
  CHECK(judge_stage(of(0.30, 1.0), 9.99).stage == Stage::developed);
  CHECK(judge_stage(of(0.30, 1.0), 10).stage == Stage::advanced);
  // A part counts from the strength on at which visible damage and its absence are equally likely.
  Diagnosis d = test::made_diagnosis();
  d.place = Place::several;
  d.families[0].strength = 0.9;
  d.families[1].strength = 0.21;
  CHECK(stage_evidence(d).parts == 1);
  d.families[1].strength = 0.23;
  CHECK(stage_evidence(d).parts == 2);
}

TEST_CASE("stage: the reason names energy, lines and what is not known") {
  CHECK(judge_stage(of(0.12, 1.0)).why.find("2500-5000 Hz") != std::string::npos);
  CHECK(judge_stage(of(0.5, 1.0)).why.find("50 % of the recorded range") != std::string::npos);
  CHECK(judge_stage(of(0.5, 1.0)).why.find("needs earlier recordings") != std::string::npos);
  CHECK(judge_stage(of(0.5, 1.0), 3).why.find("+3 dB") != std::string::npos);
}

TEST_CASE("stage: evidence is taken from the strongest family and its band") {
  Diagnosis d = test::made_diagnosis();
  d.families[0].strength = 0.9;
  d.families[1].strength = 0.1;
  d.bands.front().share = 0.4;
  const StageEvidence e = stage_evidence(d);
  CHECK(e.parts == 1);
  CHECK(e.harmonics == 3);
  CHECK(e.sidebands == 1);
  CHECK(e.depth == 0.34);
  CHECK(e.share == 0.4);
  CHECK(e.band.high == Hz{5000});
  d.families[1].strength = 0.5;
  CHECK(stage_evidence(d).parts == 1);  // the same lines, perhaps
  d.place = Place::several;
  CHECK(stage_evidence(d).parts == 2);
  CHECK(stage_evidence(Diagnosis{}).parts == 0);
}

TEST_CASE("stage: a simulated defect walks up the scale as it grows [src:the simulation's truth]") {
  CHECK(simulated(0.3) == Stage::none);
  CHECK(simulated(2) == Stage::early);
  CHECK(simulated(10) == Stage::developed);
}
