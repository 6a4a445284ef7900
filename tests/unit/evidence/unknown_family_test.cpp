#include "bearingdsp/evidence/unknown_family.hpp"

#include <doctest/doctest.h>

#include <utility>
#include <vector>

#include "bearingdsp/simulate/simulation.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "support/close.hpp"
#include "support/orders.hpp"

using namespace bearingdsp;
using test::nine_elements;
using test::ten_elements;

namespace {

SimulationPlan sound(std::uint64_t seed) {
  SimulationPlan p;
  p.seed = seed;
  p.duration = Seconds{4};
  p.orders = nine_elements();
  p.speed = Rpm{1483};
  p.shaft_harmonics = {4, 2, 1, 0.5};
  p.shaft_modulation = 0.3;
  p.resonant_noise = 1;
  return p;
}

SimulationPlan damaged(std::uint64_t seed) {
  auto p = sound(seed);
  SimulatedDefect defect;
  defect.severity = 30;
  defect.slip = 0.004;
  p.defects = {defect};
  return p;
}

UnknownFamily search(const SimulationPlan& plan) {
  FftPlans plans;
  const auto s = simulate(plan).value();
  const std::vector<RecordSpectrum> axes{
      flattened(record_spectrum(s.capture.view(0), plans), Hz{75})};
  return search_unknown_family(axes, Hz{s.truth.mean_shaft_rate_hz}, plans, {{Hz{50}, Hz{60}}, {}});
}

Diagnosis diagnosed(const SimulationPlan& plan, std::optional<DefectOrders> orders) {
  FftPlans plans;
  DiagnoseOptions options;
  if (orders) options.bearings = {*orders};
  options.speed = plan.speed;
  return diagnose(simulate(plan).value().capture, plans, options).value();
}

}  // namespace

TEST_CASE("a defect is found without knowing the bearing, at its true order [src:simulation]") {
  const auto found = search(damaged(5));
  CHECK(found.strength > 0.25);
  CHECK(test::close_rel(found.fundamental.value(), nine_elements().bpfo.value(), 0.005));
}

TEST_CASE("a healthy machine shows no unknown family of weight [src:simulation]") {
  for (std::uint64_t seed = 1; seed <= 6; ++seed) {
    CAPTURE(seed);
    CHECK(search(sound(seed)).strength < 0.15);
  }
}

TEST_CASE("the wrong bearing number over a damaged bearing is not called sound [src:simulation]") {
  const auto right = diagnosed(damaged(5), nine_elements());
  CHECK(right.verdict == Verdict::fault);
  CHECK(right.place == Place::outer_ring);
  const auto wrong = diagnosed(damaged(5), ten_elements());
  CHECK(wrong.verdict != Verdict::no_fault);
  CHECK(wrong.place != Place::outer_ring);
  // On a healthy machine the wrong number does no harm.
  CHECK(diagnosed(sound(5), ten_elements()).verdict == Verdict::no_fault);
}

TEST_CASE(
    "sidebands and multiples of another bearing's family do not name a part [src:simulation]") {
  // A load zone puts lines at BPFI - 1, BPFI + 1, 2 x BPFI - 1 and 2 x BPFI, where these wrong
  // bearings have an order of theirs; or a per cent beside it, which slip makes up for.
  const double bpfi = nine_elements().bpfi.value();
  const auto inner_at = [](int z, double order, double bsf) {
    return test::orders_of(z, z - order, order, bsf, (z - order) / z);
  };
  const auto below = test::orders_of(11, bpfi - 1, 11 - (bpfi - 1), 2.93, (bpfi - 1) / 11);
  const std::vector<DefectOrders> all{
      below, inner_at(11, bpfi + 1, 2.95), inner_at(18, 2 * bpfi - 1, 3.61),
      inner_at(18, 2 * bpfi, 3.61), inner_at(18, 2.02 * bpfi, 3.61)};
  struct Made {
    std::uint64_t seed;
    double severity;
  };
  for (const Made made : {Made{3, 30}, Made{4, 30}, Made{5, 100}, Made{3, 100}}) {
    auto p = damaged(made.seed);
    p.defects[0].part = Part::inner_ring;
    p.defects[0].load_zone = 0.8;
    p.defects[0].severity = made.severity;
    const auto right = diagnosed(p, nine_elements());
    CHECK(right.verdict == Verdict::fault);
    CHECK(right.place == Place::inner_ring);
    for (const auto& wrong : all) {
      CAPTURE(made.seed);
      CAPTURE(made.severity);
      CAPTURE(wrong.rolling_elements);
      CAPTURE(wrong.bpfi.value());
      const auto d = diagnosed(p, wrong);
      CHECK((d.verdict == Verdict::indeterminate || d.place == Place::another_bearing));
      REQUIRE(d.unknown_order.has_value());
      CHECK(test::close_rel(d.unknown_order->value(), bpfi, 0.005));
    }
  }
}

TEST_CASE("without a bearing, damage is called, and its absence is said [src:simulation]") {
  const auto d = diagnosed(damaged(5), std::nullopt);
  CHECK(d.verdict == Verdict::fault);
  CHECK(d.unknown_order.has_value());
  CHECK(diagnosed(sound(5), std::nullopt).verdict == Verdict::no_fault);
}
