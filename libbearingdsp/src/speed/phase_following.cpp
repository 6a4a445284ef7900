#include "phase_following.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <numbers>
#include <utility>

#include "phase_smoother.hpp"

namespace bearingdsp::speed_detail {
namespace {

using Complex = std::complex<double>;

// Phase of harmonic h against a track, block by block: complex amplitudes and the ratio of the
// power that turns along to the power that does not.
struct Demodulated {
  std::vector<double> time;
  std::vector<Complex> amplitude;
  double signal_to_noise{0};
};

Demodulated demodulate(const SlowCopy& axis, const std::vector<double>& angle, int h, double block,
                       double hop) {
  Demodulated out;
  const auto length = static_cast<std::size_t>(block * axis.rate);
  const auto step = std::max<std::size_t>(static_cast<std::size_t>(hop * axis.rate), 1);
  std::vector<Complex> mixed(axis.x.size());
  for (std::size_t j = 0; j < axis.x.size(); ++j)
    mixed[j] = axis.x[j] * std::polar(1.0, -2 * std::numbers::pi * h * angle[j]);
  std::vector<double> window(length);
  for (std::size_t j = 0; j < length; ++j)
    window[j] = 1 - std::cos(2 * std::numbers::pi * (static_cast<double>(j) + 0.5) /
                             static_cast<double>(length));
  for (std::size_t a = 0; a + length <= mixed.size(); a += step) {
    Complex sum;
    for (std::size_t j = 0; j < length; ++j) sum += window[j] * mixed[a + j];
    out.time.push_back((static_cast<double>(a) + 0.5 * static_cast<double>(length)) / axis.rate);
    out.amplitude.push_back(sum / static_cast<double>(length));
  }
  // Smoothness of the complex amplitude tells a line from noise: predict each from its neighbours.
  const std::size_t lag = std::max<std::size_t>(static_cast<std::size_t>(block / hop), 1);
  double power = 0;
  double wrong = 0;
  for (std::size_t i = lag; i + lag < out.amplitude.size(); ++i) {
    power += std::norm(out.amplitude[i]);
    wrong +=
        std::norm(out.amplitude[i] - 0.5 * (out.amplitude[i - lag] + out.amplitude[i + lag])) / 1.5;
  }
  if (wrong > 0) out.signal_to_noise = std::max(power / wrong - 1, 0.0);
  return out;
}

/// The harmonic that fixes the angle better than `error`; harmonic 0 where none does.
struct Sharpest {
  Demodulated line;
  int harmonic{0};
  double error{0};  ///< revolutions
};

Sharpest sharpest_harmonic(const std::vector<SlowCopy>& axes, const std::vector<double>& angle,
                           int highest, double mean_rate, double error, const TrackModel& model) {
  const double block = 4 / mean_rate;
  const double hop = 1 / mean_rate;
  Sharpest best;
  best.error = error;
  for (const SlowCopy& axis : axes)
    for (int h = 1; h <= highest && h * mean_rate <= 0.4 * axis.rate; ++h) {
      Demodulated d = demodulate(axis, angle, h, block, hop);
      if (d.signal_to_noise < model.phase_snr) continue;
      const double e = 1 / (2 * std::numbers::pi * h * std::sqrt(2 * d.signal_to_noise));
      if (e < best.error) best = {std::move(d), h, e};
    }
  return best;
}

/// Corrects the angle by the unwrapped phase of a harmonic.
void correct(std::vector<double>& angle, const Sharpest& s, double rate) {
  const auto& amplitude = s.line.amplitude;
  const auto& time = s.line.time;
  std::vector<double> turn(amplitude.size());
  turn[0] = std::arg(amplitude.front());
  for (std::size_t i = 1; i < turn.size(); ++i)
    turn[i] = turn[i - 1] + std::arg(amplitude[i] * std::conj(amplitude[i - 1]));
  for (double& v : turn) v /= 2 * std::numbers::pi * s.harmonic;
  turn = smoothed_phase(turn);
  std::size_t i = 0;
  for (std::size_t j = 0; j < angle.size(); ++j) {
    const double t = static_cast<double>(j) / rate;
    while (i + 2 < time.size() && time[i + 1] < t) ++i;
    const double u = (t - time[i]) / (time[i + 1] - time[i]);
    // Beyond the outermost blocks the slope of the correction continues.
    angle[j] += turn[i] + std::clamp(u, -2.5, 3.5) * (turn[i + 1] - turn[i]);
  }
}

}  // namespace

FollowedAngle follow_phase(const std::vector<SlowCopy>& axes, std::vector<double> angle,
                           double mean_rate, const TrackModel& model) {
  FollowedAngle out;
  out.angle = std::move(angle);
  out.error = model.phase_error;
  for (const int highest : {2, 4, model.harmonics}) {
    const Sharpest s = sharpest_harmonic(axes, out.angle, highest, mean_rate, out.error, model);
    if (s.harmonic == 0) break;
    out.error = s.error;
    out.harmonic = s.harmonic;
    correct(out.angle, s, axes.front().rate);
  }
  return out;
}

}  // namespace bearingdsp::speed_detail
