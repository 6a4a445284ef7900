#include "simulate/motion.hpp"

#include <algorithm>
#include <cmath>

#include "bearingdsp/simulate/random.hpp"
#include "simulate/streams.hpp"

namespace bearingdsp::simulation {
namespace {

/// Slow wander with standard deviation 1: a first-order random process on coarse knots, joined by
/// straight lines, so that speed is continuous.
class Wander {
 public:
  Wander(Random random, double knot_seconds)
      : random_{random}, knot_{knot_seconds}, left_{bounded(random_.normal())}, right_{next()} {}
  /// Value at time t; t must not decrease from call to call.
  double at(double t) {
    while (t >= right_time_ + knot_) {
      right_time_ += knot_;
      left_ = right_;
      right_ = next();
    }
    return left_ + (right_ - left_) * (t - right_time_) / knot_;
  }

  static constexpr double knots_per_correlation_time = 8;

 private:
  double next() {
    static const double keep = std::exp(-1 / knots_per_correlation_time);
    state_ = keep * state_ + std::sqrt(1 - keep * keep) * random_.normal();
    return bounded(state_);
  }
  double bounded(double v) {
    state_ = v;
    return std::clamp(v, -4.0, 4.0);
  }

  Random random_;
  double knot_;
  double state_{0};
  double right_time_{0};
  double left_;
  double right_;
};

}  // namespace

std::size_t sample_count(const SimulationPlan& plan) {
  return static_cast<std::size_t>(std::llround(plan.rate.value() * plan.duration.value()));
}

Motion::Motion(const SimulationPlan& plan) : rate_{plan.rate.value()} {
  const std::size_t n = sample_count(plan);
  turns_.resize(n);
  Random random{plan.seed, stream::motion};
  double turn = random.uniform();
  Wander wander{random, plan.wander_time.value() / Wander::knots_per_correlation_time};
  const double base = shaft_rate(plan.speed).value();
  double before = 0;
  slowest_ = HUGE_VAL;
  for (std::size_t i = 0; i < n; ++i) {
    const double t = static_cast<double>(i) / rate_;
    double f = base * (1 + plan.speed_drift * t / plan.duration.value());
    if (plan.speed_wander > 0) f *= 1 + plan.speed_wander * wander.at(t);
    if (i == 0) start_ = f;
    if (i > 0) turn += 0.5 * (before + f) / rate_;
    turns_[i] = turn;
    before = f;
    slowest_ = std::min(slowest_, f);
    fastest_ = std::max(fastest_, f);
  }
  end_ = before;
}

double Motion::mean() const noexcept {
  if (size() < 2) return start_;
  return (turns_.back() - turns_.front()) * rate_ / static_cast<double>(size() - 1);
}

double Motion::index_of(double turn, std::size_t& hint) const noexcept {
  while (hint + 1 < size() && turns_[hint + 1] < turn) ++hint;
  if (hint + 1 >= size()) return -1;
  const double step = turns_[hint + 1] - turns_[hint];
  return static_cast<double>(hint) + (turn - turns_[hint]) / step;
}

}  // namespace bearingdsp::simulation
