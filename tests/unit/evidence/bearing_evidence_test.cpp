#include "bearingdsp/evidence/bearing_evidence.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cstddef>

#include "bearingdsp/simulate/simulation.hpp"
#include "bearingdsp/verdict/judgement.hpp"
#include "support/close.hpp"
#include "support/orders.hpp"

using namespace bearingdsp;
using test::eight_elements;
using test::nine_elements;

namespace {

SimulationPlan plan_of(std::uint64_t seed, const DefectOrders& orders) {
  SimulationPlan p;
  p.seed = seed;
  p.duration = Seconds{4};
  p.orders = orders;
  p.speed = Rpm{1483};
  return p;
}

struct Run {
  BearingEvidence evidence;
  Judgement judgement;
};

Run run(const SimulationPlan& plan) {
  FftPlans plans;
  const auto s = simulate(plan).value();
  const Hz shaft{s.truth.mean_shaft_rate_hz};
  const std::vector<RecordSpectrum> axes{
      flattened(record_spectrum(s.capture.view(0), plans), Hz{75})};
  Run r{bearing_evidence(band_spectra(axes, shaft, *plan.orders, plans), shaft, *plan.orders, 0.02,
                         {{Hz{50}, Hz{60}}, {}}),
        {}};
  r.judgement = judge(r.evidence, *plan.orders, 1 / (shaft.value() * plan.duration.value()));
  return r;
}

}  // namespace

TEST_CASE("a seeded defect is found at its place and its slip is recovered") {
  for (const auto& orders : {eight_elements(), nine_elements()})
    for (const Part part : {Part::outer_ring, Part::inner_ring, Part::rolling_element}) {
      CAPTURE(token(part));
      auto plan = plan_of(11, orders);
      plan.mean_slip = 0.006;
      SimulatedDefect defect;
      defect.part = part;
      defect.severity = 30;
      defect.slip = 0.004;
      plan.defects = {defect};
      const auto r = run(plan);
      CHECK(r.judgement.verdict == Verdict::fault);
      const auto p = static_cast<std::size_t>(part);
      CHECK(r.judgement.part[p] > 0.7);
      // The cage lags by 0.6 %: BPFO and FTF below, BPFI above the kinematic value.
      const double ratio =
          part == Part::inner_ring
              ? (orders.rolling_elements - 0.994 * orders.bpfo.value()) / orders.bpfi.value()
              : 0.994;
      if (part != Part::rolling_element)
        CHECK(test::close_abs(1 + r.evidence.parts[p].score.slip, ratio, 0.0015));
    }
}

TEST_CASE(
    "what is beside and between the lines says whose they are [src:randall2011 section 2, from "
    "memory]") {
  const auto made = [](Part part, const DefectOrders& of_defect, double load_zone) {
    auto plan = plan_of(13, nine_elements());
    SimulatedDefect defect;
    defect.part = part;
    defect.severity = 30;
    defect.load_zone = load_zone;
    defect.orders = of_defect;
    plan.defects = {defect};
    return run(plan).evidence.parts;
  };
  constexpr auto outer = static_cast<std::size_t>(Part::outer_ring);
  constexpr auto inner = static_cast<std::size_t>(Part::inner_ring);
  // The inner ring of another bearing gives impacts at 3.61x shaft speed, beside our BPFO, and goes
  // through the load once a revolution.
  DefectOrders other = nine_elements();
  other.bpfi = Order{3.61};
  CHECK(made(Part::inner_ring, other, 0.8)[outer].turning >= 4);
  CHECK(made(Part::outer_ring, nine_elements(), 0)[outer].turning <= 2);
  // An outer ring of another bearing at half our BPFI: every second of its lines is at ours.
  other = nine_elements();
  other.bpfo = Order{0.5 * 5.4152};
  CHECK(made(Part::outer_ring, other, 0)[inner].between > 0.5);
  CHECK(made(Part::inner_ring, nine_elements(), 0.8)[inner].between < 0.05);
}

TEST_CASE("strengths of all bands: the highest is the one that the evidence chose") {
  auto plan = plan_of(11, nine_elements());
  SimulatedDefect defect;
  defect.part = Part::inner_ring;
  defect.severity = 30;
  plan.defects = {defect};
  const BearingEvidence evidence = run(plan).evidence;
  FftPlans plans;
  const auto s = simulate(plan).value();
  const Hz shaft{s.truth.mean_shaft_rate_hz};
  const std::vector<RecordSpectrum> axes{
      flattened(record_spectrum(s.capture.view(0), plans), Hz{75})};
  const BandSpectra bands = band_spectra(axes, shaft, *plan.orders, plans);
  const auto all = band_strengths(bands, shaft, *plan.orders, 0.02, {{Hz{50}, Hz{60}}, {}});
  REQUIRE(all.size() == bands.spectra.size());
  const auto top = std::max_element(
      all.begin(), all.end(),
      [](const BandStrength& a, const BandStrength& b) { return a.strength < b.strength; });
  CHECK(top->part == Part::inner_ring);
  CHECK(top->strength == evidence.parts[static_cast<std::size_t>(Part::inner_ring)].strength);
  CHECK(top->band.low == evidence.strongest.band.low);
  CHECK(top->band.high == evidence.strongest.band.high);
}

