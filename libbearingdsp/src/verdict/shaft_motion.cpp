#include "verdict/shaft_motion.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/dsp/analytic.hpp"
#include "bearingdsp/spectra/envelope_spectrum.hpp"
#include "bearingdsp/speed/order_tracking.hpp"
#include "bearingdsp/speed/tacho.hpp"
#include "core/mains.hpp"
#include "speed/transforms.hpp"
#include "verdict/steadiness.hpp"
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
    for (const auto& channel : capture.channels) add_part(names, channel.name);
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

/// A comb of the shaft's own is sharp only where it turned evenly.
bool is_steady(const ShaftSpeed& speed) {
  return speed.method == SpeedMethod::harmonic_comb || speed.method == SpeedMethod::given_refined;
}

/// A steady comb of 1x was found at another rate. Slip lets a bearing's impacts drift like the
/// harmonics of a shaft that does not run evenly, and a comb that drifts is easily found among
/// them; a shaft with sharp lines runs evenly.
bool contradicts(const ShaftSpeed& steady, Hz followed, const MotionModel& model) {
  return is_steady(steady) && std::abs(followed / steady.rate - 1) > model.other_rate;
}

bool believed(const SpeedEstimate& before, const SpeedEstimate& after, const MotionModel& model) {
  return best_score(after) >= best_score(before) + model.min_gain &&
         after.candidates.front().vibration_lines >= model.min_lines;
}

/// How the shaft may have turned: round the given speed, or within the interval.
SpeedInterval possible_rates(const DiagnoseOptions& options) {
  SpeedInterval rates;
  if (options.speed) {
    const Hz rate = shaft_rate(*options.speed);
    const double change = options.model.motion.max_change;
    return {(1 - change) * rate, (1 + change) * rate};
  }
  if (options.speed_low) rates.low = shaft_rate(*options.speed_low);
  if (options.speed_high) rates.high = shaft_rate(*options.speed_high);
  return rates;
}

speed_detail::Transforms transforms_of(std::span<const RecordSpectrum> spectra) {
  speed_detail::Transforms out;
  for (const RecordSpectrum& spectrum : spectra) out.emplace_back(spectrum.bins);
  return out;
}

/// A path of the speed through the recording, where the lines would smear without it.
std::optional<FollowedPath> follow(std::span<const SignalView> axes,
                                   std::span<const RecordSpectrum> spectra,
                                   const DiagnoseOptions& options, bool steady, FftPlans& plans) {
  const MotionModel& m = options.model.motion;
  TrackOptions wanted;
  wanted.check_evened = false;
  wanted.max_order = m.max_order;
  wanted.search = possible_rates(options);
  wanted.max_drift = steady ? 0 : m.max_drift;
  // A speed may be given that no number holds.
  if (!(wanted.search.low.value() > 0) || !(wanted.search.high > wanted.search.low))
    return std::nullopt;
  auto track = speed_detail::track_from_vibration(axes, transforms_of(spectra), plans, wanted,
                                                  options.model);
  if (!track || !smears(*track, m)) return std::nullopt;
  FollowedPath path{std::move(*track), Hz{0}, std::nullopt, false};
  const Seconds duration = duration_of(axes[0]);
  path.mean = Hz{path.track.revolutions_until(duration) / duration.value()};
  if (path.track.worthwhile)
    path.even_lines = speed_lines(evened(axes, path.track).views, plans, options.model);
  if (path.track.tracked_variation > m.unsteady)
    path.steady =
        steady_harmonic(spectra, path.mean, basis_on(options.line_frequency, options.model));
  return path;
}

/// Squared envelopes of the flattened axes, limited softly so that no single shock owns them.
struct ImpactAxes {
  std::vector<std::vector<double>> samples;
  std::vector<SignalView> views;
};

