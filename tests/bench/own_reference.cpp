// What a point's own healthy readings change: simulated machines, survey after survey, each reading
// judged by itself and beside its reference (history/own_reference.hpp).
//
// usage: own_reference [machines of each kind] [readings of each]
//
// foreign:  healthy, with a weak series of impacts within 1.2 % of the outer ring's order, as
// strong at each survey but for
//           12 % of scatter: from another machine through the floor.
// growing:  an outer-ring defect that grows by 15 % from survey to survey, from one that nothing
// shows. damaged:  an outer-ring defect that is there from the first survey on and stays. healthy:
// none of these. Counted are the readings that have a reference; of the growing ones the first
// reading that calls damage.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <optional>
#include <random>
#include <string>

#include "bearingdsp/bearing/catalogue.hpp"
#include "bearingdsp/history/own_reference.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

using namespace bearingdsp;

namespace {

enum class Kind { foreign, growing, damaged, healthy };

DefectOrders orders_of_6205() {
  return defect_orders(
             {.rolling_elements = 9, .element_diameter = 7.94e-3, .pitch_diameter = 39.04e-3})
      .value();
}

DefectOrders shifted(DefectOrders o, double by) {
  o.bpfo = Order{o.bpfo.value() * (1 + by)};
  o.ftf = Order{o.ftf.value() * (1 + by)};
  return o;
}

/// A machine with all its readings.
PointHistory machine_of(Kind kind, int number, int readings) {
  std::mt19937 engine{static_cast<unsigned>(1000 * static_cast<int>(kind) + number)};
  const auto uniform = [&] { return static_cast<double>(engine()) / 4294967296.0; };
  // Of twelve uniform numbers: the same on every platform.
  const auto normal = [&] {
    double sum = -6;
    for (int i = 0; i < 12; ++i) sum += uniform();
    return sum;
  };
  const double base = 1.35 * std::exp(0.25 * normal());
  const double shift = (uniform() < 0.5 ? -1 : 1) * (0.002 + 0.010 * uniform());
  FftPlans plans;
  PointHistory h;
  h.at = {"machine", "DE"};
  const DefectOrders orders = orders_of_6205();
  for (int i = 0; i < readings; ++i) {
    SimulationPlan plan;
    plan.seed =
        static_cast<std::uint64_t>(100000 * (static_cast<int>(kind) + 1) + 100 * number + i);
    plan.rate = Hz{20480};
    plan.duration = Seconds{3};
    plan.speed = Rpm{1480 * (1 + 0.003 * normal())};
    plan.orders = orders;
    plan.noise = std::exp(0.1 * normal());
    plan.shaft_harmonics = {0.1, 0.05};
    SimulatedDefect d;
    d.slip = 0.005;
    d.severity = base * std::exp(0.12 * normal());
    if (kind == Kind::foreign) d.orders = shifted(orders, shift);
    if (kind == Kind::growing) d.severity = 0.15 * std::pow(1.15, i) * d.severity / base;
    if (kind == Kind::damaged) d.severity *= 2;
    if (kind != Kind::healthy) plan.defects = {d};
    const auto made = simulate(plan).value();
    DiagnoseOptions options;
    options.bearings = {orders};
    options.speed = Rpm{1480};
    Reading r = make_reading(diagnose(made.capture, plans, options).value(), {});
    r.taken = UtcTime{std::chrono::hours{24 * 7 * i}};
    r.bearing.variants = options.bearings;
    h.readings.push_back(std::move(r));
  }
  return h;
}

struct Counted {
  int machines{0}, readings{0}, alarms_alone{0}, alarms_beside{0}, open_alone{0}, open_beside{0};
  int first_alone{0}, first_beside{0}, found_alone{0}, found_beside{0}, later{0}, made_healthy{0};
};

void add(Counted& c, const PointHistory& alone) {
  const PointHistory beside = with_references(alone);
  std::optional<int> first_alone;
  std::optional<int> first_beside;
  for (std::size_t i = 0; i < alone.readings.size(); ++i) {
    const Verdict a = alone.readings[i].verdict;
    const Verdict b = beside.readings[i].verdict;
    if (a == Verdict::fault && !first_alone) first_alone = static_cast<int>(i);
    if (b == Verdict::fault && !first_beside) first_beside = static_cast<int>(i);
    c.made_healthy += a == Verdict::fault && b == Verdict::no_fault ? 1 : 0;
    ++c.readings;
    c.alarms_alone += a == Verdict::fault ? 1 : 0;
    c.alarms_beside += b == Verdict::fault ? 1 : 0;
    c.open_alone += a == Verdict::indeterminate ? 1 : 0;
    c.open_beside += b == Verdict::indeterminate ? 1 : 0;
  }
  ++c.machines;
  c.found_alone += first_alone ? 1 : 0;
  c.found_beside += first_beside ? 1 : 0;
  if (!first_alone || !first_beside) return;
  c.first_alone += *first_alone;
  c.first_beside += *first_beside;
  c.later += *first_beside > *first_alone ? 1 : 0;
}

}  // namespace

int main(int argc, char** argv) {
  const int machines = argc > 1 ? std::atoi(argv[1]) : 30;
  const int readings = argc > 2 ? std::atoi(argv[2]) : 20;
  fmt::print(
      "| kind | readings | alarms alone | beside | cannot tell alone | beside | found alone | "
      "beside | mean first "
      "alone | beside | found later | made healthy "
      "|\n|---|---|---|---|---|---|---|---|---|---|---|---|\n");
  for (const auto& [kind, name] :
       {std::pair{Kind::foreign, "foreign"}, std::pair{Kind::growing, "growing"},
        std::pair{Kind::damaged, "damaged"}, std::pair{Kind::healthy, "healthy"}}) {
    Counted c;
    for (int i = 0; i < machines; ++i) add(c, machine_of(kind, i, readings));
    const double found = std::max(1, std::min(c.found_alone, c.found_beside));
    fmt::print("| {} | {} | {} | {} | {} | {} | {} | {} | {:.2f} | {:.2f} | {} | {} |\n", name,
               c.readings, c.alarms_alone, c.alarms_beside, c.open_alone, c.open_beside,
               c.found_alone, c.found_beside, c.first_alone / found, c.first_beside / found,
               c.later, c.made_healthy);
  }
  return 0;
}
