#include "phase_smoother.hpp"

#include <Eigen/Core>
#include <Eigen/LU>
#include <cmath>
#include <cstddef>

namespace bearingdsp::speed_detail {
namespace {

/// The angle of a shaft is the sum of a rate that wanders at random.
struct PhaseSmoother {
  using Vector = Eigen::Vector2d;  // angle, and its change from one step to the next
  using Matrix = Eigen::Matrix2d;
  struct Step {
    Vector predicted, filtered;
    Matrix predicted_covariance, filtered_covariance;
  };
  Matrix transition{{1, 1}, {0, 1}};
  Matrix wander;  // covariance of what a step adds, in units of the phase's own variance

  explicit PhaseSmoother(double q) : wander{{q / 3, q / 2}, {q / 2, q}} {}

  /// Forward pass. `misfit`: minus twice the log likelihood with the variance of the phase left
  /// open.
  std::vector<Step> filtered(const std::vector<double>& phase, double* misfit) const {
    std::vector<Step> steps(phase.size());
    Vector x{phase.front(), 0};
    Matrix p = Matrix{{1, 0}, {0, 1e4}};
    double square = 0;
    double log_sum = 0;
    for (std::size_t k = 0; k < phase.size(); ++k) {
      if (k > 0) {
        x = transition * x;
        p = transition * p * transition.transpose() + wander;
      }
      steps[k].predicted = x;
      steps[k].predicted_covariance = p;
      const double spread = p(0, 0) + 1;
      const double off = phase[k] - x(0);
      if (k > 1) {
        square += off * off / spread;
        log_sum += std::log(spread);
      }
      const Vector gain = p.col(0) / spread;
      x += gain * off;
      p -= gain * p.row(0);
      steps[k].filtered = x;
      steps[k].filtered_covariance = p;
    }
    const auto n = static_cast<double>(phase.size()) - 2;
    *misfit = n * std::log(square / n + 1e-30) + log_sum;
    return steps;
  }

  /// Backward pass.
  std::vector<double> smoothed(const std::vector<Step>& steps) const {
    std::vector<double> out(steps.size());
    Vector x = steps.back().filtered;
    out.back() = x(0);
    for (std::size_t k = steps.size() - 1; k-- > 0;) {
      const Step& next = steps[k + 1];
      const Matrix gain = steps[k].filtered_covariance * transition.transpose() *
                          next.predicted_covariance.inverse();
      x = steps[k].filtered + gain * (x - next.predicted);
      out[k] = x(0);
    }
    return out;
  }
};

}  // namespace

std::vector<double> smoothed_phase(const std::vector<double>& phase) {
  constexpr std::size_t fewest = 8;
  if (phase.size() < fewest) return phase;
  constexpr double stiffest = 1e-8;  // of the phase's variance a step
  constexpr double loosest = 1e2;
  double least = HUGE_VAL;
  std::vector<double> best = phase;
  for (double q = stiffest; q < loosest; q *= 10) {
    const PhaseSmoother smoother{q};
    double misfit = 0;
    const auto steps = smoother.filtered(phase, &misfit);
    if (misfit >= least) continue;
    least = misfit;
    best = smoother.smoothed(steps);
  }
  return best;
}

}  // namespace bearingdsp::speed_detail
