// How faint a damage does the comparison of before and after still see, and how often does it cry
// wolf? Made machines with other noise, loudness and shaft lines after the work than before it, as
// another bearing put together again has them. No rule was tuned on them. A table to stdout.
// Usage: made_swaps [machines, 60] [first seed, 1]   Results: docs/validation/compare.md
#include <fmt/core.h>

#include <array>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/comparison/before_after.hpp"
#include "bearingdsp/simulate/random.hpp"
#include "bearingdsp/simulate/simulation.hpp"

using namespace bearingdsp;

namespace {

// What the work does to a machine, standard deviation: measured on a rig put together again with
// the same healthy bearing, docs/compare.md.
constexpr double rebuilt_db = 3.2;

class Draw {
 public:
  explicit Draw(std::uint64_t seed) : random_{seed, 11} {}
  double in(double low, double high) { return low + (high - low) * random_.uniform(); }
  double times_db(double sigma_db) { return std::pow(10, sigma_db * random_.normal() / 20); }

 private:
  Random random_;
};

SimulationPlan machine(Draw& draw, std::uint64_t seed) {
  SimulationPlan p;
  p.seed = seed;
  BearingGeometry g;
  g.rolling_elements = 7 + static_cast<int>(draw.in(0, 4.999));
  g.pitch_diameter = 1;
  g.element_diameter = draw.in(0.18, 0.27);
  p.orders = defect_orders(g).value();
  constexpr std::array rates{12000.0, 20000.0, 25600.0, 51200.0};
  p.rate = Hz{rates.at(static_cast<std::size_t>(draw.in(0, 3.999)))};
  p.speed = Rpm{draw.in(900, 3500)};
  p.duration = Seconds{draw.in(3, 8)};
  p.speed_wander = 0.0005;
  p.mean_slip = draw.in(0, 0.008);
  p.resonances = {{Hz{draw.in(2000, 5000)}, 0.04, 1.0}};
  p.variable_compliance = draw.in(0, 0.2);
  p.noise_colour = draw.in(0, 1);
  p.shaft_harmonics = {draw.in(0.1, 0.8), draw.in(0.02, 0.3), draw.in(0.01, 0.1)};
  return p;
}

/// The same machine after the work.
SimulationPlan rebuilt(Draw& draw, SimulationPlan p) {
  p.seed += 500'000;
  p.noise *= draw.times_db(rebuilt_db);
  for (double& line : p.shaft_harmonics) line *= draw.times_db(rebuilt_db);
  for (Resonance& r : p.resonances) r.frequency = draw.in(0.97, 1.03) * r.frequency;
  return p;
}

SimulationPlan damaged(SimulationPlan p, Part part, double severity) {
  p.defects = {
      {.part = part, .severity = severity, .load_zone = part == Part::outer_ring ? 0.0 : 1.0}};
  return p;
}

SimulationPlan knocked(SimulationPlan p, double a_second) {
  p.shocks_per_second = a_second;
  p.shock_peak = 30 * p.noise;
  return p;
}

struct Count {
  int better{0}, worse{0}, unseen{0}, open{0}, called{0}, pairs{0};
  void add(const BeforeAfter& r) {
    ++pairs;
    const Change c = r.change;
    better += c == Change::cured || c == Change::improved ? 1 : 0;
    worse += c == Change::worse || c == Change::new_problem ? 1 : 0;
    unseen += c == Change::no_change_seen || c == Change::unchanged ? 1 : 0;
    open += c == Change::cannot_tell || c == Change::not_comparable ? 1 : 0;
    called += r.before.verdict == Verdict::fault || r.after.verdict == Verdict::fault ? 1 : 0;
  }
  void print(const std::string& what) const {
    fmt::print("| {} | {} | {} | {} | {} | {} | {} |\n", what, pairs, called, better, worse, unseen,
               open);
  }
};

BeforeAfter compared(const SimulationPlan& before, const SimulationPlan& after, FftPlans& plans) {
  const auto side = [](const SimulationPlan& p) {
    CapturedSide s;
    s.captures.push_back(simulate(p).value().capture);
    s.diagnosis.speed = p.speed;
    return s;
  };
  return compare_captures(side(before), side(after), {*before.orders}, plans).value();
}

std::uint64_t number(int argc, char** argv, int at, std::uint64_t otherwise) {
  if (argc <= at) return otherwise;
  const std::string_view word{argv[at]};
  std::from_chars(word.data(), word.data() + word.size(), otherwise);
  return otherwise;
}

}  // namespace

int main(int argc, char** argv) {
  const std::uint64_t machines = number(argc, argv, 1, 60);
  const std::uint64_t first = number(argc, argv, 2, 1);
  constexpr std::array severities{0.7, 1.0, 1.4, 2.0, 2.8, 4.0};
  constexpr std::array parts{Part::outer_ring, Part::inner_ring, Part::rolling_element};
  std::array<Count, severities.size()> cured;
  std::array<Count, severities.size()> broken;
  Count sound;
  Count knocks;
  Count hits;
  std::vector<std::string> claims;
  FftPlans plans;
  for (std::uint64_t i = 0; i < machines; ++i) {
    Draw draw{first + i};
    const SimulationPlan before = machine(draw, 1000 * (first + i));
    const SimulationPlan after = rebuilt(draw, before);
    const Part part = parts.at(i % parts.size());
    for (std::size_t k = 0; k < severities.size(); ++k) {
      const double peak = severities.at(k);
      cured.at(k).add(compared(damaged(before, part, peak * before.noise), after, plans));
      broken.at(k).add(compared(before, damaged(after, part, peak * after.noise), plans));
    }
    const BeforeAfter same = compared(before, after, plans);
    const BeforeAfter knock = compared(before, knocked(after, 0.3), plans);
    sound.add(same);
    knocks.add(knock);
    for (const BeforeAfter* r : {&same, &knock})
      if (r->change == Change::worse || r->change == Change::new_problem ||
          r->change == Change::improved || r->change == Change::cured)
        claims.push_back(fmt::format("machine {}{}: {}. {}", first + i,
                                     r == &same ? "" : ", knocked", token(r->change), r->headline));
    hits.add(compared(before, knocked(after, 30), plans));
  }
  fmt::print(
      "| pairs | number | a side called damaged | cured, improved | worse, new problem | no change "
      "seen, unchanged | cannot tell |\n| --- | --- | --- | --- | --- | --- | --- |\n");
  for (std::size_t k = 0; k < severities.size(); ++k)
    cured.at(k).print(fmt::format("impacts {:.1f} x noise -> sound", severities.at(k)));
  for (std::size_t k = 0; k < severities.size(); ++k)
    broken.at(k).print(fmt::format("sound -> impacts {:.1f} x noise", severities.at(k)));
  sound.print("sound -> sound");
  knocks.print("sound -> a knock from outside every 3 s");
  hits.print("sound -> 30 hits a second without a rhythm");
  fmt::print("\nclaims on healthy bearings: {}\n", claims.size());
  for (const std::string& claim : claims) fmt::print("  {}\n", claim);
  return 0;
}
