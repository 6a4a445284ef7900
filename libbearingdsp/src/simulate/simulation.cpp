#include "bearingdsp/simulate/simulation.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <limits>
#include <numbers>
#include <span>

#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/simulate/random.hpp"
#include "simulate/check.hpp"
#include "simulate/motion.hpp"
#include "simulate/path.hpp"
#include "simulate/streams.hpp"

namespace bearingdsp {
namespace simulation {
namespace {

constexpr double turn = 2 * std::numbers::pi;

double whole_turns(double turns) { return turn * (turns - std::floor(turns)); }

/// Share of the load at this angle from its direction: ball contact over half the circumference.
/// Source: load distribution after Stribeck with zero clearance, q = cos^1.5 [randall2011]
double load(double turns) {
  const double c = std::cos(whole_turns(turns));
  return c > 0 ? c * std::sqrt(c) : 0;
}

// ------------------------------------------------------------------------------------- defects

/// A rolling element strikes the inner ring at every other blow, farther from the sensor.
constexpr double inner_ring_path = 0.7;
/// A rough defect's noise has this fraction of the severity as rms where it swells most, so that
/// three standard deviations reach the peak that a sharp defect would have.
constexpr double rough_rms = 1.0 / 3;

/// Passages of one defect: shaft angles whose increments have a random part (they do not fall back
/// into step, so the lines broaden towards high harmonics), with strengths.
struct Passages {
  std::vector<Blow> blows;      ///< strength without severity
  std::vector<double> spacing;  ///< samples to the next passage
};

double passage_order(Part part, const DefectOrders& orders) {
  return part == Part::rolling_element ? 2 * orders.bsf.value() : orders.of(part).value();
}

Passages passages(const SimulatedDefect& d, const DefectOrders& orders, const Motion& motion,
                  Random& random) {
  Passages p;
  const double interval = 1 / passage_order(d.part, orders);
  const double place = random.uniform();  // of the defect in the ring, or of the element
  const double cage_place = random.uniform();
  double at = motion.turns().front() + interval * random.uniform();
  std::size_t hint = 0;
  for (std::size_t i = 0;; ++i) {
    const double index = motion.index_of(at, hint);
    if (index < 0) break;
    double strength = 1;
    const double cage = orders.ftf.value() * at;
    if (d.part == Part::inner_ring) strength = 1 - d.load_zone + d.load_zone * load(at + place);
    if (d.part == Part::rolling_element) {
      strength = 1 - d.load_zone + d.load_zone * load(cage + place);
      if (i % 2 == 1) strength *= inner_ring_path;
    }
    if (d.cage_modulation > 0)
      strength *= (1 + d.cage_modulation * std::cos(whole_turns(cage + cage_place))) /
                  (1 + d.cage_modulation);
    const double scatter = random.normal();
    strength *= std::max(0.0, 1 + d.amplitude_scatter * scatter);
    const double growth = 1 + d.growth * index / static_cast<double>(motion.size());
    p.blows.push_back({index, strength * growth});
    constexpr double shortest = 0.2;
    at += interval * std::max(shortest, 1 + d.slip * random.normal());
  }
  for (std::size_t i = 0; i + 1 < p.blows.size(); ++i)
    p.spacing.push_back(p.blows[i + 1].index - p.blows[i].index);
  p.spacing.push_back(p.spacing.empty() ? static_cast<double>(motion.size()) : p.spacing.back());
  return p;
}

/// Adds the random noise that swells at each passage.
void add_rough(const SimulatedDefect& d, const Passages& p, const Path& path, Random& random,
               std::span<double> out) {
  std::vector<double> swell(out.size(), 0.0);
  const double last = static_cast<double>(out.size()) - 1;
  for (std::size_t i = 0; i < p.blows.size(); ++i) {
    const double half = 0.5 * d.spall_length * p.spacing[i];
    const double from = std::max(0.0, std::ceil(p.blows[i].index - half));
    const double to = std::min(last, std::floor(p.blows[i].index + half));
    for (double k = from; k <= to; ++k) {
      const double c = std::cos(0.5 * std::numbers::pi * (k - p.blows[i].index) / half);
      swell[static_cast<std::size_t>(k)] += p.blows[i].strength * c * c;
    }
  }
  const double scale = d.severity * d.roughness * rough_rms;
  for (double& s : swell) s *= scale * random.normal();
  path.excite(swell, out);
}

void add_defect(const SimulatedDefect& d, const DefectOrders& orders, const Motion& motion,
                const Path& path, Random random, std::span<double> out, std::vector<double>& times,
                double rate) {
  const Passages p = passages(d, orders, motion, random);
  for (const auto& b : p.blows) times.push_back(b.index / rate);
  if (d.roughness < 1) {
    std::vector<Blow> blows = p.blows;
    for (auto& b : blows) b.strength *= d.severity * (1 - d.roughness);
    path.ring(blows, out);
  }
  if (d.roughness > 0) add_rough(d, p, path, random, out);
}

// --------------------------------------------------------------------------------------- noise

/// Gives white noise a power spectrum that falls as 1/f^colour above 1 Hz, mean square kept.
void colour(std::vector<double>& x, double rate, double exponent) {
  const std::size_t n = x.size();
  const std::size_t padded = good_fft_size(n);
  const RealFft fft{padded};
  std::vector<double> y(padded, 0.0);
  std::copy(x.begin(), x.end(), y.begin());
  std::vector<std::complex<double>> spectrum(fft.bins());
  fft.forward(y, spectrum);
  double power = 0;
  for (std::size_t k = 0; k < spectrum.size(); ++k) {
    const double f = static_cast<double>(k) * rate / static_cast<double>(padded);
    const double gain = k == 0 ? 0.0 : std::pow(std::max(f, 1.0), -0.5 * exponent);
    spectrum[k] *= gain;
    const bool alone = k == 0 || 2 * k == padded;
    power += (alone ? 1 : 2) * gain * gain;
  }
  fft.inverse(spectrum, y);
  const double scale = power > 0 ? 1 / std::sqrt(power * static_cast<double>(padded)) : 0.0;
  for (std::size_t i = 0; i < n; ++i) x[i] = scale * y[i];
}

void add_noise(const SimulationPlan& p, const Motion& motion, const Path& path,
               std::span<double> out) {
  std::vector<double> sum(out.size(), 0.0);
  if (p.noise > 0) {
    Random random{p.seed, stream::white_noise};
    for (double& v : sum) v = random.normal();
    if (p.noise_colour != 0) colour(sum, p.rate.value(), p.noise_colour);
    for (double& v : sum) v *= p.noise;
  }
  if (p.resonant_noise > 0) {
    Random random{p.seed, stream::resonant_noise};
    std::vector<double> white(out.size());
    for (double& v : white) v = p.resonant_noise * random.normal();
    path.excite(white, sum);
  }
  const double m = p.shaft_modulation;
  const double keep = 1 / std::sqrt(1 + 0.5 * m * m);
  for (std::size_t i = 0; i < out.size(); ++i)
    out[i] += m > 0 ? sum[i] * keep * (1 + m * std::cos(whole_turns(motion.turns()[i]))) : sum[i];
}

// --------------------------------------------------------------------------------------- lines

/// amplitude x (1 + depth cos(shaft)) x cos(order x shaft + phase)
void add_order(double order, double amplitude, double phase, double depth, const Motion& motion,
               std::span<double> out) {
  for (std::size_t i = 0; i < out.size(); ++i) {
    const double a = motion.turns()[i];
    const double swell = depth > 0 ? 1 + depth * std::cos(whole_turns(a)) : 1.0;
    out[i] += amplitude * swell * std::cos(whole_turns(order * a) + phase);
  }
}

void add_frequency(double hz, double amplitude, double phase, double rate, std::span<double> out) {
  for (std::size_t i = 0; i < out.size(); ++i)
    out[i] += amplitude * std::cos(whole_turns(hz * static_cast<double>(i) / rate) + phase);
}

void add_lines(const SimulationPlan& p, const std::optional<DefectOrders>& orders,
               const Motion& motion, std::span<double> out) {
  Random random{p.seed, stream::lines};
  for (std::size_t i = 0; i < p.shaft_harmonics.size(); ++i) {
    double phase = turn * random.uniform();
    if (i < p.shaft_phases.size()) phase = p.shaft_phases[i] * std::numbers::pi / 180;
    if (p.shaft_harmonics[i] > 0)
      add_order(static_cast<double>(i + 1), p.shaft_harmonics[i], phase, 0, motion, out);
  }
  const double compliance_phase = turn * random.uniform();
  if (p.variable_compliance > 0)
    add_order(orders->bpfo.value(), p.variable_compliance, compliance_phase, 0, motion, out);
  for (const auto& [order, amplitude] : p.gear_lines)
    add_order(order.value(), amplitude, turn * random.uniform(), p.gear_modulation, motion, out);
  for (const auto& [hz, amplitude] : p.fixed_lines)
    add_frequency(hz.value(), amplitude, turn * random.uniform(), p.rate.value(), out);
}

/// A pulse as short as the recorder's band lets through: a windowed sinc, largest value 1.
void add_pulse(double index, double peak, std::span<double> out) {
  constexpr double reach = 8;
  constexpr double band = 0.9;  // of half the rate
  const double from = std::max(0.0, std::ceil(index - reach));
  const double to = std::min(static_cast<double>(out.size()) - 1, std::floor(index + reach));
  for (double k = from; k <= to; ++k) {
    const double u = k - index;
    const double v = std::numbers::pi * band * u;
    const double sinc = std::abs(v) < 1e-9 ? 1.0 : std::sin(v) / v;
    out[static_cast<std::size_t>(k)] +=
        peak * sinc * 0.5 * (1 + std::cos(std::numbers::pi * u / reach));
  }
}

void add_mains(const SimulationPlan& p, std::span<double> out) {
  Random random{p.seed, stream::mains};
  for (int k = 1; k <= 3; ++k) {
    const double phase = turn * random.uniform();
    if (p.mains_hum > 0)
      add_frequency(k * p.mains.value(), p.mains_hum * std::pow(0.5, k - 1), phase, p.rate.value(),
                    out);
  }
  if (p.electrical_impulses > 0) {
    const double spacing = p.rate.value() / (2 * p.mains.value());
    const auto last = static_cast<double>(out.size());
    for (double at = spacing * random.uniform(); at < last; at += spacing)
      add_pulse(at, p.electrical_impulses, out);
  }
}

void add_shocks(const SimulationPlan& p, const Path& path, std::span<double> out) {
  if (!(p.shocks_per_second > 0 && p.shock_peak > 0)) return;
  Random random{p.seed, stream::shocks};
  std::vector<Blow> blows;
  const double mean_gap = p.rate.value() / p.shocks_per_second;
  const auto last = static_cast<double>(out.size());
  for (double at = mean_gap * random.exponential(); at < last;
       at += mean_gap * random.exponential()) {
    const double strength = p.shock_peak * (0.5 + 0.5 * random.uniform());
    blows.push_back({at, random.uniform() < 0.5 ? -strength : strength});
  }
  path.ring(blows, out);
}

// ------------------------------------------------------------------------------------ recorder

/// 1 over the first tenth of each interval between pulses, edges at their sub-sample place.
std::vector<double> tacho(const Motion& motion, int pulses) {
  std::vector<double> y(motion.size());
  constexpr double width = 0.1;
  for (std::size_t i = 0; i < y.size(); ++i) {
    const double at = motion.turns()[i] * pulses;
    const std::size_t j = i + 1 < y.size() ? i + 1 : i;
    const double per_sample = j > 0 ? (motion.turns()[j] - motion.turns()[j - 1]) * pulses : width;
    const double phase = at - std::floor(at);
    // Mean of the pulse over one sample before this instant: how a converter sees the edge.
    const double begin = phase - per_sample;
    double on = std::min(phase, width) - std::max(begin, 0.0);
    if (begin < 0) on += std::max(0.0, width - (1 + begin));
    y[i] = std::clamp(on / per_sample, 0.0, 1.0);
  }
  return y;
}

std::size_t record(const SimulationPlan& p, std::vector<double>& x) {
  if (!(p.range > 0)) return 0;
  std::size_t clipped = 0;
  const double step = p.bits > 0 ? p.range / std::ldexp(1.0, p.bits - 1) : 0.0;
  const double top = p.range - step;
  for (double& v : x) {
    if (step > 0) v = step * std::nearbyint(v / step);
    if (v > top || v < -p.range) ++clipped;
    v = std::clamp(v, -p.range, top);
  }
  return clipped;
}

double mean_square(std::span<const double> x) {
  double sum = 0;
  for (const double v : x) sum += v * v;
  return sum / static_cast<double>(x.size());
}

bool needs_path(const SimulationPlan& p) {
  const bool shocks = p.shocks_per_second > 0 && p.shock_peak > 0;
  return !p.defects.empty() || p.resonant_noise > 0 || shocks;
}

/// The impacts of all defects; what is true of them is noted.
std::vector<double> defects(const SimulationPlan& plan, const Motion& motion, const Path& path,
                            SimulationTruth& truth) {
  std::vector<double> x(motion.size(), 0.0);
  for (std::size_t i = 0; i < plan.defects.size(); ++i) {
    const auto& d = plan.defects[i];
    const DefectOrders orders = with_slip(d.orders ? *d.orders : *plan.orders, plan.mean_slip);
    truth.impact_times.emplace_back();
    if (d.severity > 0)
      add_defect(d, orders, motion, path, Random{plan.seed, stream::defects + i}, x,
                 truth.impact_times.back(), plan.rate.value());
    const bool known =
        std::find(truth.damaged.begin(), truth.damaged.end(), d.part) != truth.damaged.end();
    if (d.severity > 0 && !known) truth.damaged.push_back(d.part);
  }
  return x;
}

/// Levels of the defects and of all else, and how the shaft turned.
void take_levels(SimulationTruth& truth, const std::vector<double>& defect,
                 const std::vector<double>& other, const Motion& motion) {
  const double damage = mean_square(defect);
  const double rest = mean_square(other);
  constexpr double infinite = std::numeric_limits<double>::infinity();
  truth.defect_to_noise_db = !(damage > 0) ? -infinite
                             : !(rest > 0) ? infinite
                                           : 10 * std::log10(damage / rest);
  truth.defect_rms = std::sqrt(damage);
  truth.other_rms = std::sqrt(rest);
  truth.mean_shaft_rate_hz = motion.mean();
  truth.start_shaft_rate_hz = motion.start();
  truth.end_shaft_rate_hz = motion.end();
}

Capture capture_of(const SimulationPlan& plan, const Motion& motion, std::vector<double> x) {
  Capture capture;
  capture.source = "memory";
  capture.format = "simulation";
  capture.rate = plan.rate;
  capture.channels.push_back({"acceleration", SampleUnit::acceleration, std::move(x), {}});
  if (plan.range > 0) capture.channels.front().full_scale = plan.range;
  if (plan.tacho_pulses > 0)
    capture.channels.push_back(
        {"tacho", SampleUnit::revolution, tacho(motion, plan.tacho_pulses), {}});
  capture.trail.push_back({"simulate", fmt::format("seed={}", plan.seed)});
  return capture;
}

}  // namespace
}  // namespace simulation

Result<Simulation> simulate(const SimulationPlan& plan) {
  using namespace simulation;
  if (auto ok = check(plan); !ok) return ok.error();
  const Motion motion{plan};
  if (auto ok = check_speed(plan, motion); !ok) return ok.error();
  const Path path{plan.resonances, plan.rate.value()};
  if (path.empty() && needs_path(plan))
    return Error{Errc::bad_argument, "simulation plan: resonances",
                 "none is below half the sample rate, so impacts would not be visible",
                 "add a resonance or raise the rate"};

  Simulation result;
  SimulationTruth& truth = result.truth;
  if (plan.orders) truth.orders = with_slip(*plan.orders, plan.mean_slip);
  const std::vector<double> defect = defects(plan, motion, path, truth);
  std::vector<double> x(motion.size(), 0.0);
  add_noise(plan, motion, path, x);
  add_lines(plan, truth.orders, motion, x);
  add_mains(plan, x);
  add_shocks(plan, path, x);
  take_levels(truth, defect, x, motion);
  truth.plan = plan;
  for (std::size_t i = 0; i < x.size(); ++i) x[i] += defect[i];
  truth.clipped_samples = record(plan, x);
  result.capture = capture_of(plan, motion, std::move(x));
  return result;
}

}  // namespace bearingdsp