ImpactAxes impact_axes(std::span<const RecordSpectrum> axes, Hz up_to, const ModelParameters& model,
                       FftPlans& plans) {
  ImpactAxes out;
  for (const RecordSpectrum& axis : axes) {
    const RecordSpectrum flat = flattened(axis, Hz{model.record.flatten_hz});
    const auto lines = static_cast<std::size_t>(up_to / flat.line_spacing()) + 1;
    auto e = squared_envelope(flat.bins, flat.n, 1, flat.n / 2, plans,
                              {.alias_free_lines = lines, .edge_lines = 0});
    double mean = 0;
    for (const double v : e) mean += v / static_cast<double>(e.size());
    const double limit = model.lines.soft_limit * mean;
    if (limit > 0)
      for (double& v : e) v = v / (1 + v / limit);
    out.samples.push_back(std::move(e));
    const double rate = static_cast<double>(out.samples.back().size()) * axis.rate.value() /
                        static_cast<double>(flat.n);
    out.views.push_back({out.samples.back(), Hz{rate}, SampleUnit::uncalibrated});
  }
  return out;
}

/// The path of whatever strikes, where no path of the shaft is found: impacts of a ring or an
/// element keep a fixed ratio to the shaft's rate, so that evening on them evens the shaft.
std::optional<FollowedPath> follow_impacts(std::span<const SignalView> axes,
                                           std::span<const RecordSpectrum> spectra,
                                           const DiagnoseOptions& options, FftPlans& plans) {
  const MotionModel& m = options.model.motion;
  const SpeedInterval rates = possible_rates(options);
  if (!(rates.low.value() > 0) || !(rates.high > rates.low)) return std::nullopt;
  TrackOptions wanted;
  wanted.check_evened = false;
  wanted.max_drift = m.max_drift;
  wanted.window = Seconds{m.impact_window};
  wanted.search = {m.min_impacts * rates.low,
                   std::min(m.max_impacts * rates.high, Hz{0.05 * axes[0].rate.value()})};
  if (!(wanted.search.high > wanted.search.low)) return std::nullopt;
  const ImpactAxes impacts = impact_axes(
      spectra, (options.model.track.harmonics + 1.0) * wanted.search.high, options.model, plans);
  auto track = track_from_vibration(impacts.views, plans, wanted, options.model);
  // Slip lets the impacts of a steady shaft wander by a per cent: to follow that would make a
  // series of whatever was followed.
  if (!track || track->tracked_variation < m.unsteady) return std::nullopt;
  FollowedPath path{std::move(*track), Hz{0}, std::nullopt, false};
  path.even_lines = speed_lines(evened(axes, path.track).views, plans, options.model);
  return path;
}

/// Where no speed is given, impacts of a bearing can be followed as a shaft's harmonics are: is the
/// path's comb the likeliest shaft on the evened record?
bool likeliest(const FollowedPath& path, const DiagnoseOptions& options,
               const std::optional<DefectOrders>& orders) {
  if (options.speed) return true;
  const SpeedEstimate blind =
      estimate_speed(*path.even_lines, speed_options(options, orders), options.model);
  return !blind.candidates.empty() &&
         std::abs(blind.candidates.front().rate / path.mean - 1) < options.model.motion.near_mean;
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
    if (believed(motion.speed, after, m) && likeliest(path, options, orders)) {
      findings.push_back({FindingKind::speed_varies, Weight::note, "", change,
                          "envelopes are read at even steps of the shaft's angle", ""});
      ShaftSpeed speed = after.best;
      speed.method = SpeedMethod::followed;
      speed.rate = after.candidates.front().rate;
      speed.relative_uncertainty = after.candidates.front().relative_uncertainty;
      speed.relative_variation = track.tracked_variation;
      speed.why =
          fmt::format("followed through the recording on {}; then {}", track.source, after.why);
      motion.speed = {.best = speed,
                      .disagrees_with_given = false,
                      .candidates = {after.candidates.front()},
                      .why = speed.why};
      motion.track = track;
      return;
    }
  }
  if (best_score(motion.speed) < m.min_gain && track.tracked_variation > m.unsteady && !path.steady)
    findings.push_back({FindingKind::speed_varies, Weight::caution, "",
                        change + " and could not be followed",
                        "lines of the bearing smear: damage cannot be ruled out",
                        "Record again at a steady speed, or with a tacho channel."});
}

