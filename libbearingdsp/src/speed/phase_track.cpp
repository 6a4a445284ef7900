#include "bearingdsp/speed/phase_track.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <stdexcept>

#include "bearingdsp/dsp/resample.hpp"

namespace bearingdsp {
namespace {

// Slopes of a monotone cubic through (x, y): weighted harmonic mean of the secants
// (Fritsch and Butland), one-sided at the ends.
std::vector<double> slopes(const std::vector<double>& x, const std::vector<double>& y) {
  const std::size_t n = x.size();
  std::vector<double> d(n);
  const auto secant = [&](std::size_t i) { return (y[i + 1] - y[i]) / (x[i + 1] - x[i]); };
  d.front() = secant(0);
  d.back() = secant(n - 2);
  for (std::size_t i = 1; i + 1 < n; ++i) {
    const double a = secant(i - 1);
    const double b = secant(i);
    const double left = x[i] - x[i - 1];
    const double right = x[i + 1] - x[i];
    d[i] = 3 * (left + right) / ((2 * right + left) / a + (right + 2 * left) / b);
  }
  return d;
}

/// Angle at the first instant, by the slope at the track's start.
double first_angle_of(const std::vector<double>& t, const std::vector<double>& a,
                      const std::vector<double>& slope) {
  if (t.front() > 0) return a.front() - t.front() / slope.front();
  std::size_t i = 0;
  while (i + 2 < t.size() && t[i + 1] < 0) ++i;
  return a[i] - t[i] * (a[i + 1] - a[i]) / (t[i + 1] - t[i]);
}

double last_angle_of(const std::vector<double>& t, const std::vector<double>& a,
                     const std::vector<double>& slope, double last_time) {
  if (last_time >= t.back()) return a.back() + (last_time - t.back()) / slope.back();
  std::size_t i = 0;
  while (i + 2 < t.size() && t[i + 1] < last_time) ++i;
  return a[i] + (last_time - t[i]) * (a[i + 1] - a[i]) / (t[i + 1] - t[i]);
}

}  // namespace

double PhaseTrack::revolutions_until(Seconds end) const {
  if (empty()) return 0;
  const auto slope = slopes(revolutions, time);
  return last_angle_of(time, revolutions, slope, end.value()) -
         first_angle_of(time, revolutions, slope);
}

double PhaseTrack::departure() const {
  if (empty()) return 0;
  const auto n = static_cast<double>(time.size());
  double t_mid = 0;
  double a_mid = 0;
  for (std::size_t k = 0; k < time.size(); ++k) {
    t_mid += time[k] / n;
    a_mid += revolutions[k] / n;
  }
  double ta = 0;
  double tt = 0;
  for (std::size_t k = 0; k < time.size(); ++k) {
    ta += (time[k] - t_mid) * (revolutions[k] - a_mid);
    tt += (time[k] - t_mid) * (time[k] - t_mid);
  }
  double square = 0;
  for (std::size_t k = 0; k < time.size(); ++k) {
    const double d = revolutions[k] - a_mid - ta / tt * (time[k] - t_mid);
    square += d * d;
  }
  return std::sqrt(square / n);
}

Hz PhaseTrack::mean_rate() const noexcept {
  if (empty()) return Hz{0};
  return Hz{(revolutions.back() - revolutions.front()) / (time.back() - time.front())};
}

AngleSignal resample_to_angle(std::span<const double> x, Hz rate, const PhaseTrack& track,
                              double samples_per_revolution) {
  if (track.empty() || track.time.size() != track.revolutions.size())
    throw std::invalid_argument{"resample_to_angle: the track is empty or its lengths differ"};
  if (!(rate.value() > 0) || !(samples_per_revolution > 0))
    throw std::invalid_argument{
        "resample_to_angle: rate and samples per revolution must be above 0"};
  AngleSignal out;
  out.samples_per_revolution = samples_per_revolution;
  if (x.size() < 2) return out;

  const auto& t = track.time;
  const auto& a = track.revolutions;
  const std::vector<double> slope = slopes(a, t);  // seconds a revolution: time by angle
  const double last_time = static_cast<double>(x.size() - 1) / rate.value();
  const double first_angle = first_angle_of(t, a, slope);
  const double last_angle = last_angle_of(t, a, slope, last_time);
  const double covered = last_angle - first_angle;
  if (!(covered > 0)) return out;
  const auto m = static_cast<std::size_t>(std::floor(covered * samples_per_revolution));
  out.revolutions = static_cast<double>(m) / samples_per_revolution;

  std::vector<double> positions(m);
  double widest = 1;  // samples between two steps, where the shaft is slowest
  std::size_t i = 0;
  for (std::size_t k = 0; k < m; ++k) {
    const double angle = first_angle + static_cast<double>(k) / samples_per_revolution;
    double when = 0;
    double period = 0;  // seconds a revolution here
    if (angle <= a.front()) {
      period = slope.front();
      when = t.front() + (angle - a.front()) * period;
    } else if (angle >= a.back()) {
      period = slope.back();
      when = t.back() + (angle - a.back()) * period;
    } else {
      while (a[i + 1] < angle) ++i;
      const double h = a[i + 1] - a[i];
      const double u = (angle - a[i]) / h;
      const double u2 = u * u;
      const double u3 = u2 * u;
      when = (2 * u3 - 3 * u2 + 1) * t[i] + (u3 - 2 * u2 + u) * h * slope[i] +
             (3 * u2 - 2 * u3) * t[i + 1] + (u3 - u2) * h * slope[i + 1];
      period = (6 * u2 - 6 * u) * (t[i] - t[i + 1]) / h + (3 * u2 - 4 * u + 1) * slope[i] +
               (3 * u2 - 2 * u) * slope[i + 1];
    }
    positions[k] = std::clamp(when, 0.0, last_time) * rate.value();
    widest = std::max(widest, period / samples_per_revolution * rate.value());
  }
  out.x = interpolate_at(x, positions, {.cutoff = 1 / widest});
  return out;
}

}  // namespace bearingdsp
