#include "bearingdsp/dsp/running_moments.hpp"

#include <algorithm>
#include <cmath>

namespace bearingdsp {

void RunningMoments::add(std::span<const double> x) {
  if (x.empty()) return;
  const Moments block = bearingdsp::moments(x);
  const auto [low, high] = std::minmax_element(x.begin(), x.end());
  low_ = count_ == 0 ? *low : std::min(low_, *low);
  high_ = count_ == 0 ? *high : std::max(high_, *high);

  const auto a = static_cast<double>(count_);
  const auto b = static_cast<double>(x.size());
  const double n = a + b;
  const double second = block.variance * b;
  const double third = block.skewness * std::pow(block.variance, 1.5) * b;
  const double fourth = block.kurtosis * block.variance * block.variance * b;
  const double d = block.mean - mean_;
  const double dn = d / n;
  fourth_ += fourth + d * dn * dn * dn * a * b * (a * a - a * b + b * b) +
             6 * dn * dn * (a * a * second + b * b * second_) + 4 * dn * (a * third - b * third_);
  third_ += third + d * dn * dn * a * b * (a - b) + 3 * dn * (a * second - b * second_);
  second_ += second + d * dn * a * b;
  mean_ += b * dn;
  count_ += x.size();
}

Moments RunningMoments::moments() const noexcept {
  if (count_ == 0) return {};
  const auto n = static_cast<double>(count_);
  Moments m;
  m.mean = mean_;
  m.variance = second_ / n;
  if (!(m.variance > 0) || low_ == high_) return {.mean = mean_};
  m.skewness = third_ / n / std::pow(m.variance, 1.5);
  m.kurtosis = fourth_ / n / (m.variance * m.variance);
  return m;
}

double RunningMoments::rms() const noexcept {
  return count_ == 0 || low_ == high_ ? 0 : std::sqrt(second_ / static_cast<double>(count_));
}

double RunningMoments::peak() const noexcept {
  return count_ == 0 ? 0 : std::max(high_ - mean_, mean_ - low_);
}

SignalLevels RunningMoments::levels() const noexcept {
  const Moments m = moments();
  SignalLevels l{
      .mean = m.mean, .rms = rms(), .peak = peak(), .kurtosis = m.kurtosis, .skewness = m.skewness};
  if (l.rms > 0) l.crest_factor = l.peak / l.rms;
  return l;
}

SignalLevels signal_levels(std::span<const double> x) {
  RunningMoments all;
  all.add(x);
  return all.levels();
}

}  // namespace bearingdsp
