#pragma once
/// Simulated machines drawn at random: healthy ones, and one defect for them. A seed decides
/// everything.
#include <cmath>
#include <cstddef>
#include <cstdint>

#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/simulate/random.hpp"
#include "bearingdsp/simulate/simulation.hpp"

namespace test {

class Draw {
 public:
  explicit Draw(std::uint64_t seed) : random_{seed, 77} {}
  double in(double low, double high) { return low + (high - low) * random_.uniform(); }
  double log_in(double low, double high) { return std::exp(in(std::log(low), std::log(high))); }
  bool chance(double p) { return random_.uniform() < p; }
  /// 0 .. n - 1
  std::size_t index(std::size_t n);

 private:
  bearingdsp::Random random_;
};

/// 7 to 11 elements; one in five is an eight-element bearing whose ring orders lie within 0.15 of
/// whole numbers, so that its families are beside the shaft's own harmonics.
[[nodiscard]] bearingdsp::BearingGeometry draw_bearing(Draw& draw);

/// A healthy machine: everything but a defect.
[[nodiscard]] bearingdsp::Result<bearingdsp::SimulationPlan> draw_machine(Draw& draw,
                                                                          std::uint64_t seed);

[[nodiscard]] bearingdsp::SimulatedDefect draw_defect(Draw& draw, bearingdsp::Part part);

/// The capture of a plan with one defect, that defect at `db` over everything else: its part of the
/// signal scales with its severity, and nothing else does.
[[nodiscard]] bearingdsp::Result<bearingdsp::Simulation> simulate_at(
    bearingdsp::SimulationPlan plan, double db);

}  // namespace test
