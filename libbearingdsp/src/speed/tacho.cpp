#include "bearingdsp/speed/tacho.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "speed/smooth_pulses.hpp"

namespace bearingdsp {
namespace {

double quantile(std::vector<double>& scratch, double q) {
  const auto k =
      static_cast<std::size_t>(std::llround(q * static_cast<double>(scratch.size() - 1)));
  const auto it = scratch.begin() + static_cast<std::ptrdiff_t>(k);
  std::nth_element(scratch.begin(), it, scratch.end());
  return *it;
}

Error failure(Errc code, std::string what, std::string advice) {
  return {code, "tacho", std::move(what), std::move(advice)};
}

// Leading edges in samples: where the pulse passes half way, once it has gone the whole hysteresis.
std::vector<double> leading_edges(std::span<const double> x, double base, double depth,
                                  double hysteresis) {
  std::vector<double> edges;
  bool armed = false;
  double crossing = -1;
  double before = 0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    const double v = (x[i] - base) / depth;  // 0 at rest, 1 in the pulse, either polarity
    if (v < 0.5 - 0.5 * hysteresis) {
      armed = true;
      crossing = -1;
    } else if (armed && i > 0) {
      if (before < 0.5 && v >= 0.5)
        crossing = static_cast<double>(i - 1) + (0.5 - before) / (v - before);
      if (v >= 0.5 + 0.5 * hysteresis && crossing >= 0) {
        edges.push_back(crossing);
        armed = false;
      }
    }
    before = v;
  }
  return edges;
}

double local_interval(const std::vector<double>& t, std::size_t i) {
  // Median of up to nine intervals round the one that ends at i: follows a ramp, ignores a gap.
  const std::size_t a = i > 5 ? i - 5 : 0;
  const std::size_t b = std::min(i + 4, t.size() - 1);
  std::vector<double> d;
  for (std::size_t j = a; j < b; ++j) d.push_back(t[j + 1] - t[j]);
  return quantile(d, 0.5);
}

/// Scatter of the pulses, in revolutions, from which the track is smoothed: lines of order 15 (the
/// third harmonic of an inner ring's family) then lose 4 % of their height (exp(-(2 pi 15 s)^2 /
/// 2)).
constexpr double smoothed_from = 0.003;
constexpr double scatter_caution = 0.03;

/// Takes the scatter of the pulses out of the track, where it would smear the lines looked for.
void smooth(TachoReading& out) {
  const auto smoothed = speed_detail::smooth_pulses(out.track.time);
  const double turns = out.track.revolutions.back() - out.track.revolutions.front();
  const double span = smoothed.time.back() - smoothed.time.front();
  const double scatter = smoothed.scatter * turns / span;
  if (scatter < smoothed_from) return;
  out.track.time = smoothed.time;
  out.track.angle_error = smoothed.left * turns / span;
  out.speed.rate = Hz{turns / span};
  out.speed.relative_uncertainty =
      std::max(out.speed.relative_uncertainty / std::sqrt(turns), 1e-6);
  out.findings.push_back(
      {FindingKind::time_jitter, scatter > scatter_caution ? Weight::caution : Weight::note,
       "tacho",
       fmt::format("the pulses deviate from a smooth rotation by {:.1f} % of a revolution",
                   100 * scatter),
       "the angle is smoothed over many revolutions; fast speed changes are not followed",
       "check the sensor's gap, the reflective mark and the trigger level"});
}

/// What the channel is at rest, and how deep its pulses are; of either polarity.
struct PulseLevels {
  double base{0};
  double depth{0};
};

Result<PulseLevels> pulse_levels(std::span<const double> x) {
  std::vector<double> scratch(x.begin(), x.end());
  const double base = quantile(scratch, 0.5);
  const double up = quantile(scratch, 0.9995) - base;
  const double down = base - quantile(scratch, 0.0005);
  if (!(std::max(up, down) > 0) || !std::isfinite(up) || !std::isfinite(down))
    return failure(Errc::bad_argument, "the channel is flat: no pulses",
                   "check the sensor's gap and supply, or choose another channel");
  const double far = up >= down ? up : -down;
  scratch.clear();
  for (const double v : x)
    if ((v - base) / far > 0.5) scratch.push_back(v - base);
  return PulseLevels{base, quantile(scratch, 0.5)};
}

Result<std::vector<double>> pulse_times(const SignalView& channel, double hysteresis) {
  const auto levels = pulse_levels(channel.x);
  if (!levels) return levels.error();
  auto t = leading_edges(channel.x, levels->base, levels->depth, hysteresis);
  if (t.size() < 3)
    return failure(Errc::too_short, fmt::format("{} pulses found, 3 are needed", t.size()),
                   "record longer, or check that this is the tacho channel");
  for (double& e : t) e /= channel.rate.value();
  return t;
}

/// Takes out edges that cut a regular interval in two. Gives how many.
int drop_double_pulses(std::vector<double>& t) {
  int dropped = 0;
  for (std::size_t i = 1; i + 1 < t.size();) {
    const double usual = local_interval(t, i);
    const double left = t[i] - t[i - 1];
    const double right = t[i + 1] - t[i];
    if (std::max(left, right) < 0.85 * usual && left + right < 1.4 * usual) {
      t.erase(t.begin() + static_cast<std::ptrdiff_t>(i));
      ++dropped;
    } else {
      ++i;
    }
  }
  return dropped;
}

/// Fills gaps of a whole number of intervals evenly. Gives how many pulses were missing.
int fill_gaps(std::vector<double>& t) {
  int missing = 0;
  std::vector<double> whole{t.front()};
  for (std::size_t i = 1; i < t.size(); ++i) {
    const double gap = t[i] - t[i - 1];
    const double intervals = gap / local_interval(t, i);
    const double k = std::round(intervals);
    if (k >= 2 && k <= 8 && std::abs(intervals - k) < 0.2 + 0.05 * k) {
      for (int j = 1; j < static_cast<int>(k); ++j) {
        whole.push_back(t[i - 1] + gap * j / k);
        ++missing;
      }
    }
    whole.push_back(t[i]);
  }
  t = std::move(whole);
  return missing;
}

/// Scatter of the intervals about their neighbours, as a fraction. Errors: bad_argument where too
/// many are irregular
Result<double> jitter_of(const std::vector<double>& t) {
  std::size_t odd = 0;
  double jitter = 0;
  for (std::size_t i = 1; i < t.size(); ++i) {
    const double r = (t[i] - t[i - 1]) / local_interval(t, i);
    if (std::abs(r - 1) > 0.25) ++odd;
    jitter += std::min((r - 1) * (r - 1), 1.0);
  }
  const auto intervals = static_cast<double>(t.size() - 1);
  if (static_cast<double>(odd) > 0.1 * intervals + 0.5 && !speed_detail::scattered_pulses(t))
    return failure(
        Errc::bad_argument,
        fmt::format("{} of {} intervals between pulses are irregular", odd, t.size() - 1),
        "check the channel, the trigger level and the pulses per revolution");
  return std::sqrt(jitter / intervals);
}

/// Mean rate from the first pulse to the last.
ShaftSpeed mean_speed(const std::vector<double>& t, double per_revolution, double jitter,
                      double repaired) {
  const auto intervals = static_cast<double>(t.size() - 1);
  ShaftSpeed speed;
  speed.method = SpeedMethod::tacho;
  speed.rate = Hz{intervals / per_revolution / (t.back() - t.front())};
  // Two edges bound the count; each is known to the jitter of one interval.
  speed.relative_uncertainty = std::max(jitter * std::sqrt(2.0) / intervals, 1e-6);
  speed.confidence = std::clamp(0.99 - 2 * repaired, 0.5, 0.99);
  speed.why = fmt::format("{} pulses of the tacho, {:g} per revolution", t.size(), per_revolution);
  return speed;
}

/// Nodes one revolution apart, which do not see uneven spacing of the marks.
void add_nodes(PhaseTrack& track, const std::vector<double>& t, double per_revolution) {
  const double p = per_revolution;
  const std::size_t stride =
      p >= 1 && p == std::floor(p) ? static_cast<std::size_t>(p) : std::size_t{1};
  const std::size_t step = t.size() > 2 * stride ? stride : 1;
  for (std::size_t i = 0; i < t.size(); i += step) {
    track.time.push_back(t[i]);
    track.revolutions.push_back(static_cast<double>(i) / p);
  }
}

/// How the rate changed, and whether that smears lines.
void judge_variation(TachoReading& out, double span, double jitter) {
  double slow = 0;
  double fast = 0;
  const std::size_t reach = std::max<std::size_t>(1, out.track.time.size() / 10);
  for (std::size_t i = reach; i < out.track.time.size(); ++i) {
    const double f = (out.track.revolutions[i] - out.track.revolutions[i - reach]) /
                     (out.track.time[i] - out.track.time[i - reach]);
    if (i == reach || f < slow) slow = f;
    if (i == reach || f > fast) fast = f;
  }
  out.speed.relative_variation = (fast - slow) / out.speed.rate.value();
  out.track.tracked_variation = out.speed.relative_variation;
  // Lines up to the tenth order smear by more than their width if the rate changes by this much;
  // jitter of the edges alone is no change.
  out.track.worthwhile = out.speed.relative_variation * out.speed.rate.value() * span * 10 > 1.0 &&
                         out.speed.relative_variation > 6 * jitter / static_cast<double>(reach);
}

}  // namespace

