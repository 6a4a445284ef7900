// The engine's sensitivity, held: 200 simulated captures with a defect of -20 to 0 dB and 200
// healthy ones. Seeds decide everything, so that the counts hardly differ from machine to machine;
// a constant of the engine that moves by enough to matter moves one of them out of its bounds.
// After a change that is meant, take the new figures that it prints. Which constants it notices:
// docs/validation/simulation.md
#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <optional>
#include <string_view>
#include <vector>

#include "bearingdsp/simulate/simulation.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "support/drawn_machines.hpp"

using namespace bearingdsp;

namespace {

constexpr std::size_t captures = 200;
constexpr std::uint64_t healthy_seed = 3'000'000;
constexpr std::uint64_t damaged_seed = 4'000'000;
constexpr double faintest_db = -20;
constexpr std::array parts{Part::outer_ring, Part::inner_ring, Part::rolling_element};
constexpr std::array places{Place::outer_ring, Place::inner_ring, Place::rolling_element};

/// Short, so that 400 take a minute: two seconds at 20 kHz.
Result<SimulationPlan> short_plan(test::Draw& draw, std::uint64_t seed) {
  auto plan = test::draw_machine(draw, seed);
  if (!plan) return plan;
  plan->rate = Hz{20000};
  plan->duration = Seconds{2};
  return plan;
}

struct Tally {
  double named{0};        ///< the damaged component, or "no fault" on a healthy bearing
  double wrong{0};        ///< another component
  double unclear{0};      ///< damage without a component
  double open{0};         ///< cannot tell
  double silent{0};       ///< "no fault" on a damaged bearing
  double alarms{0};       ///< a fault on a healthy bearing
  double probability{0};  ///< of damage, the mean
  double strength{0};     ///< of the strongest component, the mean of its logarithm
};

void count(Tally& t, const Diagnosis& d, std::optional<Place> truth) {
  const double share = 1 / static_cast<double>(captures);
  t.probability += share * d.probability_of_damage;
  double strength = 0.001;
  for (const auto& family : d.families) strength = std::max(strength, family.strength);
  t.strength += share * std::log(strength);
  if (d.verdict == Verdict::indeterminate)
    ++t.open;
  else if (d.verdict == Verdict::no_fault)
    ++(truth ? t.silent : t.named);
  else if (!truth)
    ++t.alarms;
  else if (d.place == *truth)
    ++t.named;
  else
    ++(d.place == Place::unclear ? t.unclear : t.wrong);
}

Result<void> add(Tally& t, std::size_t i, bool damaged) {
  const std::uint64_t seed = (damaged ? damaged_seed : healthy_seed) + i;
  test::Draw draw{seed};
  auto plan = short_plan(draw, seed);
  if (!plan) return plan.error();
  const std::size_t part = i % parts.size();
  if (damaged) plan->defects = {test::draw_defect(draw, parts[part])};
  // Levels rise through each part alike.
  const double db = faintest_db * (1 - (static_cast<double>(i) + 0.5) / captures);
  const auto made = damaged ? test::simulate_at(*plan, db) : simulate(*plan);
  if (!made) return made.error();
  FftPlans plans;
  DiagnoseOptions options;
  options.bearings = {*plan->orders};
  options.speed = shaft_speed(Hz{made->truth.mean_shaft_rate_hz});
  const auto d = diagnose(made->capture, plans, options);
  if (!d) return d.error();
  count(t, *d, damaged ? std::optional{places[part]} : std::nullopt);
  return {};
}

struct Bound {
  std::string_view name;
  double Tally::*value;
  double low;
  double high;
};

// Measured at the time of writing, with room for rounding in other transforms: two captures, and
// half a per cent of a mean.
constexpr std::array damaged_bounds{
    Bound{"named", &Tally::named, 108, 112},
    Bound{"wrong component", &Tally::wrong, 0, 2},
    Bound{"component not identified", &Tally::unclear, 12, 16},
    Bound{"cannot tell", &Tally::open, 14, 18},
    Bound{"no fault", &Tally::silent, 57, 61},
    Bound{"mean probability of damage", &Tally::probability, 0.680, 0.686},
    Bound{"mean ln of strength", &Tally::strength, -1.525, -1.495}};
constexpr std::array healthy_bounds{
    Bound{"no fault", &Tally::named, 197, 200}, Bound{"alarms", &Tally::alarms, 0, 1},
    Bound{"cannot tell", &Tally::open, 0, 3},
    Bound{"mean probability of damage", &Tally::probability, 0.180, 0.184},
    Bound{"mean ln of strength", &Tally::strength, -3.81, -3.74}};

template <class Bounds>
bool within(std::string_view title, const Tally& t, const Bounds& bounds) {
  bool all = true;
  fmt::print("{}: {} captures\n", title, captures);
  for (const Bound& b : bounds) {
    const double v = t.*b.value;
    const bool good = v >= b.low && v <= b.high;
    fmt::print("  {:<28} {:>9.4f}  ({} .. {}){}\n", b.name, v, b.low, b.high,
               good ? "" : "  OUTSIDE");
    all = all && good;
  }
  return all;
}

}  // namespace

int main() {
  Tally damaged;
  Tally healthy;
  for (std::size_t i = 0; i < captures; ++i) {
    for (const bool defect : {true, false}) {
      if (const auto ok = add(defect ? damaged : healthy, i, defect); !ok) {
        fmt::print(stderr, "detection_bounds: {}\n", ok.error().message());
        return 2;
      }
    }
  }
  const bool first = within("Defects of -20 to 0 dB", damaged, damaged_bounds);
  const bool second = within("Healthy", healthy, healthy_bounds);
  return first && second ? 0 : 1;
}
