#include "verdict/shaft_motion.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <utility>

#include "bearingdsp/spectra/envelope_spectrum.hpp"
#include "bearingdsp/speed/order_tracking.hpp"
#include "bearingdsp/speed/tacho.hpp"
#include "verdict/tacho_check.hpp"

namespace bearingdsp {
namespace {

bool smears(const PhaseTrack& track, const MotionModel& model) {
  return track.departure() * model.max_order > model.smeared_cycles &&
         track.tracked_variation > model.min_change;
}

Seconds duration_of(const SignalView& axis) {
  return Seconds{static_cast<double>(axis.x.size()) / axis.rate.value()};
}

/// The mean over the recording, so that lines at even steps of the angle stand at multiples of it.
ShaftSpeed even_speed(ShaftSpeed speed, const PhaseTrack& track, Seconds duration) {
  speed.rate = Hz{track.revolutions_until(duration) / duration.value()};
  speed.relative_variation = track.tracked_variation;
  return speed;
}

/// Nothing is known of the speed, and why.
ShaftMotion open_speed(std::string why) {
  ShaftMotion motion;
  motion.speed.best.why = why;
  motion.speed.why = std::move(why);
  return motion;
}

std::optional<ShaftMotion> from_tacho(const Capture& capture, std::span<const SignalView> axes,
                                      const DiagnoseOptions& options, FftPlans& plans,
                                      Findings& findings) {
  for (const auto& channel : capture.channels) {
    if (options.tacho_channel.empty() || channel.name != options.tacho_channel) continue;
    const auto read = [&](double pulses) {
      return read_tacho({channel.samples, capture.rate, channel.unit},
                        {.pulses_per_revolution = pulses, .hysteresis = TachoOptions{}.hysteresis});
    };
    auto reading = read(options.pulses_per_revolution);
    if (!reading) {
      findings.push_back({FindingKind::speed_disagrees, Weight::caution, channel.name,
                          "the tacho channel cannot be read: " + reading.error().what,
                          "the speed is taken from the vibration instead", reading.error().advice});
      return std::nullopt;
    }
    const TachoChecked checked = check_tacho(
        *reading, axes, options, smears(reading->track, options.model.motion), plans, findings);
    if (checked.trust == TachoTrust::given) return std::nullopt;
    if (checked.trust == TachoTrust::neither) return open_speed(checked.why);
    if (checked.trust == TachoTrust::recounted) {
      auto again = read(checked.pulses_per_revolution);
      if (!again) return open_speed(again.error().what);
      reading = std::move(again);
    }
    findings.insert(findings.end(), reading->findings.begin(), reading->findings.end());
    ShaftMotion motion;
    reading->speed.confidence = std::min(reading->speed.confidence, checked.confidence);
    motion.speed.best = reading->speed;
    motion.speed.why = reading->speed.why;
    if (smears(reading->track, options.model.motion)) {
      findings.push_back({FindingKind::speed_varies, Weight::note, channel.name,
                          fmt::format("the speed changed by {:.1f} % within the recording",
                                      100 * reading->track.tracked_variation),
                          "envelopes are read at even steps of the shaft's angle", ""});
      motion.speed.best = even_speed(reading->speed, reading->track, duration_of(axes[0]));
      motion.track = std::move(reading->track);
    }
    return motion;
  }
  if (!options.tacho_channel.empty()) {
    std::string names;
    for (const auto& channel : capture.channels)
      names += (names.empty() ? "" : ", ") + channel.name;
    findings.push_back({FindingKind::speed_disagrees, Weight::caution, options.tacho_channel,
                        "the recording has no such channel, which was to be the tacho",
                        "the speed is taken from the vibration instead",
                        "name one of its channels as the tacho: " + names});
  }
  return std::nullopt;
}

SpeedOptions speed_options(const DiagnoseOptions& options,
                           const std::optional<DefectOrders>& orders) {
  SpeedOptions wanted;
  if (options.speed) wanted.given = shaft_rate(*options.speed);
  wanted.given_tolerance = options.speed_tolerance;
  if (options.speed_low) wanted.search.low = shaft_rate(*options.speed_low);
  if (options.speed_high) wanted.search.high = shaft_rate(*options.speed_high);
  wanted.orders = orders;
  wanted.line_frequency = options.line_frequency;
  return wanted;
}

SpeedEstimate from_vibration(const SpeedLines& lines, const SpeedOptions& wanted,
                             const ModelParameters& model, Findings& findings) {
  SpeedEstimate estimate = estimate_speed(lines, wanted, model);
  if (estimate.disagrees_with_given)
    findings.push_back({FindingKind::speed_disagrees, Weight::caution, "", estimate.why,
                        "defect frequencies scale with the speed: a wrong one names a wrong part",
                        "check the speed with a strobe or tacho"});
  return estimate;
}

/// Score of the best comb of 1x near a rate; 0 where there is none.
SpeedEstimate comb_near(const SpeedLines& lines, Hz rate, const DiagnoseOptions& options,
                        const std::optional<DefectOrders>& orders) {
  SpeedOptions wanted;
  wanted.given = rate;
  wanted.given_tolerance = options.model.motion.near_mean;
  wanted.orders = orders;
  wanted.line_frequency = options.line_frequency;
  return estimate_speed(lines, wanted, options.model);
}

double best_score(const SpeedEstimate& estimate) {
  return estimate.candidates.empty() ? 0.0 : estimate.candidates.front().score;
}

/// Largest share that one sharp line has of the power round 1x, 2x or 3x: near 1 where the shaft
/// turns evenly, small where its lines smear.
double sharpest(std::span<const SignalView> axes, Hz rate, double max_change, FftPlans& plans) {
  double best = 0;
  for (const SignalView& axis : axes) {
    const RecordSpectrum spectrum = record_spectrum(axis, plans);
    const auto power = [&](std::size_t k) { return std::norm(spectrum.bins[k]); };
    for (const int h : {1, 2, 3}) {
      const double bins = h * (rate / spectrum.line_spacing());
      const auto first = static_cast<std::size_t>((1 - max_change) * bins);
      const auto last =
          std::min(static_cast<std::size_t>((1 + max_change) * bins), spectrum.bins.size() - 3);
      double all = 0;
      double line = 0;
      for (std::size_t k = std::max<std::size_t>(first, 2); k <= last; ++k) {
        all += power(k);
        line = std::max(line, power(k - 2) + power(k - 1) + power(k) + power(k + 1) + power(k + 2));
      }
      if (all > 0) best = std::max(best, line / all);
    }
  }
  return best;
}

/// A steady comb of 1x was found at another rate. Slip lets a bearing's impacts drift like the
/// harmonics of a shaft that does not run evenly, and a comb that drifts is easily found among
/// them; a shaft with sharp lines runs evenly.
bool contradicts(const ShaftSpeed& steady, Hz followed, const MotionModel& model) {
  const bool sharp =
      steady.method == SpeedMethod::harmonic_comb || steady.method == SpeedMethod::given_refined;
  return sharp && std::abs(followed / steady.rate - 1) > model.other_rate;
}

bool believed(const SpeedEstimate& before, const SpeedEstimate& after, const MotionModel& model) {
  return best_score(after) >= best_score(before) + model.min_gain &&
         after.candidates.front().vibration_lines >= model.min_lines;
}

/// A path of the speed through the recording, where the lines would smear without it.
std::optional<FollowedPath> follow(std::span<const SignalView> axes, const DiagnoseOptions& options,
                                   FftPlans& plans) {
  const MotionModel& m = options.model.motion;
  TrackOptions wanted;
  wanted.max_order = m.max_order;
  if (options.speed) {
    const Hz rate = shaft_rate(*options.speed);
    wanted.search = {(1 - m.max_change) * rate, (1 + m.max_change) * rate};
  } else {
    if (options.speed_low) wanted.search.low = shaft_rate(*options.speed_low);
    if (options.speed_high) wanted.search.high = shaft_rate(*options.speed_high);
  }
  // A speed may be given that no number holds.
  if (!(wanted.search.low.value() > 0) || !(wanted.search.high > wanted.search.low))
    return std::nullopt;
  auto track = track_from_vibration(axes, plans, wanted, options.model);
  if (!track || !smears(*track, m)) return std::nullopt;
  FollowedPath path{std::move(*track), Hz{0}, std::nullopt, 1};
  const Seconds duration = duration_of(axes[0]);
  path.mean = Hz{path.track.revolutions_until(duration) / duration.value()};
  if (path.track.worthwhile)
    path.even_lines = speed_lines(evened(axes, path.track).views, plans, options.model);
  if (path.track.tracked_variation > m.unsteady)
    path.sharpest = sharpest(axes, path.mean, m.max_change, plans);
  return path;
}

/// A path can be drawn through any recording; it is believed only if harmonics of 1x stand on the
/// evened record that did not stand before.
void take_path(ShaftMotion& motion, const FollowedPath& path, const DiagnoseOptions& options,
               const std::optional<DefectOrders>& orders, Findings& findings) {
  const MotionModel& m = options.model.motion;
  const PhaseTrack& track = path.track;
  if (contradicts(motion.speed.best, path.mean, m)) return;
  const std::string change = fmt::format("the speed changed by about {:.1f} % within the recording",
                                         100 * track.tracked_variation);
  if (path.even_lines) {
    const SpeedEstimate after = comb_near(*path.even_lines, path.mean, options, orders);
    if (believed(motion.speed, after, m)) {
      findings.push_back({FindingKind::speed_varies, Weight::note, "", change,
                          "envelopes are read at even steps of the shaft's angle", ""});
      ShaftSpeed speed = after.best;
      speed.method = SpeedMethod::followed;
      speed.rate = after.candidates.front().rate;
      speed.relative_uncertainty = after.candidates.front().relative_uncertainty;
      speed.relative_variation = track.tracked_variation;
      speed.why =
          fmt::format("followed through the recording on {}; then {}", track.source, after.why);
      motion.speed = {
          .best = speed, .disagrees_with_given = false, .candidates = {}, .why = speed.why};
      motion.track = track;
      return;
    }
  }
  if (best_score(motion.speed) < m.min_gain && track.tracked_variation > m.unsteady &&
      path.sharpest < m.sharp_share)
    findings.push_back({FindingKind::speed_varies, Weight::caution, "",
                        change + " and could not be followed",
                        "lines of the bearing smear: damage cannot be ruled out",
                        "Record again at a steady speed, or with a tacho channel."});
}

/// Whether an induction or synchronous motor on that mains may turn at the rate. Up to 12 poles, in
/// most of which motors are made: common practice, no source
bool motor_speed(const ShaftSpeed& speed, Hz mains, double max_slip) {
  constexpr int max_pole_pairs = 6;
  const double spread = 3 * speed.relative_uncertainty;
  for (int pairs = 1; pairs <= max_pole_pairs; ++pairs) {
    const SpeedInterval at = induction_motor_interval(mains, pairs, max_slip);
    if (speed.rate >= (1 - spread) * at.low && speed.rate <= (1 + spread) * at.high) return true;
  }
  return false;
}

/// A speed that only the recording gives, and that no motor on the mains has, may be a defect
/// frequency taken for the shaft's.
void question_the_speed_found(const ShaftSpeed& speed, const DiagnoseOptions& options,
                              Findings& findings) {
  if (!speed.found() || options.speed || options.speed_low || options.speed_high ||
      options.on_converter)
    return;
  const std::vector<Hz> mains = options.line_frequency ? std::vector<Hz>{*options.line_frequency}
                                                       : std::vector<Hz>{Hz{50}, Hz{60}};
  const double max_slip = options.model.rotor_bars.max_slip;
  if (std::any_of(mains.begin(), mains.end(),
                  [&](Hz f) { return motor_speed(speed, f, max_slip); }))
    return;
  findings.push_back({FindingKind::speed_implausible, Weight::caution, "",
                      fmt::format("no motor on {} mains runs at the speed found, {:.0f} rpm",
                                  options.line_frequency
                                      ? fmt::format("{:.0f} Hz", options.line_frequency->value())
                                      : std::string{"50 or 60 Hz"},
                                  shaft_speed(speed.rate).value()),
                      "without a converter the speed is wrong, and every defect frequency with it",
                      "give the speed"});
}

}  // namespace

MotionEvidence motion_evidence(const Capture& capture, std::span<const SignalView> axes,
                               const DiagnoseOptions& options, FftPlans& plans,
                               Findings& findings) {
  MotionEvidence evidence;
  evidence.tacho = from_tacho(capture, axes, options, plans, findings);
  if (evidence.tacho) return evidence;
  evidence.lines = speed_lines(axes, plans, options.model);
  evidence.followed = follow(axes, options, plans);
  return evidence;
}

ShaftMotion find_motion(const MotionEvidence& evidence, const DiagnoseOptions& options,
                        const std::optional<DefectOrders>& orders, Findings& findings) {
  if (evidence.tacho) return *evidence.tacho;
  ShaftMotion motion{
      from_vibration(evidence.lines, speed_options(options, orders), options.model, findings),
      std::nullopt};
  if (evidence.followed) take_path(motion, *evidence.followed, options, orders, findings);
  question_the_speed_found(motion.speed.best, options, findings);
  return motion;
}

EvenAxes evened(std::span<const SignalView> axes, const std::optional<PhaseTrack>& track) {
  EvenAxes even;
  if (!track) {
    even.views.assign(axes.begin(), axes.end());
    return even;
  }
  for (const SignalView& axis : axes) {
    const Seconds duration = duration_of(axis);
    const double turns = track->revolutions_until(duration);
    auto signal =
        resample_to_angle(axis.x, axis.rate, *track, static_cast<double>(axis.x.size()) / turns);
    even.samples.push_back(std::move(signal.x));
    even.views.push_back({even.samples.back(), axis.rate, axis.unit});
  }
  return even;
}

}  // namespace bearingdsp
