#include "evidence/shaft_features.hpp"

#include <algorithm>
#include <cmath>

namespace bearingdsp::detail {
namespace {

/// Whether a line here may be the hum of a supply: within two bins of one of its multiples.
bool at_mains(double f, double within, const std::vector<Hz>& mains) {
  return std::any_of(mains.begin(), mains.end(), [&](Hz supply) {
    return std::abs(f - supply.value() * std::round(f / supply.value())) < within;
  });
}

/// The rate within three standard deviations at which 1x to 5x of all axes
/// stand best; the rate itself where nothing is detected.
double refine(std::span<const AxisSpectrum> axes, double rate, double fraction,
              const Basis& basis) {
  const ShaftModel& model = basis.model.shaft;
  const int refined_orders = model.refined_orders;
  const double spacing = axes.front().spacing();
  if (3 * refined_orders * fraction * rate < spacing) return rate;
  struct Place {
    const AxisSpectrum* axis;
    double order;
    double level;  ///< mean power of a bin near the order
  };
  std::vector<Place> places;
  for (const AxisSpectrum& axis : axes)
    for (int k = 1; k <= refined_orders; ++k) {
      const double width = 0.8 * rate;
      const double power = axis.acceleration_power(k * rate - width / 2, k * rate + width / 2);
      if (power > 0 && (k + 0.5) * rate < axis.nyquist())
        places.push_back({&axis, static_cast<double>(k), power * axis.spacing() / width});
    }
  double best = rate;
  double best_score = 0;
  // A twentieth of a bin at 1x is a quarter of a bin at 5x.
  const double step = spacing / 20;
  for (double f = rate * (1 - 3 * fraction); f <= rate * (1 + 3 * fraction); f += step) {
    double score = 0;
    for (const Place& place : places) {
      const double at = f * place.order / place.axis->spacing();
      const auto bin = static_cast<std::size_t>(at);
      if (bin + 1 >= place.axis->bins()) continue;
      if (place.order > 1 && at_mains(f * place.order, model.mains_lines * spacing, basis.mains))
        continue;
      const double part = at - static_cast<double>(bin);
      const double power =
          (1 - part) * place.axis->bin_power(bin) + part * place.axis->bin_power(bin + 1);
      score += std::log1p(power / place.level);
    }
    if (score > best_score) {
      best_score = score;
      best = f;
    }
  }
  return best;
}

}  // namespace

ShaftFeatures shaft_features(std::span<const AxisSpectrum> axes, const ShaftSpeed& speed,
                             const Basis& basis, FftPlans& plans) {
  const ShaftModel& m = basis.model.shaft;
  const double detected = basis.model.causes.detected;
  ShaftFeatures out;
  if (axes.empty() || !speed.found() || !(speed.rate.value() > 0)) return out;
  out.calibrated = std::all_of(axes.begin(), axes.end(),
                               [](const AxisSpectrum& axis) { return axis.calibrated(); });
  const double rate = speed.rate.value();
  if (rate < 4 * axes.front().spacing() || 3.5 * rate > axes.front().nyquist()) return out;
  const double stated = std::clamp(speed.relative_uncertainty, 0.0, m.max_uncertainty);
  out.shaft = refine(axes, rate, stated, basis);
  out.uncertainty = std::clamp(stated, 0.0005, 0.002) + speed.relative_variation / 2;

  for (const AxisSpectrum& axis : axes) {
    AxisOrders orders;
    orders.name = axis.name();
    orders.axial = axis.axial();
    const auto line = [&](double order) {
      const double f = order * out.shaft;
      return axis.line(f, std::min(3 * out.uncertainty * f, 0.12 * out.shaft), 0.4 * out.shaft);
    };
    orders.one = line(1);
    orders.two = line(2);
    orders.three = line(3);
    orders.acceleration = axis.acceleration_power(0.3 * out.shaft, 50 * out.shaft);
    orders.velocity = axis.velocity_power(0.6 * out.shaft, 12.5 * out.shaft);
    for (int k = m.first_whole; k <= m.last_whole; ++k) {
      const LineLevel at = line(k);
      if (at.prominence < detected) continue;
      ++orders.whole_detected;
      orders.whole_velocity += velocity_of(at);
    }
    for (int k = 1; k <= m.last_half; ++k) {
      const LineLevel at = line(k + 0.5);
      if (at.prominence < detected) continue;
      ++orders.halves_detected;
      orders.halves_velocity += velocity_of(at);
    }
    for (int k = 1; k <= m.last_third; ++k) {
      if (k % 3 == 0) continue;
      const LineLevel at = line(k / 3.0);
      if (at.prominence < detected) continue;
      ++orders.thirds_detected;
      orders.thirds_velocity += velocity_of(at);
    }
    orders.skewness = axis.displacement_skewness(0.2 * out.shaft, 8 * out.shaft, plans);
    out.axes.push_back(orders);
  }
  return out;
}

}  // namespace bearingdsp::detail
