#include "bearingdsp/evidence/other_causes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>
#include <utility>

#include "bearingdsp/dsp/impulsiveness.hpp"
#include "bearingdsp/dsp/statistics.hpp"
#include "core/mains.hpp"
#include "evidence/axis_spectrum.hpp"
#include "evidence/shaft_features.hpp"
#include "evidence/transforms.hpp"

namespace bearingdsp {
namespace {

using detail::AxisOrders;
using detail::AxisSpectrum;
using detail::LineLevel;
using detail::ShaftFeatures;
using detail::velocity_of;

constexpr double millimetres = 1e3;

double sigmoid(double score) { return 1 / (1 + std::exp(-score)); }

/// A clear line of the shaft's own: without one, others may be mains, gears or hum.
bool clear(const LineLevel& one, const CausesModel& m) {
  return one.prominence >= m.clear * m.detected;
}

/// ln(x / at) with x kept within [low, high], so that one measure cannot
/// outvote all others.
double log_ratio(double x, double at, double low, double high) {
  return std::log(std::clamp(x, low, high) / at);
}

/// A vibration well inside zone A is no trouble, whatever dominates it.
double ceiling(double velocity_rms, const CausesModel& m) {
  const double part = velocity_rms / m.zone_b;
  return part >= m.zone_free ? m.max_probability : m.zone_a_probability * part * part;
}

/// The axes that can be radial, strongest 1x share first; two at most.
std::vector<const AxisOrders*> radial(const ShaftFeatures& shaft) {
  std::vector<const AxisOrders*> out;
  for (const AxisOrders& axis : shaft.axes)
    if (!axis.axial && axis.acceleration > 0 && axis.velocity > 0) out.push_back(&axis);
  std::sort(out.begin(), out.end(), [](const AxisOrders* a, const AxisOrders* b) {
    return a->one.power / a->acceleration > b->one.power / b->acceleration;
  });
  if (out.size() > 2) out.resize(2);
  return out;
}

/// Unbalance turns with the shaft: 1x rules both radial directions, in velocity
/// and acceleration.
CauseEvidence unbalance(const ShaftFeatures& shaft, const ModelParameters& model) {
  const UnbalanceModel& m = model.unbalance;
  CauseEvidence out{.cause = OtherCause::unbalance};
  const auto axes = radial(shaft);
  if (axes.empty()) return out;
  double share = 1;
  double line = 0;
  double all = 0;
  double two = 0;
  double strongest = 0;
  for (const AxisOrders* axis : axes) {
    share *= std::sqrt(axis->one.power / axis->acceleration);
    line += velocity_of(axis->one);
    two += velocity_of(axis->two);
    all += axis->velocity;
    strongest = std::max(strongest, std::sqrt(velocity_of(axis->one)));
  }
  if (!(line > 0) || axes.front()->one.prominence < model.causes.detected) return out;
  if (axes.size() == 2) share = std::sqrt(share);
  // One direction alone may be a resonance: it has to rule more clearly.
  const double wanted = axes.size() == 2 ? m.share_two_axes : m.share_one_axis;
  const double rule = std::min(1.0, line / all);
  double purity = m.rule_weight * log_ratio(rule, m.rule_at, m.rule_least, m.rule_at);
  // A mass out of centre pulls across the shaft: as much along it is evidence for
  // something else.
  for (const AxisOrders& axis : shaft.axes)
    if (axis.axial && strongest > 0)
      purity -= m.axial_weight * log_ratio(std::sqrt(velocity_of(axis.one)) / strongest, m.axial_at,
                                           m.axial_at, m.axial_most);
  double score = m.share_weight * log_ratio(share, wanted, 0, 1) + purity;
  if (shaft.calibrated)
    score = std::max(score, m.level_weight * std::log(strongest / m.level_at) + purity);
  out.probability = sigmoid(score);
  if (shaft.calibrated)
    out.probability = std::min(out.probability, ceiling(strongest, model.causes));
  out.why = fmt::format(
      "1x carries {:.0f} % of the acceleration up to 50 orders{} "
      "and {:.0f} % of "
      "the velocity; 2x is {:.0f} % of 1x",
      100 * share, axes.size() == 2 ? " in two directions" : "", 100 * rule,
      100 * std::sqrt(two / line));
  if (shaft.calibrated) out.why += fmt::format("; 1x is {:.2g} mm/s rms", millimetres * strongest);
  return out;
}

/// Angular misalignment and a bent shaft push along the shaft: 1x and 2x strong
/// in one direction.
CauseEvidence pushing_along(const ShaftFeatures& shaft, const ModelParameters& model) {
  const MisalignmentModel& m = model.misalignment;
  CauseEvidence out{.cause = OtherCause::misalignment_or_bent_shaft};
  if (shaft.axes.size() < 2) return out;
  const auto named = std::find_if(shaft.axes.begin(), shaft.axes.end(),
                                  [](const AxisOrders& axis) { return axis.axial; });
  const bool known = named != shaft.axes.end();
  if (!known && shaft.axes.size() < 3) return out;
  const auto along = known ? named
                           : std::max_element(shaft.axes.begin(), shaft.axes.end(),
                                              [](const AxisOrders& a, const AxisOrders& b) {
                                                return velocity_of(a.one) < velocity_of(b.one);
                                              });
  double across = 0;
  for (auto axis = shaft.axes.begin(); axis != shaft.axes.end(); ++axis)
    if (axis != along) across += velocity_of(axis->one);
  across /= static_cast<double>(shaft.axes.size() - 1);
  const double one = velocity_of(along->one);
  const double two = velocity_of(along->two);
  if (!(across > 0) || !(one > 0) || !(along->velocity > 0) ||
      along->one.prominence < model.causes.detected)
    return out;
  const double ratio = std::sqrt(one / across);
  const double rule = std::min(1.0, (one + two) / along->velocity);
  const double second = std::sqrt(two / one);
  // Where the direction is known to be axial, more than half of the radial
  // level counts as high; where it is not, the direction has to exceed the others by
  // itself, and may still be something else.
  const double wanted = known ? m.along_known : m.along_guessed;
  const double score =
      m.bias + m.along_weight * log_ratio(ratio, wanted, m.along_least, m.along_most) +
      m.rule_weight * log_ratio(rule, m.rule_at, m.rule_least, 1) +
      m.second_weight * log_ratio(second, m.second_at, m.second_least, m.second_most);
  out.probability = std::min(sigmoid(score), known ? m.max_known : m.max_guessed);
  if (shaft.calibrated)
    out.probability = std::min(out.probability, ceiling(std::sqrt(one + two), model.causes));
  out.why = fmt::format(
      "1x in direction {} is {:.1f} times that across it and "
      "2x is {:.0f} % of 1x; "
      "together {:.0f} % of its velocity",
      along->name, ratio, 100 * second, 100 * rule);
  return out;
}

/// Parallel misalignment bends the shaft twice a turn: 2x and 3x rival 1x
/// across the shaft.
CauseEvidence twice_a_turn(const ShaftFeatures& shaft, const ModelParameters& model) {
  const MisalignmentModel& m = model.misalignment;
  CauseEvidence out{.cause = OtherCause::misalignment_or_bent_shaft};
  std::vector<double> shares;
  double one = 0;
  double two = 0;
  double strongest = 0;
  double prominence = 0;
  for (const AxisOrders& axis : shaft.axes) {
    if (axis.axial || !(axis.acceleration > 0)) continue;
    shares.push_back(std::sqrt((axis.two.power + axis.three.power) / axis.acceleration));
    one += velocity_of(axis.one);
    two += velocity_of(axis.two);
    strongest = std::max(strongest, std::sqrt(velocity_of(axis.two)));
    prominence = std::max(prominence, std::min(axis.one.prominence, axis.two.prominence));
  }
  if (shares.empty() || !(one > 0) || prominence < m.across_prominence * model.causes.detected)
    return out;
  std::sort(shares.rbegin(), shares.rend());
  const double share = shares.size() > 1 ? std::sqrt(shares[0] * shares[1]) : shares[0];
  const double wanted = shares.size() > 1 ? m.across_two_axes : m.across_one_axis;
  const double second = std::sqrt(two / one);
  const double rivalry =
      m.across_rivalry_weight * log_ratio(second, m.across_rivalry_at, m.across_rivalry_least, 1);
  double score =
      m.bias + m.across_share_weight * log_ratio(share, wanted, m.rule_least, 1) + rivalry;
  if (shaft.calibrated)
    score =
        std::max(score, m.level_bias + m.level_weight * std::log(strongest / m.level_at) + rivalry);
  out.probability = std::min(sigmoid(score), m.across_most);
  if (shaft.calibrated)
    out.probability = std::min(out.probability, ceiling(strongest, model.causes));
  out.why = fmt::format(
      "2x is {:.0f} % of 1x, and 2x with 3x carry {:.0f} % "
      "of the acceleration up to 50 orders",
      100 * second, 100 * share);
  if (shaft.calibrated) out.why += fmt::format("; 2x is {:.2g} mm/s rms", millimetres * strongest);
  return out;
}

CauseEvidence misalignment(const ShaftFeatures& shaft, const ModelParameters& model) {
  CauseEvidence along = pushing_along(shaft, model);
  CauseEvidence twice = twice_a_turn(shaft, model);
  return along.probability >= twice.probability ? along : twice;
}

/// A loose fit lets go every other turn: half orders stand between a long
/// series of whole ones.
CauseEvidence looseness(const ShaftFeatures& shaft, const ModelParameters& model) {
  const LoosenessModel& m = model.looseness;
  CauseEvidence out{.cause = OtherCause::looseness};
  for (const AxisOrders& axis : shaft.axes) {
    if (!(axis.velocity > 0) || !clear(axis.one, model.causes)) continue;
    const double halves = std::sqrt(axis.halves_velocity / axis.velocity);
    const double whole = std::sqrt(axis.whole_velocity / axis.velocity);
    const double strong = axis.halves_detected > 1
                              ? log_ratio(halves, m.halves_at, m.halves_least, m.halves_most)
                              : 0.0;
    const double score = m.bias + m.half_order * axis.halves_detected + strong +
                         m.whole_order * (axis.whole_detected - m.whole_usual) +
                         m.whole_weight * std::max(0.0, whole - m.whole_at);
    double probability = std::min(sigmoid(score), m.most);
    const double level = std::sqrt(axis.halves_velocity + axis.whole_velocity);
    if (shaft.calibrated) probability = std::min(probability, ceiling(level, model.causes));
    if (probability <= out.probability) continue;
    out.probability = probability;
    out.why = fmt::format(
        "direction {}: {} of 10 whole orders above 2x and {} of 6 half orders "
        "stand, with {:.0f} % and {:.0f} % of the velocity amplitude",
        axis.name, axis.whole_detected, axis.halves_detected, 100 * whole, 100 * halves);
  }
  return out;
}

/// A rub touches once in two or three turns and cuts the orbit off on one side.
CauseEvidence rubbing(const ShaftFeatures& shaft, const ModelParameters& model) {
  const RubbingModel& m = model.rubbing;
  CauseEvidence out{.cause = OtherCause::rubbing};
  for (const AxisOrders& axis : shaft.axes) {
    if (!(axis.velocity > 0) || !clear(axis.one, model.causes) ||
        axis.thirds_detected < m.min_thirds)
      continue;
    const double fractions =
        std::sqrt((axis.thirds_velocity + axis.halves_velocity) / axis.velocity);
    const double cut = std::min(std::abs(axis.skewness), 1.0);
    const double score = m.bias + m.third_order * axis.thirds_detected +
                         m.half_order * axis.halves_detected +
                         log_ratio(fractions, m.fractions_at, m.fractions_least, m.fractions_most) +
                         m.skewness * cut;
    double probability = std::min(sigmoid(score), m.most);
    if (shaft.calibrated)
      probability = std::min(
          probability,
          ceiling(std::sqrt(axis.thirds_velocity + axis.halves_velocity + velocity_of(axis.one)),
                  model.causes));
    if (probability <= out.probability) continue;
    out.probability = probability;
    out.why = fmt::format(
        "direction {}: {} third and {} half orders carry {:.0f} % of the "
        "velocity amplitude; skewness of the displacement {:.2f}",
        axis.name, axis.thirds_detected, axis.halves_detected, 100 * fractions, axis.skewness);
  }
  return out;
}

/// The stator is pulled twice per period of the mains, whatever the shaft does.
CauseEvidence twice_line(std::span<const AxisSpectrum> axes, const ShaftFeatures& shaft,
                         const OtherCauseOptions& options, const Basis& basis) {
  const ModelParameters& model = basis.model;
  const MainsModel& m = model.mains;
  CauseEvidence out{.cause = OtherCause::twice_line_frequency};
  for (const Hz supply : basis.mains)
    for (const AxisSpectrum& axis : axes) {
      const double f = 2 * supply.value();
      if (f < 8 * axis.spacing() || 1.5 * f > axis.nyquist()) continue;
      const LineLevel line = axis.line(f, m.search * f, m.floor * f);
      if (line.prominence < model.causes.detected) continue;
      // A shaft order too near to be distinguished explains the line just as well.
      if (shaft.shaft > 0) {
        const double order = std::max(1.0, std::round(line.frequency / shaft.shaft));
        const double apart = std::abs(line.frequency - order * shaft.shaft);
        if (apart < m.apart_lines * axis.spacing() + order * shaft.shaft * shaft.uncertainty)
          continue;
      }
      const double low = std::max(10.0, 2 * axis.spacing());
      const double share = velocity_of(line) / axis.velocity_power(low, 1000);
      const double level = std::sqrt(velocity_of(line));
      double probability = sigmoid(m.weight * log_ratio(share, m.at, 0, m.share_most));
      probability = std::min(probability, options.line_frequency ? m.max_known : m.max_guessed);
      if (axis.calibrated()) probability = std::min(probability, ceiling(level, model.causes));
      if (probability <= out.probability) continue;
      out.probability = probability;
      out.why = fmt::format(
          "a line at {:.2f} Hz, twice {:.0f} Hz and no shaft order, carries "
          "{:.0f} % of the velocity from 10 to 1000 Hz",
          line.frequency, supply.value(), 100 * share);
      if (axis.calibrated()) out.why += fmt::format("; {:.2g} mm/s rms", millimetres * level);
    }
  return out;
}

/// A broken bar passes a pole at slip frequency times the poles: sidebands of
/// that spacing stand on both sides of 1x.
CauseEvidence rotor_bars(std::span<const AxisSpectrum> axes, const ShaftFeatures& shaft,
                         const OtherCauseOptions& options, const ModelParameters& model) {
  const RotorBarsModel& m = model.rotor_bars;
  CauseEvidence out{.cause = OtherCause::rotor_bars};
  if (!options.line_frequency || !(shaft.shaft > 0)) return out;
  const double supply = options.line_frequency->value();
  const int pairs = options.pole_pairs.value_or(
      std::max(1, static_cast<int>(std::floor(supply / shaft.shaft + 0.01))));
  const double slip_rate = supply / pairs - shaft.shaft;
  const double pass = 2 * pairs * slip_rate;
  // Slip below 0 is no motor on the line; above 8 % no motor in order, or the
  // wrong poles.
  if (slip_rate <= 0 || slip_rate > m.max_slip * supply / pairs) return out;
  for (const AxisSpectrum& axis : axes) {
    // Both the line and its sideband are three bins wide at the foot.
    if (pass < m.apart_lines * axis.spacing() || pass > m.max_pass * shaft.shaft) continue;
    const LineLevel carrier =
        axis.line(shaft.shaft, 3 * shaft.uncertainty * shaft.shaft, 0.4 * shaft.shaft);
    if (!clear(carrier, model.causes)) continue;
    const double wide = std::max(1.5 * axis.spacing(), 2 * pairs * shaft.uncertainty * shaft.shaft);
    if (wide > pass / 3) continue;
    const LineLevel below = axis.line(carrier.frequency - pass, wide, 0.4 * shaft.shaft);
    const LineLevel above = axis.line(carrier.frequency + pass, wide, 0.4 * shaft.shaft);
    const double weaker = std::min(below.prominence, above.prominence);
    if (weaker < model.causes.detected) continue;
    const double depth = std::sqrt(std::min(below.power, above.power) / carrier.power);
    double probability = std::min(sigmoid(m.bias + m.weight * log_ratio(depth, m.at, m.least, 1)),
                                  options.pole_pairs ? m.max_known : m.max_guessed);
    if (axis.calibrated())
      probability =
          std::min(probability, m.level * ceiling(std::sqrt(velocity_of(carrier)), model.causes));
    if (probability <= out.probability) continue;
    out.probability = probability;
    out.why = fmt::format(
        "sidebands at {:.2f} Hz (slip times poles) on "
        "both sides of 1x, the "
        "weaker at {:.1f} % of it",
        pass, 100 * depth);
  }
  return out;
}

/// Second difference: what is left is the high-frequency part, at no cost.
double second_difference(std::span<const double> x, std::size_t i) {
  return x[i] - 2 * x[i + 1] + x[i + 2];
}

/// Fluting repeats a line at a ball-pass spacing through 1.5 to 6 kHz, without
/// the shocks of a spall. Vibration alone never proves it: the probability
/// stays low.
CauseEvidence erosion(std::span<const SignalView> views, std::span<const AxisSpectrum> axes,
                      const ShaftFeatures& shaft, const ErosionModel& m) {
  CauseEvidence out{.cause = OtherCause::electrical_erosion};
  if (!(shaft.shaft > 0)) return out;
  for (std::size_t i = 0; i < axes.size(); ++i) {
    const AxisSpectrum& axis = axes[i];
    const double low = m.low_hz;
    const double high = std::min(m.high_hz, 0.8 * axis.nyquist());
    const double cell = std::max(axis.spacing(), shaft.shaft / m.cells_per_order);
    const auto cells = static_cast<std::size_t>(std::max(0.0, (high - low) / cell));
    const auto lags = static_cast<std::size_t>(m.highest * shaft.shaft / cell);
    if (high < 2 * low || cells < 5 * lags) continue;
    std::vector<double> level(cells);
    for (std::size_t c = 0; c < cells; ++c) {
      // Cells overlap by half each way: a spacing is hardly ever a whole number
      // of cells.
      const double from = low + (static_cast<double>(c) - 0.5) * cell;
      level[c] = std::log(axis.acceleration_power(from, from + 2 * cell) + 1e-300);
    }
    const auto smooth = running_median(level, lags / 2 + 1);
    double power = 0;
    for (std::size_t c = 0; c < cells; ++c) {
      level[c] -= smooth[c];
      power += level[c] * level[c];
    }
    if (!(power > 0)) continue;
    const auto likeness = [&](std::size_t lag) {
      double sum = 0;
      for (std::size_t c = 0; c + lag < cells; ++c) sum += level[c] * level[c + lag];
      return sum / power * static_cast<double>(cells) / static_cast<double>(cells - lag);
    };
    double best = 0;
    double best_order = 0;
    const auto first = static_cast<std::size_t>(m.lowest * shaft.shaft / cell);
    for (std::size_t lag = first; lag < lags; ++lag) {
      const double order = static_cast<double>(lag) * cell / shaft.shaft;
      // Whole orders are gear or blade combs.
      if (std::abs(order - std::round(order)) < m.whole_apart) continue;
      const double here = likeness(lag);
      if (here <= best) continue;
      const double twice =
          std::max({likeness(2 * lag - 1), likeness(2 * lag), likeness(2 * lag + 1)});
      if (twice < m.twice_share * here) continue;
      best = here;
      best_order = order;
    }
    if (best < m.least) continue;
    const double shocks = impulsiveness(views[i].x);
    if (shocks > m.max_shocks) continue;
    const double probability = std::min(m.most, m.weight * (best - m.from));
    if (probability <= out.probability) continue;
    out.probability = probability;
    out.why = fmt::format(
        "lines {:.2f} orders apart repeat from 1.5 to {:.1f} kHz (likeness "
        "{:.2f}) without shocks (kurtosis {:.1f}): look at the races and the "
        "shaft voltage",
        best_order, high / 1000, best, shocks);
  }
  return out;
}

/// A starved contact hisses: much high-frequency acceleration without rhythm or
/// big shocks. Only a calibrated sensor can say "much".
CauseEvidence lubrication(std::span<const SignalView> views, std::span<const AxisSpectrum> axes,
                          const ShaftFeatures& shaft, const ModelParameters& model,
                          FftPlans& plans) {
  const LubricationModel& m = model.lubrication;
  CauseEvidence out{.cause = OtherCause::poor_lubrication};
  for (std::size_t i = 0; i < axes.size(); ++i) {
    const AxisSpectrum& axis = axes[i];
    if (!axis.calibrated() || axis.nyquist() < m.min_reach_hz) continue;
    const double hiss = std::sqrt(axis.acceleration_power(m.low_hz, axis.nyquist()));
    if (hiss < m.min_hiss) continue;
    const double shocks = impulsiveness(views[i].x);
    // Energy in blocks of about 1/40 turn, or 1 ms: a rhythm shows as a line in
    // its spectrum.
    const double block_rate = shaft.shaft > 0 ? m.blocks_per_revolution * shaft.shaft : 1000;
    const double in_block = std::max(1.0, axis.rate() / block_rate);
    // Compared before it becomes a whole number: a rate may be given that no such number holds.
    if (!(static_cast<double>(views[i].x.size()) - 2 >= 512 * in_block)) continue;
    const auto block = static_cast<std::size_t>(in_block);
    const std::size_t blocks = (views[i].x.size() - 2) / block;
    std::vector<double> energy(blocks);
    for (std::size_t b = 0; b < blocks; ++b)
      for (std::size_t k = 0; k < block; ++k) {
        const double fast = second_difference(views[i].x, b * block + k);
        energy[b] += fast * fast;
      }
    const AxisSpectrum rhythm{
        SignalView{energy, Hz{axis.rate() / static_cast<double>(block)}, SampleUnit::uncalibrated},
        "energy",
        {},
        plans};
    const double top = 0.9 * rhythm.nyquist();
    double loudest = 0;
    const double step = std::max(8 * rhythm.spacing(), top / 60);
    for (double f = step; f < top; f += step)
      loudest = std::max(loudest, rhythm.line(f, step / 2, 4 * step).prominence);
    if (loudest > model.causes.detected || shocks > m.max_shocks) continue;
    const double probability = std::min(m.most, sigmoid(m.weight * std::log(hiss / m.at)));
    if (probability <= out.probability) continue;
    out.probability = probability;
    out.why = fmt::format(
        "{:.2g} m/s2 rms above 2 kHz without rhythm (kurtosis {:.1f}): compare "
        "with an earlier record, or with one after greasing",
        hiss, shocks);
  }
  return out;
}

}  // namespace

std::vector<CauseEvidence> other_causes(std::span<const SignalView> axes,
                                        std::span<const std::string> axis_names,
                                        const ShaftSpeed& speed, const OtherCauseOptions& options,
                                        FftPlans& plans, const ModelParameters& model) {
  return detail::other_causes(axes, {}, axis_names, speed, options, plans, model);
}

std::vector<CauseEvidence> detail::other_causes(
    std::span<const SignalView> axes,
    const std::vector<std::span<const std::complex<double>>>& known,
    std::span<const std::string> axis_names, const ShaftSpeed& speed,
    const OtherCauseOptions& options, FftPlans& plans, const ModelParameters& model) {
  const CausesModel& m = model.causes;
  if (axes.size() != axis_names.size())
    throw std::invalid_argument{"other_causes: one name per axis is needed"};
  std::vector<AxisSpectrum> spectra;
  std::vector<SignalView> used;
  for (std::size_t i = 0; i < axes.size(); ++i) {
    if (axes[i].rate != axes[0].rate)
      throw std::invalid_argument{"other_causes: axes of different rates"};
    AxisSpectrum spectrum{axes[i], axis_names[i],
                          known.empty() ? std::span<const std::complex<double>>{} : known[i],
                          plans};
    if (!spectrum.usable()) continue;
    spectra.push_back(std::move(spectrum));
    used.push_back(axes[i]);
  }
  std::vector<CauseEvidence> out;
  if (spectra.empty()) return out;
  const Basis basis = basis_on(options.line_frequency, model);
  const ShaftFeatures shaft = detail::shaft_features(spectra, speed, basis, plans);
  if (shaft.shaft > 0) {
    out.push_back(unbalance(shaft, model));
    out.push_back(misalignment(shaft, model));
    out.push_back(looseness(shaft, model));
    out.push_back(rubbing(shaft, model));
    out.push_back(rotor_bars(spectra, shaft, options, model));
    out.push_back(erosion(used, spectra, shaft, model.erosion));
  }
  out.push_back(twice_line(spectra, shaft, options, basis));
  out.push_back(lubrication(used, spectra, shaft, model, plans));

  // A speed that may be wrong makes shaft orders of other lines. One that was
  // given, not found in this recording, is borne out by a line where it says.
  double trust = std::clamp(speed.confidence, 0.0, 1.0);
  const bool speed_given = speed.method == SpeedMethod::given ||
                           speed.method == SpeedMethod::given_refined ||
                           speed.method == SpeedMethod::tacho;
  for (const AxisOrders& axis : shaft.axes)
    if (speed_given && axis.one.prominence > m.clear * m.detected)
      trust = std::max(trust, m.given_trust);
  for (CauseEvidence& cause : out) {
    const bool electrical = cause.cause == OtherCause::twice_line_frequency ||
                            cause.cause == OtherCause::poor_lubrication;
    if (!electrical) cause.probability *= trust;
    cause.probability = std::min(cause.probability, m.max_probability);
  }
  std::erase_if(out, [&](const CauseEvidence& cause) {
    return !(cause.probability >= options.min_probability);
  });
  std::stable_sort(out.begin(), out.end(), [](const CauseEvidence& a, const CauseEvidence& b) {
    return a.probability > b.probability;
  });
  return out;
}

std::string_view token(OtherCause cause) noexcept {
  switch (cause) {
    case OtherCause::unbalance:
      return "unbalance";
    case OtherCause::misalignment_or_bent_shaft:
      return "misalignment or bent shaft";
    case OtherCause::looseness:
      return "looseness";
    case OtherCause::rubbing:
      return "rubbing";
    case OtherCause::twice_line_frequency:
      return "twice line frequency";
    case OtherCause::rotor_bars:
      return "rotor bars";
    case OtherCause::electrical_erosion:
      return "electrical erosion";
    case OtherCause::poor_lubrication:
      return "poor lubrication";
  }
  return "unbalance";
}

}  // namespace bearingdsp
