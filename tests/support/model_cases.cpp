#include "support/model_cases.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <memory>
#include <numbers>
#include <optional>
#include <utility>

#include "bearingdsp/history/own_reference.hpp"
#include "bearingdsp/simulate/random.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "bearingdsp/verdict/assessment.hpp"
#include "bearingdsp/verdict/at_machine.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "bearingdsp/verdict/judgement.hpp"
#include "support/drawn_machines.hpp"
#include "support/made_reading.hpp"
#include "support/orders.hpp"

using namespace bearingdsp;

namespace test {
namespace {

constexpr std::array parts{Part::outer_ring, Part::inner_ring, Part::rolling_element, Part::cage};
constexpr int cause_count = 8;

std::vector<double> numbers_of(const Diagnosis& d) {
  std::vector<double> out{static_cast<double>(d.verdict),
                          static_cast<double>(d.place),
                          d.probability_of_damage,
                          d.probability_of_place,
                          d.speed.rate.value() / 25,
                          d.speed.confidence,
                          d.speed.relative_uncertainty * 100,
                          d.unknown_order ? d.unknown_order->value() : 0,
                          d.order_deviation.value_or(0),
                          static_cast<double>(d.place_set.size()),
                          static_cast<double>(d.speed.method),
                          10 * d.speed.relative_variation,
                          d.excluded_depth.value_or(0),
                          10 * assess(d).remaining_damage.value_or(0)};
  double findings = 0;
  for (const Finding& f : d.findings)
    findings += static_cast<double>(f.kind) + 0.3 * static_cast<double>(f.weight);
  out.push_back(findings);
  out.insert(out.end(), d.probability_of_part.begin(), d.probability_of_part.end());
  std::array<double, part_count> strength{};
  std::array<double, part_count> chance{};
  std::array<double, part_count> sidebands{};
  for (const FamilyEvidence& f : d.families) {
    const auto p = static_cast<std::size_t>(f.part);
    strength[p] = f.strength;
    chance[p] = f.log10_false_alarm / 10;
    sidebands[p] = f.sidebands_detected;
  }
  for (const auto& a : {strength, chance, sidebands}) out.insert(out.end(), a.begin(), a.end());
  std::array<double, cause_count> causes{};
  for (const CauseEvidence& c : d.other_causes)
    causes[static_cast<std::size_t>(c.cause)] = c.probability;
  out.insert(out.end(), causes.begin(), causes.end());
  if (d.machine && d.machine->other_end) {
    out.push_back(static_cast<double>(d.machine->other_end->verdict));
    out.push_back(d.machine->other_end->probability_of_damage);
  }
  return out;
}

class Cases {
 public:
  void add(std::string name, Capture recording, DiagnoseOptions options) {
    const auto capture = std::make_shared<const Capture>(std::move(recording));
    all_.push_back({std::move(name),
                    [capture, options](const ModelParameters& model, FftPlans& plans) mutable {
                      options.model = model;
                      const auto d = diagnose(*capture, plans, options);
                      return d ? numbers_of(*d) : std::vector<double>{};
                    }});
  }
  /// Simulated when it is asked for, and kept.
  void add(std::string name, const SimulationPlan& plan, DiagnoseOptions options) {
    const auto made = std::make_shared<std::optional<Capture>>();
    all_.push_back({std::move(name),
                    [made, plan, options](const ModelParameters& model, FftPlans& plans) mutable {
                      if (!*made) *made = simulate(plan).value().capture;
                      options.model = model;
                      const auto d = diagnose(**made, plans, options);
                      return d ? numbers_of(*d) : std::vector<double>{};
                    }});
  }
  void add(ModelCase c) { all_.push_back(std::move(c)); }
  [[nodiscard]] std::vector<ModelCase> take() {
    // Names are cells of a table.
    for (ModelCase& c : all_) std::replace(c.name.begin(), c.name.end(), ',', ';');
    return std::move(all_);
  }