TEST_CASE("a healthy bearing on an unbalanced, knocking or modulated shaft raises no alarm") {
  for (const auto& orders : {eight_elements(), nine_elements()})
    for (std::uint64_t seed = 1; seed <= 6; ++seed) {
      CAPTURE(seed);
      auto plan = plan_of(seed, orders);
      plan.shaft_harmonics = {8, 3, 2, 1, 1};
      plan.shaft_modulation = 0.1 * static_cast<double>(seed);
      plan.resonant_noise = 1;
      plan.variable_compliance = 0.2;
      plan.mains_hum = 0.3;
      plan.electrical_impulses = seed % 2 == 0 ? 5 : 0;
      plan.shocks_per_second = seed % 3 == 0 ? 2 : 0;
      plan.shock_peak = 20;
      const auto r = run(plan);
      CHECK(r.judgement.verdict == Verdict::no_fault);
      CHECK(r.judgement.strength < 0.18);
    }
}

TEST_CASE("impulses at twice the mains frequency are not taken for a defect at the same rate") {
  // 1313.8 rpm puts BPFO of eleven elements (4.563 orders) on 100 Hz within 0.1 %.
  DefectOrders orders;
  orders.bpfo = Order{4.563};
  orders.bpfi = Order{6.437};
  orders.bsf = Order{2.8498};
  orders.ftf = Order{0.41482};
  auto plan = plan_of(4, orders);
  plan.speed = Rpm{1313.8};
  plan.electrical_impulses = 20;
  const auto r = run(plan);
  CHECK(r.judgement.verdict == Verdict::no_fault);
}

TEST_CASE("gain and polarity change nothing") {
  FftPlans plans;
  auto plan = plan_of(2, nine_elements());
  plan.defects = {SimulatedDefect{}};
  auto s = simulate(plan).value();
  const Hz shaft{s.truth.mean_shaft_rate_hz};
  const auto strength = [&] {
    const std::vector<RecordSpectrum> axes{
        flattened(record_spectrum(s.capture.view(0), plans), Hz{75})};
    return bearing_evidence(band_spectra(axes, shaft, *plan.orders, plans), shaft, *plan.orders,
                            0.02, {{}, {}})
        .parts[0]
        .strength;
  };
  const double before = strength();
  CHECK(before > 0.2);
  for (double& v : s.capture.channels[0].samples) v *= -1e-4;
  CHECK(test::close_rel(strength(), before, 1e-6));
}

TEST_CASE("bad input of the gatherer is a caller's bug") {
  FftPlans plans;
  CHECK_THROWS_AS((void)band_spectra({}, Hz{25}, nine_elements(), plans), std::invalid_argument);
}

TEST_CASE(
    "damage whose rate hides behind a shaft harmonic in a short recording is not called sound") {
  // 1 % of an order beside 3, 5 and 4: 20 revolutions separate them at no harmonic, 500 revolutions
  // do.
  const DefectOrders beside = test::orders_of(8, 3.01, 4.99, 1.995, 0.376);
  auto plan = plan_of(4, beside);
  plan.shaft_harmonics = {0.5, 0.2};
  plan.duration = Seconds{0.8};
  const auto sound = run(plan);
  CHECK(sound.judgement.verdict == Verdict::no_fault);
  CHECK_FALSE(sound.judgement.unresolved);
  SimulatedDefect defect;
  defect.severity = 30;
  plan.defects = {defect};
  const auto short_record = run(plan);
  CHECK(short_record.judgement.verdict == Verdict::indeterminate);
  CHECK(short_record.judgement.unresolved == Part::outer_ring);
  plan.duration = Seconds{20};
  const auto long_record = run(plan);
  CHECK(long_record.judgement.verdict == Verdict::fault);
  CHECK(long_record.judgement.place == Place::outer_ring);
}

TEST_CASE("damage that slip brings onto a shaft harmonic is not called sound in a long recording") {
  // BPFO 3.012: a slip of 0.4 % puts it on 3x, where no length of record parts them.
  const DefectOrders beside = test::orders_of(8, 3.012, 4.988, 1.9, 0.3765);
  auto plan = plan_of(4, beside);
  plan.mean_slip = 0.004;
  plan.duration = Seconds{8};
  plan.shaft_harmonics = {2, 1, 0.5};
  const auto sound = run(plan);
  CHECK(sound.judgement.verdict == Verdict::no_fault);
  plan.defects = {SimulatedDefect{}};
  plan.defects[0].severity = 30;
  const auto damaged = run(plan);
  CHECK(damaged.judgement.verdict == Verdict::indeterminate);
  CHECK(damaged.judgement.unresolved == Part::outer_ring);
}

TEST_CASE(
    "a ring's family has to stand clear of its rivals, an element's has the cage's for rivals") {
  FamilyScore score;
  score.evidence = 10;
  score.depth = 0.5;
  score.dominance_db = 0;
  CHECK(test::close_rel(score.strength(), 0.5, 1e-12));
  // -3 dB of amplitude [src:closed form]
  CHECK(test::close_rel(score.strength(3), 0.5 * std::pow(10.0, -0.15), 1e-12));
  score.dominance_db = 3;
  CHECK(test::close_rel(score.strength(3), 0.5, 1e-12));
  score.evidence = score.min_evidence - 0.1;
  CHECK(score.strength(3) == 0);
}

TEST_CASE("2 x BSF on BPFO: the cage's lines tell the element from the ring [src:simulation]") {
  // 2 x BSF 4.281 beside BPFO 4.279: no length of record parts them.
  const DefectOrders twins = test::orders_of(11, 4.279, 6.721, 2.1405, 0.389);
  auto plan = plan_of(7, twins);
  plan.duration = Seconds{6};
  SimulatedDefect defect;
  defect.severity = 12;
  plan.defects = {defect};
  CHECK(run(plan).judgement.place == Place::outer_ring);
  plan.defects[0].part = Part::rolling_element;
  plan.defects[0].load_zone = 0.7;
  CHECK(run(plan).judgement.place == Place::rolling_element);
}
