#pragma once
/// The turning of the simulated shaft, from which everything that follows the speed is timed.
#include <cstddef>
#include <vector>

#include "bearingdsp/simulate/simulation.hpp"

namespace bearingdsp::simulation {

/// Angle of the shaft at every sample, in turns.
class Motion {
 public:
  explicit Motion(const SimulationPlan& plan);

  [[nodiscard]] std::size_t size() const noexcept { return turns_.size(); }
  [[nodiscard]] const std::vector<double>& turns() const noexcept { return turns_; }
  /// Lowest and highest shaft rate within the recording, Hz.
  [[nodiscard]] double slowest() const noexcept { return slowest_; }
  [[nodiscard]] double fastest() const noexcept { return fastest_; }
  [[nodiscard]] double start() const noexcept { return start_; }
  [[nodiscard]] double end() const noexcept { return end_; }
  [[nodiscard]] double mean() const noexcept;
  /// Sample index (with its fraction) at which the shaft reaches `turn`; `hint` is the index where
  /// the search starts and must not lie past it. Negative if `turn` is past the end.
  [[nodiscard]] double index_of(double turn, std::size_t& hint) const noexcept;

 private:
  std::vector<double> turns_;
  double rate_;
  double slowest_{0};
  double fastest_{0};
  double start_{0};
  double end_{0};
};

/// Number of samples of the plan's record.
[[nodiscard]] std::size_t sample_count(const SimulationPlan& plan);

}  // namespace bearingdsp::simulation