 private:
  std::vector<ModelCase> all_;
};

Result<SimulationPlan> drawn(std::uint64_t seed, std::optional<Part> part, double severity = 0) {
  Draw draw{seed};
  auto plan = draw_machine(draw, seed);
  if (!plan) return plan;
  plan->rate = Hz{20000};
  plan->duration = Seconds{2};
  if (part) plan->defects = {draw_defect(draw, *part)};
  if (severity > 0 && part) plan->defects[0].severity = severity;
  return plan;
}

DiagnoseOptions with(const DefectOrders& orders, std::optional<Rpm> speed) {
  DiagnoseOptions o;
  o.bearings = {orders};
  o.speed = speed;
  return o;
}

/// Drawn machines: speed exact, nominal or not given, bearing given or not.
void add_drawn(Cases& cases) {
  for (std::uint64_t seed = 1; seed <= 8; ++seed) {
    const bool damaged = seed % 4 != 0;
    const auto plan = drawn(5'000'000 + seed,
                            damaged ? std::optional{parts[seed % 4 - 1]} : std::optional<Part>{},
                            seed <= 5 ? 6 : 0);
    const auto made = simulate(*plan).value();
    const Rpm speed = shaft_speed(Hz{made.truth.mean_shaft_rate_hz});
    DiagnoseOptions o = with(*plan->orders, speed);
    cases.add(fmt::format("drawn {}", seed), made.capture, o);
    o.speed = 1.02 * speed;
    cases.add(fmt::format("nominal {}", seed), made.capture, o);
    o.speed.reset();
    cases.add(fmt::format("blind {}", seed), made.capture, o);
    o.bearings.clear();
    cases.add(fmt::format("blind without bearing {}", seed), made.capture, o);
    o.speed = speed;
    cases.add(fmt::format("without bearing {}", seed), made.capture, o);
  }
}

SimulationPlan motor(std::uint64_t seed, double seconds = 2) {
  SimulationPlan p;
  p.seed = seed;
  p.rate = Hz{20000};
  p.duration = Seconds{seconds};
  p.speed = Rpm{1480};
  p.orders = nine_elements();
  return p;
}

DefectOrders scaled(DefectOrders o, double by) {
  o.bpfo = by * o.bpfo;
  o.bpfi = by * o.bpfi;
  o.bsf = by * o.bsf;
  return o;
}

/// Bearings that are not quite, or not at all, the one given.
void add_bearings(Cases& cases) {
  SimulationPlan p = motor(11);
  p.shaft_harmonics = {1, 0.5};
  for (const Part part : {Part::outer_ring, Part::inner_ring}) {
    p.defects = {{.part = part, .severity = 12}};
    for (const double by : {1.03, 1.042, 0.965})
      cases.add(fmt::format("order {} off, {}", by, token(part)), p,
                with(scaled(nine_elements(), by), Rpm{1480}));
    for (const double severity : {3.0, 12.0}) {
      p.defects[0].severity = severity;
      cases.add(fmt::format("another bearing, {} of {}", token(part), severity), p,
                with(ten_elements(), Rpm{1480}));
    }
  }
  p.defects = {{.part = Part::outer_ring, .severity = 3}};
  DiagnoseOptions two = with(nine_elements(), Rpm{1480});
  two.bearings.push_back({scaled(nine_elements(), 1.01), 2, ""});
  cases.add("two candidates", p, two);
  for (const double slip : {0.012, 0.025}) {
    p.mean_slip = slip;
    cases.add(fmt::format("slip {}", slip), p, with(nine_elements(), Rpm{1480}));
  }
  p.mean_slip = 0;
  p.defects = {{.part = Part::outer_ring, .severity = 10},
               {.part = Part::inner_ring, .severity = 12}};
  cases.add("both rings", p, with(nine_elements(), Rpm{1480}));
  p.defects[0].severity = 7.5;
  cases.add("both rings, one weaker", p, with(nine_elements(), Rpm{1480}));
  for (const int elements : {6, 8, 10, 12, 14, 16, 17})
    for (const double order : {0.4}) {
      SimulationPlan q = motor(static_cast<std::uint64_t>(20 + elements));
      q.shaft_harmonics = {1};
      q.orders =
          orders_of(elements, order * elements + 0.01, (1 - order) * elements - 0.01, 2.3, 0.4);
      q.defects = {{.part = Part::outer_ring, .severity = 6}};
      DiagnoseOptions none;
      none.speed = Rpm{1480};
      cases.add(fmt::format("{} elements, not known, {}", elements, order), q, none);
    }
}

/// Elements and cages, and what is taken for them.
void add_elements(Cases& cases) {
  SimulationPlan p = motor(31, 3);
  p.shaft_harmonics = {0.5};
  DefectOrders twin = orders_of(8, 3.05, 4.95, 1.53, 0.381);
  DefectOrders rough = twin;
  rough.part_uncertainty[static_cast<std::size_t>(Part::rolling_element)] = 0.035;
  p.orders = twin;
  for (const double zone : {0.3, 0.8})
    for (const Part part : {Part::rolling_element, Part::outer_ring}) {
      p.defects = {{.part = part, .severity = 12, .load_zone = zone}};
      cases.add(fmt::format("twins, {} with {}", token(part), zone), p, with(twin, Rpm{1480}));
      cases.add(fmt::format("rough twins, {} with {}", token(part), zone), p,
                with(rough, Rpm{1480}));
    }
  p.orders = nine_elements();
  for (const double severity : {4.0, 8.0, 16.0}) {
    p.defects = {{.part = Part::cage, .severity = severity}};
    cases.add(fmt::format("cage of {}", severity), p, with(nine_elements(), Rpm{1480}));
    DiagnoseOptions none;
    none.speed = Rpm{1480};
    cases.add(fmt::format("cage of {}, bearing not known", severity), p, none);
    p.defects = {{.part = Part::rolling_element, .severity = severity, .load_zone = 0.2}};
    cases.add(fmt::format("element of {}", severity), p, with(nine_elements(), Rpm{1480}));
  }
  p.orders = eight_elements();
  p.duration = Seconds{1};
  for (const Part part : {Part::outer_ring, Part::inner_ring}) {
    p.defects = {{.part = part, .severity = 12, .slip = 0.002}};
    cases.add(fmt::format("near whole orders, {}", token(part)), p,
              with(eight_elements(), Rpm{1480}));
    p.orders = orders_of(8, 3.003, 4.997, 1.99, 0.375);
    cases.add(fmt::format("at whole orders, {}", token(part)), p, with(*p.orders, Rpm{1480}));
    p.orders = eight_elements();
  }
  p = motor(33);
  p.orders = orders_of(9, 6.05, 8.9, 2.36, 0.3985);
  p.defects = {{.part = Part::outer_ring, .severity = 12}};
  DiagnoseOptions none;
  none.speed = Rpm{1480};
  cases.add("beside a supply's multiple", p, none);
}

/// Short and long recordings.
void add_lengths(Cases& cases) {
  SimulationPlan p = motor(41, 0.52);
  p.defects = {{.part = Part::outer_ring, .severity = 12}};
  cases.add("13 revolutions", p, with(nine_elements(), Rpm{1480}));
  p.duration = Seconds{0.65};
  cases.add("16 revolutions", p, with(nine_elements(), Rpm{1480}));
  p.duration = Seconds{0.3};
  cases.add("7 revolutions", p, with(nine_elements(), {}));
  p.rate = Hz{2000};
  p.duration = Seconds{0.55};
  p.resonances = {{Hz{700}, 0.04, 1.0}};
  cases.add("1100 samples", p, with(nine_elements(), Rpm{1480}));
  p.rate = Hz{4000};
  p.duration = Seconds{45};
  p.resonances = {{Hz{1500}, 0.04, 1.0}};
  p.defects[0].severity = 3;
  cases.add("1110 revolutions", p, with(nine_elements(), Rpm{1480}));
  p = motor(42);
  p.speed = Rpm{600};
  p.shaft_harmonics = {1, 0.5};
  p.defects = {{.part = Part::inner_ring, .severity = 6}};
  cases.add("slow", p, with(nine_elements(), Rpm{600}));
  DiagnoseOptions two = with(nine_elements(), {});
  two.speed_low = Rpm{500};
  two.speed_high = Rpm{3000};
  cases.add("slow in an interval", p, two);
}

/// Impacts that pass for a shaft's, and shafts that pass for a bearing's.
void add_impacts(Cases& cases) {
  SimulationPlan p = motor(51, 4);
  p.shaft_harmonics = {0.5, 0.2};
  for (const double severity : {5.0, 30.0}) {
    p.defects = {{.part = Part::outer_ring, .severity = severity}};
    cases.add(fmt::format("outer ring of {}, no speed", severity), p, with(nine_elements(), {}));
    DiagnoseOptions narrow = with(nine_elements(), {});
    narrow.speed_low = Rpm{4000};
    narrow.speed_high = Rpm{6000};
    cases.add(fmt::format("outer ring of {}, another interval", severity), p, narrow);
    cases.add(fmt::format("outer ring of {}, nothing known", severity), p, {});
  }
  for (const double severity : {2.0, 4.0}) {
    p.defects = {{.part = Part::cage, .severity = severity}};
    cases.add(fmt::format("cage of {}, no speed", severity), p, with(nine_elements(), {}));
    DefectOrders whole = nine_elements();
    whole.ftf = Order{0.3998};
    p.orders = whole;
    p.shaft_harmonics = {0.5, 0.2};
    p.shaft_modulation = 0.6;
    cases.add(fmt::format("cage of {} beside the shaft", severity), p, with(whole, Rpm{1480}));
    p.orders = nine_elements();
    p.shaft_modulation = 0;
  }
  p = motor(52, 4);
  p.shaft_harmonics = {2, 1, 0.5, 0.3, 0.2, 0.2, 0.1, 0.1};
  p.speed = Rpm{1750};
  cases.add("another speed than given", p, with(nine_elements(), Rpm{1480}));
  p.speed = Rpm{1465};
  p.mains_hum = 0.5;
  p.fixed_lines = {{Hz{25}, 0.1}, {Hz{50}, 0.4}, {Hz{100}, 0.3}, {Hz{75}, 0.1}, {Hz{26.2}, 0.1}};
  p.shaft_harmonics = {0.3, 0.1};
  cases.add("supply beside the shaft", p, with(nine_elements(), {}));
  cases.add("supply beside the shaft, nothing known", p, {});
  p = motor(53, 4);
  p.shaft_harmonics = {0.02, 0.2, 0.01, 0.2, 0.01, 0.15, 0.01, 0.1};
  cases.add("every second harmonic", p, with(nine_elements(), {}));
  p.shaft_harmonics = {};
  p.shaft_modulation = 0.4;
  p.resonant_noise = 2;
  cases.add("shaft in envelopes only", p, with(nine_elements(), {}));
  p.defects = {{.part = Part::inner_ring, .severity = 8}};
  cases.add("inner ring, shaft in envelopes only", p, with(nine_elements(), {}));
  p.shaft_modulation = 0;
  cases.add("inner ring, no shaft", p, with(nine_elements(), {}));
  p.shocks_per_second = 3;
  p.shock_peak = 80;
  cases.add("inner ring among knocks", p, with(nine_elements(), Rpm{1480}));
  // A shaft that knocks once a revolution, and is out of balance as well.
  p = motor(54, 2);
  p.orders = orders_of(1, 1, 1, 1, 0.4);
  p.defects = {{.part = Part::outer_ring, .severity = 8, .slip = 0.001}};
  for (const double line : {0.25, 0.3, 0.36, 0.43, 0.5, 0.6, 0.7, 0.85, 1.0}) {
    p.shaft_harmonics = {line, 0.1};
    cases.add(fmt::format("knocks once a revolution, 1x of {}", line), p,
              with(nine_elements(), {}));
  }
  // Two bearings, each of which gives the shaft a speed of its own.
  p = motor(55, 2);
  p.defects = {{.part = Part::inner_ring, .severity = 10}};
  for (const double apart : {1.041, 1.044, 1.047, 1.053, 1.056, 1.059}) {
    DiagnoseOptions two = with(nine_elements(), {});
    two.bearings.push_back({scaled(nine_elements(), apart), 1, ""});
    two.speed_low = Rpm{1300};
    two.speed_high = Rpm{1650};
    cases.add(fmt::format("two candidates, {} apart", apart), p, two);
  }
}

/// A speed that changes.
void add_motion(Cases& cases) {
  for (const double drift : {0.05, 0.2, 0.6}) {
    SimulationPlan p = motor(61, 3);
    p.speed_drift = drift;
    p.shaft_harmonics = {0.8, 0.4, 0.2};
    p.defects = {{.part = Part::inner_ring, .severity = 12}};
    cases.add(fmt::format("drift {}, inner ring", drift), p, with(nine_elements(), Rpm{1480}));
    p.defects.clear();
    cases.add(fmt::format("drift {}, healthy", drift), p, with(nine_elements(), Rpm{1480}));
    p.shaft_harmonics = {0.1};
    cases.add(fmt::format("drift {}, faint", drift), p, with(nine_elements(), Rpm{1480}));
  }
  for (const double wander : {0.001, 0.004, 0.01}) {
    SimulationPlan p = motor(62, 4);
    p.speed_wander = wander;
    p.shaft_harmonics = {1, 0.5, 0.2};
    p.defects = {{.part = Part::outer_ring, .severity = 8}};
    cases.add(fmt::format("wander {}", wander), p, with(nine_elements(), Rpm{1480}));
  }
}

/// A tacho and a given speed.
void add_tacho(Cases& cases) {
  for (const double line : {0.05, 0.2, 1.0}) {
    SimulationPlan p = motor(71, 3);
    p.tacho_pulses = 4;
    p.shaft_harmonics = {line, 0.6 * line, 0.4 * line, 0.3 * line};
    p.defects = {{.part = Part::outer_ring, .severity = 8}};
    const auto made = simulate(p).value();
    for (const auto& [rpm, pulses] :
         {std::pair{1487.0, 4.0}, {1530.0, 4.0}, {1554.0, 4.0}, {1480.0, 1.0}}) {
      DiagnoseOptions o = with(nine_elements(), Rpm{rpm});
      o.tacho_channel = "tacho";
      o.pulses_per_revolution = pulses;
      cases.add(fmt::format("tacho, shaft {}, {} rpm, {} pulses", line, rpm, pulses), made.capture,
                o);
    }
    DiagnoseOptions o = with(nine_elements(), {});
    o.tacho_channel = "tacho";
    o.pulses_per_revolution = 4;
    o.speed_low = Rpm{1510};
    o.speed_high = Rpm{1600};
    cases.add(fmt::format("tacho, shaft {}, interval", line), made.capture, o);
  }
}

/// Readings of one point, of which the outer ring's series has these strengths: the last one beside
/// the others.
ModelCase beside_healthy(std::string name, const std::vector<double>& strengths) {
  const auto h = std::make_shared<PointHistory>();
  for (std::size_t i = 0; i < strengths.size(); ++i) {
    Reading r = made_reading(static_cast<int>(7 * i));
    r.findings.clear();
    r.parts = {};
    r.parts[0].strength = strengths[i];
    r.bearing.variants = equal_candidates({nine_elements()});
    Judgement j;
    j.damage = damage_probability(strengths[i], {});
    decide(j, false, {});
    r.verdict = j.verdict;
    r.place = j.place;
    r.probability_of_damage = j.damage;
    h->readings.push_back(std::move(r));
  }
  return {std::move(name), [h](const ModelParameters& model, FftPlans&) {
            const std::size_t last = h->readings.size() - 1;
            const auto share = own_reference(*h, last, {}, model);
            const Reading r = with_reference(*h, last, {}, model);
            return std::vector{share ? share->log_odds : 0.0, r.probability_of_damage,
                               static_cast<double>(r.verdict)};
          }};
}

/// A point's own healthy readings.
void add_own_reference(Cases& cases) {
  cases.add(beside_healthy("reference, series always there", {0.15, 0.14, 0.16, 0.15, 0.24}));
  cases.add(beside_healthy("reference, series hardly grown", {0.15, 0.15, 0.15, 0.15, 0.26}));
  cases.add(beside_healthy("reference, series grown", {0.15, 0.15, 0.15, 0.15, 0.3}));
  cases.add(beside_healthy("reference, new series", {0.02, 0.03, 0.02, 0.02, 0.19}));
  cases.add(beside_healthy("reference, three readings", {0.12, 0.12, 0.12, 0.2}));
  cases.add(beside_healthy("reference, two readings", {0.12, 0.12, 0.2}));
  cases.add(beside_healthy("reference, ten readings",
                           {0.08, 0.16, 0.09, 0.15, 0.1, 0.14, 0.11, 0.13, 0.16, 0.16, 0.2}));
  cases.add({"reference, bounds", [](const ModelParameters& model, FftPlans&) {
               const std::vector<double> loud(8, 0.6);
               const std::vector<double> quiet(8, 0.05);
               return std::vector{reference_log_odds(0.6, loud, model.own_reference),
                                  reference_log_odds(0.9, quiet, model.own_reference)};
             }});
}

/// One machine with a bearing at each end.
void add_ends(Cases& cases) {
  const auto machines = parse_machines(R"(
[[machine]]
name = "fan"
rated_rpm = 1480
bearing.DE = { designation = "6205" }
bearing.NDE = { designation = "6203" }
[[machine.point]]
name = "DE"
end = "DE"
unit = "m/s2"
)",
                                       "model cases");
  const Machine machine = machines.value().front();
  SimulationPlan p = motor(81, 3);
  p.speed = Rpm{1483};
  p.shaft_harmonics = {4, 2, 1, 0.5};
  p.shaft_modulation = 0.3;
  p.resonant_noise = 1;
  p.defects = {{.part = Part::inner_ring, .severity = 30, .slip = 0.004, .load_zone = 0.8}};
  const auto capture = std::make_shared<const Capture>(simulate(p).value().capture);
  // Two bearings whose inner rings are the farther from the series, the one or the other.
  for (int step = 0; step <= 20; ++step) {
    const double beside = 0.96 + 0.002 * step;
    auto setup = point_setup(machine, machine.points.front()).value();
    DefectOrders here = nine_elements();
    here.bpfi = beside * here.bpfi;
    here.bpfo = Order{3.3};
    setup.diagnosis.bearings = {here};
    DefectOrders there = nine_elements();
    there.bpfi = (2 - 0.5 * (1 + beside)) * there.bpfi;
    setup.other_end = {there};
    cases.add({fmt::format("ends, {:.3f}", beside),
               [=](const ModelParameters& model, FftPlans& plans) mutable {
                 setup.diagnosis.model = model;
                 const auto d =
                     diagnose_at(*capture, plans, machine, machine.points.front(), setup);
                 return d ? numbers_of(*d) : std::vector<double>{};
               }});
  }
}

}  // namespace

std::vector<ModelCase> model_cases() {
  Cases cases;
  add_drawn(cases);
  add_bearings(cases);
  add_elements(cases);
  add_lengths(cases);
  add_impacts(cases);
  add_motion(cases);
  add_tacho(cases);
  add_own_reference(cases);
  add_ends(cases);
  for (ModelCase& c : model_part_cases()) cases.add(std::move(c));
  return cases.take();
}

}  // namespace test