/// The motion that evens the impacts. What the shaft's rate is, the evened record has to show, or
/// the user to say.
void take_impacts(ShaftMotion& motion, const FollowedPath& path, const DiagnoseOptions& options,
                  const std::optional<DefectOrders>& orders, Findings& findings) {
  const SpeedEstimate even =
      estimate_speed(*path.even_lines, speed_options(options, orders), options.model);
  if (!even.best.found()) return;
  findings.push_back(
      {FindingKind::speed_varies, Weight::note, "",
       fmt::format("the rate of the impacts changed by about {:.1f} % within the recording",
                   100 * path.track.tracked_variation),
       "the shaft is taken to have changed alike; envelopes are read at even steps of its angle",
       ""});
  motion.speed = even;
  motion.speed.best.relative_variation = path.track.tracked_variation;
  motion.speed.best.why = fmt::format("followed on the impacts; then {}", even.best.why);
  motion.speed.why = motion.speed.best.why;
  motion.track = path.track;
  // Impacts are as many times a revolution as the speed says.
  const double turns = even.best.rate.value() / path.track.mean_rate().value();
  for (double& r : motion.track->revolutions) r *= turns;
  motion.track->source = "rate of the impacts";
  motion.by_impacts = true;
}

/// Most motors are made with up to 12 poles: common practice, no source
constexpr int max_pole_pairs = 6;

/// Whether an induction or synchronous motor on that mains may turn at the rate.
bool motor_speed(const ShaftSpeed& speed, Hz mains, double max_slip) {
  const double spread = 3 * speed.relative_uncertainty;
  for (int pairs = 1; pairs <= max_pole_pairs; ++pairs) {
    const SpeedInterval at = induction_motor_interval(mains, pairs, max_slip);
    if (speed.rate >= (1 - spread) * at.low && speed.rate <= (1 + spread) * at.high) return true;
  }
  return false;
}

/// Might the comb that was taken for the shaft's be that of the frequency that feeds the motor? A
/// converter's output has harmonics as steady as a shaft's, and no known frequency. An induction
/// motor's shaft turns below it, by its pole pairs and slip: of two such combs the lower one is the
/// shaft's. Where there is but one, it is the supply's if that would drive the motor at a possible
/// speed.
bool may_be_the_supplys(const SpeedEstimate& estimate, const DiagnoseOptions& options) {
  const SpeedMethod method = estimate.best.method;
  if ((method != SpeedMethod::harmonic_comb && method != SpeedMethod::followed) ||
      estimate.candidates.empty() || estimate.candidates.front().supply_score > 0)
    return false;
  const SpeedInterval possible = possible_rates(options);
  const int first = options.pole_pairs.value_or(1);
  const int last = options.pole_pairs.value_or(max_pole_pairs);
  for (int pairs = first; pairs <= last; ++pairs) {
    const SpeedInterval driven =
        induction_motor_interval(estimate.best.rate, pairs, options.model.rotor_bars.max_slip);
    if (driven.high >= possible.low && driven.low <= possible.high) return true;
  }
  return false;
}

/// A speed that only the recording gives, and that no motor on the mains has, may be a defect
/// frequency taken for the shaft's; on a converter it may be the supply's.
void question_the_speed_found(ShaftMotion& motion, const DiagnoseOptions& options,
                              Findings& findings) {
  const ShaftSpeed& speed = motion.speed.best;
  if (!speed.found() || options.speed) return;
  const Basis basis = basis_on(options.line_frequency, options.model);
  const bool off_mains = !options.on_converter && !options.speed_low && !options.speed_high &&
                         std::none_of(basis.mains.begin(), basis.mains.end(), [&](Hz f) {
                           return motor_speed(speed, f, basis.model.rotor_bars.max_slip);
                         });
  motion.may_be_supplys =
      (options.on_converter || off_mains) && may_be_the_supplys(motion.speed, options);
  if (!off_mains && !motion.may_be_supplys) return;
  findings.push_back(
      {FindingKind::speed_implausible, Weight::caution, "",
       off_mains ? fmt::format("no motor on {} mains runs at the speed found, {:.0f} rpm",
                               options.line_frequency
                                   ? fmt::format("{:.0f} Hz", options.line_frequency->value())
                                   : std::string{"50 or 60 Hz"},
                               shaft_speed(speed.rate).value())
                 : fmt::format("the lines at multiples of {:.2f} Hz are the shaft's or those of "
                               "the converter's output, and no other lines show which",
                               speed.rate.value()),
       std::string{off_mains ? "without a converter" : "if they are the output's"} +
           " the speed is wrong, and every defect frequency with it",
       "give the speed"});
}

}  // namespace