Result<TachoReading> read_tacho(SignalView channel, const TachoOptions& options) {
  if (!(options.pulses_per_revolution > 0))
    return failure(Errc::bad_argument, "pulses per revolution must be above 0", "");
  if (!(options.hysteresis >= 0 && options.hysteresis <= 0.9))
    return failure(Errc::bad_argument, "hysteresis must be between 0 and 0.9", "");
  if (!(channel.rate.value() > 0))
    return failure(Errc::missing_metadata, "the sample rate is not known", "give the rate");
  if (channel.x.size() < 8)
    return failure(Errc::too_short, fmt::format("{} samples", channel.x.size()),
                   "record several revolutions");
  auto times = pulse_times(channel, options.hysteresis);
  if (!times) return times.error();
  std::vector<double>& t = *times;
  TachoReading out;
  // Double pulses first: they would make gaps of half an interval.
  out.extra_pulses = drop_double_pulses(t);
  out.missing_pulses = fill_gaps(t);
  const auto jitter = jitter_of(t);
  if (!jitter) return jitter.error();

  const double p = options.pulses_per_revolution;
  const double repaired = static_cast<double>(out.missing_pulses + out.extra_pulses) /
                          static_cast<double>(t.size() - 1);
  const double span = t.back() - t.front();
  out.speed = mean_speed(t, p, *jitter, repaired);
  add_nodes(out.track, t, p);
  smooth(out);
  judge_variation(out, span, *jitter);
  if (!(out.track.angle_error > 0)) out.track.angle_error = *jitter / p;
  out.track.source = "tacho";
  out.edges = t;
  if (out.missing_pulses + out.extra_pulses > 0)
    out.findings.push_back(
        {FindingKind::repaired, repaired > 0.05 ? Weight::caution : Weight::note, "tacho",
         fmt::format("{} missing pulses filled in, {} double pulses removed, of {}",
                     out.missing_pulses, out.extra_pulses, t.size()),
         "the angle is interpolated between the neighbouring pulses",
         repaired > 0.05 ? "check the sensor's gap and the reflective mark" : ""});
  return out;
}

}  // namespace bearingdsp
