#include "speed/smooth_pulses.hpp"

#include <Eigen/SparseCholesky>
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <optional>
#include <utility>

#include "bearingdsp/dsp/statistics.hpp"

namespace bearingdsp::speed_detail {
namespace {

constexpr std::size_t fewest_pulses = 8;
/// Beyond it the normal equations lose their digits; a straight line takes over from there.
constexpr double largest_penalty = 1e8;
/// Of two choices that predict alike the smoother one.
constexpr double alike = 1.02;
/// Intervals that scatter more have no even motion behind them; those of random pulses do by 0.5
/// to 1.
constexpr double largest_spread = 0.3;
constexpr double neighbours_correlate =
    -0.2;  ///< half way to -1/2, less the error of some fifty intervals

/// Minimum of sum (t - z)^2 + penalty sum (second difference of z)^2 for one penalty after another:
/// the matrix has five bands, whose places are analysed once.
class Penalised {
 public:
  explicit Penalised(const std::vector<double>& t)
      : t_{t}, identity_(size(), size()), curvature_(size(), size()) {
    identity_.setIdentity();
    Matrix second(size() - 2, size());
    second.reserve(Eigen::VectorXi::Constant(size(), 3));
    for (Eigen::Index i = 0; i + 2 < size(); ++i) {
      second.insert(i, i) = 1;
      second.insert(i, i + 1) = -2;
      second.insert(i, i + 2) = 1;
    }
    curvature_ = second.transpose() * second;
    solver_.analyzePattern(curvature_ + identity_);
  }
  std::vector<double> smoothed(double penalty) {
    solver_.factorize(penalty * curvature_ + identity_);
    std::vector<double> z(t_.size());
    Eigen::Map<Eigen::VectorXd>(z.data(), size()) =
        solver_.solve(Eigen::Map<const Eigen::VectorXd>(t_.data(), size()));
    return z;
  }

 private:
  using Matrix = Eigen::SparseMatrix<double>;
  [[nodiscard]] Eigen::Index size() const { return static_cast<Eigen::Index>(t_.size()); }

  const std::vector<double>& t_;
  Matrix identity_;
  Matrix curvature_;
  Eigen::SimplicialLDLT<Matrix, Eigen::Lower, Eigen::NaturalOrdering<int>> solver_;
};

std::vector<double> straight(const std::vector<double>& t) {
  const bearingdsp::Line line = fit_line(t);
  std::vector<double> z(t.size());
  for (std::size_t i = 0; i < z.size(); ++i)
    z[i] = line.offset + line.slope * static_cast<double>(i);
  return z;
}

/// Free parameters of a Penalised: the trace of its matrix, by the eigenvalues of the second
/// difference on a circle of twice the length.
double parameters(std::size_t n, double penalty) {
  double sum = 2;
  for (std::size_t j = 2; j < n; ++j) {
    const double w =
        2 - 2 * std::cos(std::numbers::pi * static_cast<double>(j) / static_cast<double>(n));
    sum += 1 / (1 + penalty * w * w);
  }
  return sum;
}

struct Choice {
  std::vector<double> z;
  double square{};  ///< sum of the squared deviations
  double parameters{};
  [[nodiscard]] double prediction_error(double n) const {
    return square / ((n - parameters) * (n - parameters));
  }
};

Choice judged(const std::vector<double>& t, std::vector<double> z, double parameters) {
  Choice c{std::move(z), 0, parameters};
  for (std::size_t i = 0; i < t.size(); ++i) c.square += (t[i] - c.z[i]) * (t[i] - c.z[i]);
  return c;
}

}  // namespace

SmoothPulses smooth_pulses(const std::vector<double>& t) {
  SmoothPulses out{t, 0, 0};
  if (t.size() < fewest_pulses) return out;
  const auto n = static_cast<double>(t.size());
  // Counted from the first pulse, so that small deviations keep their digits.
  std::vector<double> from_first(t);
  for (double& v : from_first) v -= t.front();
  Penalised penalised{from_first};
  Choice best = judged(from_first, straight(from_first), 2);
  double least = best.prediction_error(n);
  for (double penalty = largest_penalty; penalty >= 0.1; penalty /= std::sqrt(10.0)) {
    Choice c = judged(from_first, penalised.smoothed(penalty), parameters(t.size(), penalty));
    const double error = c.prediction_error(n);
    if (error * alike >= least) continue;
    least = error;
    best = std::move(c);
  }
  for (std::size_t i = 0; i < best.z.size(); ++i) {
    out.time[i] = t.front() + best.z[i];
    if (i > 0 && !(out.time[i] > out.time[i - 1])) return {t, 0, 0};
  }
  out.scatter = std::sqrt(best.square / (n - best.parameters));
  out.left = out.scatter * std::sqrt(best.parameters / n);
  return out;
}

bool scattered_pulses(const std::vector<double>& t) {
  if (t.size() < fewest_pulses) return false;
  const double mean = (t.back() - t.front()) / static_cast<double>(t.size() - 1);
  double square = 0;
  double product = 0;
  double before = 0;
  for (std::size_t i = 1; i < t.size(); ++i) {
    const double d = (t[i] - t[i - 1]) / mean - 1;
    square += d * d;
    if (i > 1) product += d * before;
    before = d;
  }
  const double spread = std::sqrt(square / static_cast<double>(t.size() - 1));
  return spread < largest_spread && product < neighbours_correlate * square;
}

}  // namespace bearingdsp::speed_detail