MotionEvidence motion_evidence(const Capture& capture, std::span<const SignalView> axes,
                               const DiagnoseOptions& options, FftPlans& plans,
                               Findings& findings) {
  MotionEvidence evidence;
  evidence.tacho = from_tacho(capture, axes, options, plans, findings);
  if (evidence.tacho) return evidence;
  const std::vector<RecordSpectrum> spectra = record_spectra(axes, plans);
  evidence.lines = speed_detail::speed_lines(axes, transforms_of(spectra), plans, options.model);
  Findings unused;
  const ShaftSpeed speed =
      from_vibration(evidence.lines, speed_options(options, std::nullopt), options.model, unused)
          .best;
  // Where one line shows that the speed was steady to 3 %, no larger change is looked for: the
  // searches for one are what a diagnosis costs most.
  const bool steady =
      is_steady(speed) ||
      (speed.found() &&
       steady_harmonic(spectra, speed.rate, basis_on(options.line_frequency, options.model)));
  evidence.followed = follow(axes, spectra, options, steady, plans);
  const ShaftMotion shaft = find_motion(evidence, options, std::nullopt, unused);
  if (!shaft.track && !steady && !is_steady(shaft.speed.best))
    evidence.impacts = follow_impacts(axes, spectra, options, plans);
  return evidence;
}

ShaftMotion find_motion(const MotionEvidence& evidence, const DiagnoseOptions& options,
                        const std::optional<DefectOrders>& orders, Findings& findings) {
  if (evidence.tacho) return *evidence.tacho;
  ShaftMotion motion{
      from_vibration(evidence.lines, speed_options(options, orders), options.model, findings),
      std::nullopt};
  if (evidence.followed) take_path(motion, *evidence.followed, options, orders, findings);
  if (evidence.impacts && !motion.track)
    take_impacts(motion, *evidence.impacts, options, orders, findings);
  question_the_speed_found(motion, options, findings);
  return motion;
}

std::optional<Finding> motion_in_doubt(const ShaftMotion& motion,
                                       std::span<const RecordSpectrum> axes, const Basis& basis,
                                       FftPlans& plans) {
  const ShaftSpeed& speed = motion.speed.best;
  // A path of impacts that leads to no series may be a path of anything.
  if ((!motion.by_impacts && (motion.track || is_steady(speed))) ||
      speed.method == SpeedMethod::tacho)
    return std::nullopt;
  if (steady_harmonic(axes, speed.rate, basis)) return std::nullopt;
  const ModelParameters& model = basis.model;
  const MotionModel& m = model.motion;
  double left = 0;
  for (const RecordSpectrum& axis : axes)
    left = std::max(left, impulsiveness_left(axis, speed.rate, basis, plans));
  const Hz up_to = (1 + 1.5 * m.hump_widest) * m.max_impacts * speed.rate;
  const ImpactAxes envelopes = impact_axes(axes, up_to, model, plans);
  // Impacts that overlap leave hardly any kurtosis, but their rate leaves a hump.
  const bool hump =
      left < m.impulsive && smeared_impacts(envelopes.views, speed.rate, model, plans) >= m.hump;
  if ((left < m.impulsive && !hump) || steady_harmonic(envelopes.views, speed.rate, basis, plans))
    return std::nullopt;
  return Finding{FindingKind::speed_varies,
                 Weight::caution,
                 "",
                 fmt::format("there are impacts ({}), and no line of the shaft shows that its "
                             "speed was steady",
                             hump ? std::string{"a hump in the envelope spectrum, as of a rate "
                                                "that changes"}
                                  : fmt::format("kurtosis {:.1f} without those of the supply and "
                                                "single knocks",
                                                left)),
                 "impacts at a changing rate leave no lines: damage cannot be ruled out",
                 "Record again at a steady speed, or with a tacho channel."};
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
