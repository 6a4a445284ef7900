#include "support/drawn_machines.hpp"

#include <algorithm>
#include <array>

using namespace bearingdsp;

namespace test {

std::size_t Draw::index(std::size_t n) {
  return std::min(n - 1, static_cast<std::size_t>(in(0, static_cast<double>(n))));
}

BearingGeometry draw_bearing(Draw& draw) {
  BearingGeometry g;
  const bool near_integer = draw.chance(0.2);
  g.rolling_elements = near_integer ? 8 : 7 + static_cast<int>(draw.index(5));
  g.pitch_diameter = 1;
  g.element_diameter = near_integer ? draw.in(0.215, 0.25) : draw.in(0.18, 0.27);
  if (!near_integer && draw.chance(0.3)) g.contact_angle = Degrees{draw.in(10, 25)};
  return g;
}

Result<SimulationPlan> draw_machine(Draw& draw, std::uint64_t seed) {
  SimulationPlan p;
  p.seed = seed;
  auto orders = defect_orders(draw_bearing(draw));
  if (!orders) return orders.error();
  p.orders = *orders;
  constexpr std::array rates{12000.0, 20000.0, 25600.0, 51200.0};
  p.rate = Hz{rates[draw.index(rates.size())]};
  p.duration = Seconds{draw.in(2, 8)};
  p.speed = Rpm{draw.in(700, 3500)};
  if (draw.chance(0.3)) p.speed_wander = 0.001;
  p.mean_slip = draw.in(0, 0.012);
  p.noise_colour = draw.in(0, 1);
  if (draw.chance(0.5)) p.resonant_noise = draw.in(0, 2);
  for (std::size_t h = draw.index(6); h > 0; --h)
    p.shaft_harmonics.push_back(draw.log_in(0.14, 4.5));
  if (draw.chance(0.5)) p.shaft_modulation = draw.in(0, 0.6);
  if (draw.chance(0.3))
    p.gear_lines = {{Order{17}, draw.log_in(0.37, 2.7)}, {Order{34}, draw.log_in(0.14, 1.65)}};
  if (draw.chance(0.5)) p.mains_hum = draw.in(0, 0.5);
  if (draw.chance(0.3)) p.electrical_impulses = draw.in(0, 6);
  if (draw.chance(0.3)) {
    p.shocks_per_second = draw.in(0, 3);
    p.shock_peak = draw.in(2, 20);
  }
  if (draw.chance(0.5)) p.variable_compliance = draw.log_in(0.018, 0.6);
  p.resonances = {{Hz{draw.in(1500, 4500)}, draw.in(0.02, 0.06), 1.0},
                  {Hz{draw.in(4500, 9000)}, draw.in(0.02, 0.05), draw.in(0.3, 1)}};
  return p;
}

SimulatedDefect draw_defect(Draw& draw, Part part) {
  SimulatedDefect d;
  d.part = part;
  d.severity = draw.log_in(0.37, 33);
  d.load_zone = part == Part::outer_ring ? 0 : draw.in(0.5, 1);
  d.slip = draw.in(0.005, 0.015);
  if (draw.chance(0.3)) d.roughness = draw.in(0, 1);
  return d;
}

Result<Simulation> simulate_at(SimulationPlan plan, double db) {
  auto first = simulate(plan);
  if (!first) return first;
  plan.defects[0].severity *= std::pow(10, (db - first->truth.defect_to_noise_db) / 20);
  return simulate(plan);
}

}  // namespace test
