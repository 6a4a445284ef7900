#include "bearingdsp/speed/order_tracking.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <stdexcept>
#include <string>

#include "phase_following.hpp"
#include "rate_path.hpp"
#include "slow_copy.hpp"
#include "transforms.hpp"

namespace bearingdsp {
namespace {

using speed_detail::FollowedAngle;
using speed_detail::RatePath;
using speed_detail::SlowCopy;

void require(std::span<const SignalView> axes, const TrackOptions& options) {
  const double low = options.search.low.value();
  if (axes.empty() || !(low > 0) || !(options.search.high.value() > low) ||
      !(options.max_change_per_second > 0))
    throw std::invalid_argument{
        "track_from_vibration: needs an axis, 0 < low < high and a change above 0"};
  for (const SignalView& a : axes)
    if (a.x.size() != axes.front().x.size() || a.rate != axes.front().rate || !(a.rate.value() > 0))
      throw std::invalid_argument{"track_from_vibration: axes must have one length and one rate"};
}

// Angle (revolutions) at each sample from a rate known at a few times: trapezoids between, level
// outside.
std::vector<double> integrate(const std::vector<double>& time, const std::vector<double>& rate,
                              std::size_t n, double sampling) {
  std::vector<double> angle(n);
  double sum = 0;
  std::size_t i = 0;
  for (std::size_t j = 0; j < n; ++j) {
    angle[j] = sum;
    const double t = (static_cast<double>(j) + 0.5) / sampling;
    while (i + 2 < time.size() && time[i + 1] < t) ++i;
    double r = rate.front();
    if (time.size() > 1) {
      const double u = std::clamp((t - time[i]) / (time[i + 1] - time[i]), 0.0, 1.0);
      r = rate[i] + u * (rate[i + 1] - rate[i]);
    }
    sum += r / sampling;
  }
  return angle;
}

/// Nodes one revolution apart; the angle must rise.
PhaseTrack nodes(const std::vector<double>& angle, double rate, double mean_rate) {
  PhaseTrack track;
  const auto stride = std::max<std::size_t>(static_cast<std::size_t>(rate / mean_rate), 1);
  for (std::size_t j = 0; j < angle.size(); j += stride) {
    if (!track.revolutions.empty() && angle[j] <= track.revolutions.back() + 1e-6) continue;
    track.time.push_back(static_cast<double>(j) / rate);
    track.revolutions.push_back(angle[j]);
  }
  return track;
}

/// Peak-to-peak change of the rate, a fraction of its mean.
double variation(const PhaseTrack& track) {
  double slowest = 0;
  double fastest = 0;
  const std::size_t lag = std::max<std::size_t>(4, track.time.size() / 10);
  for (std::size_t k = lag; k < track.time.size(); ++k) {
    const double f =
        (track.revolutions[k] - track.revolutions[k - lag]) / (track.time[k] - track.time[k - lag]);
    if (k == lag || f < slowest) slowest = f;
    if (k == lag || f > fastest) fastest = f;
  }
  return (fastest - slowest) / track.mean_rate().value();
}

/// How probable it is that no other path is as good: at half or twice the rate, or in the noise.
double confidence_of(const RatePath& path, const TrackModel& m) {
  const double lead = path.gain - std::max(path.rival, m.min_gain);
  return 1 / (1 + std::exp(-m.lead_weight * (lead - m.even_lead)));
}

/// How probable the evened record makes the comb of the track, among all that are in it.
double evened_confidence(std::span<const SignalView> axes, const PhaseTrack& track,
                         const SpeedInterval& search, FftPlans& plans,
                         const ModelParameters& model) {
  const SignalView& first = axes.front();
  const double seconds = static_cast<double>(first.x.size()) / first.rate.value();
  const double turns = track.revolutions_until(Seconds{seconds});
  std::vector<std::vector<double>> samples;
  std::vector<SignalView> even;
  for (const SignalView& a : axes)
    samples.push_back(
        resample_to_angle(a.x, a.rate, track, static_cast<double>(a.x.size()) / turns).x);
  for (const auto& x : samples) even.push_back({x, first.rate, first.unit});
  constexpr std::size_t max_axes = 8;
  if (even.size() > max_axes) even.resize(max_axes);
  const SpeedEstimate found =
      estimate_speed(speed_lines(even, plans, model), {.search = search}, model);
  double probability = 0;
  for (const SpeedCandidate& c : found.candidates)
    if (std::abs(c.rate.value() * seconds / turns - 1) < model.motion.near_mean)
      probability += c.probability;
  return probability;
}

}  // namespace

Result<PhaseTrack> track_from_vibration(std::span<const SignalView> axes, FftPlans& plans,
                                        const TrackOptions& options, const ModelParameters& model) {
  return speed_detail::track_from_vibration(axes, {}, plans, options, model);
}

Result<PhaseTrack> speed_detail::track_from_vibration(std::span<const SignalView> axes,
                                                      const Transforms& known, FftPlans& plans,
                                                      const TrackOptions& options,
                                                      const ModelParameters& model) {
  require(axes, options);
  const TrackModel& m = model.track;
  const double low = options.search.low.value();
  const double rate = axes.front().rate.value();
  const double seconds = static_cast<double>(axes.front().x.size()) / rate;
  if (seconds * low < m.min_revolutions)
    return Error{Errc::too_short, "speed track",
                 fmt::format("{:.2f} s contain {:.0f} revolutions at {:.1f} Hz, {:.0f} are needed",
                             seconds, seconds * low, low, m.min_revolutions),
                 "record longer or narrow the speed range"};

  const double fastest = options.search.high.value() * (1 + 0.5 * options.max_drift);
  const double top = std::min((m.harmonics + 0.7) * fastest, 0.38 * rate);
  std::vector<SlowCopy> slow;
  for (std::size_t a = 0; a < axes.size(); ++a)
    slow.push_back(
        slow_copy(axes[a], known.empty() ? Transforms::value_type{} : known[a], top, plans));
  const auto path = best_rate_path(slow, options, plans, m);
  if (!path) return path.error();
  // On noise the best path averages below one; see the test on noise.
  if (path->gain < m.min_gain)
    return Error{
        Errc::no_speed, "speed track",
        fmt::format(
            "no harmonics of 1x can be followed through the recording (gain {:.1f}, {:.1f} needed)",
            path->gain, m.min_gain),
        "use a tacho"};

  const double mean_rate = path->mean_rate();
  const FollowedAngle followed = follow_phase(
      slow, integrate(path->time, path->rate, slow.front().x.size(), slow.front().rate), mean_rate,
      m);
  PhaseTrack track = nodes(followed.angle, slow.front().rate, mean_rate);
  if (track.time.size() < 4)
    return Error{Errc::no_speed, "speed track", "the measured phase does not increase steadily",
                 "use a tacho"};
  track.tracked_variation = variation(track);
  track.angle_error = followed.error;
  track.confidence = confidence_of(*path, m);
  if (options.check_evened)
    track.confidence *= evened_confidence(axes, track, options.search, plans, model);
  track.source = followed.harmonic > 0
                     ? fmt::format("phase of harmonic {} of 1x", followed.harmonic)
                     : std::string{"best path through short-time spectra"};
  const double departure = track.departure();
  // A path that no phase bears out may wander by itself.
  track.worthwhile = followed.harmonic > 0 &&
                     departure * options.max_order > model.motion.smeared_cycles &&
                     followed.error < m.worthwhile * departure;
  return track;
}

}  // namespace bearingdsp
