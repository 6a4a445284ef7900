#include "verdict/tacho_check.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "verdict/shaft_motion.hpp"

namespace bearingdsp {
namespace {

/// A speed that changes is given as it was at some moment of the recording.
bool agrees(const ShaftSpeed& tacho, const DiagnoseOptions& options) {
  const double change = tacho.relative_variation;
  if (options.speed)
    return std::abs(tacho.rate / shaft_rate(*options.speed) - 1) <=
           std::max(options.speed_tolerance, options.model.tacho.same_rate) + change;
  const double slack = options.model.tacho.range_slack + change;
  const bool below = options.speed_low && tacho.rate < (1 - slack) * shaft_rate(*options.speed_low);
  const bool above =
      options.speed_high && tacho.rate > (1 + slack) * shaft_rate(*options.speed_high);
  return !below && !above;
}

/// How well the vibration's lines fit a shaft within a tolerance of a rate.
SpeedEstimate lines_near(std::span<const SignalView> axes, Hz rate, double tolerance,
                         const DiagnoseOptions& options, FftPlans& plans) {
  SpeedOptions wanted;
  wanted.given = rate;
  wanted.given_tolerance = tolerance;
  if (!options.bearings.empty()) wanted.orders = options.bearings.front().orders;
  wanted.line_frequency = options.line_frequency;
  return estimate_speed(axes, plans, wanted, options.model);
}

double score_of(const SpeedEstimate& e) {
  // One that stands elsewhere is put in front of the candidates and is not meant here.
  const std::size_t own = e.disagrees_with_given ? 1 : 0;
  return e.candidates.size() > own ? e.candidates[own].score : 0.0;
}

/// One way to put tacho and given speed right, and how well the vibration's lines fit it.
struct Reading {
  TachoTrust trust{};
  double pulses{1};
  double score{0};
  Hz rate;
};

/// Probability of each against the others and chance.
double probability(const Reading& one, const std::vector<Reading>& all, const SpeedModel& model) {
  const double chance = model.chance_in_window;
  double most = chance;
  for (const Reading& r : all) most = std::max(most, r.score);
  const double heat = model.tempering / (1 + most / model.crowded);
  const auto weight = [&](double s) { return std::exp(heat * (s - most)); };
  double sum = weight(chance);
  for (const Reading& r : all) sum += weight(r.score);
  return weight(one.score) / sum;
}

std::string rpm(Hz rate) { return fmt::format("{:.5g} rpm", 60 * rate.value()); }

/// Pulses per revolution that bring the tacho's rate nearest to the wanted one, if that is within
/// the tolerance.
std::optional<double> other_pulses(Hz tacho, Hz wanted, double pulses, double tolerance,
                                   const TachoModel& model) {
  const double n = pulses * (tacho / wanted);
  const double whole = std::round(n);
  if (whole < 1 || whole > model.max_pulses || whole == pulses) return std::nullopt;
  if (std::abs(n / whole - 1) > tolerance) return std::nullopt;
  return whole;
}

/// What was given, in words, and the rate to look for in the vibration.
struct Given {
  std::string words;
  Hz rate;
  double tolerance{0};
};
Given given_by(const DiagnoseOptions& options) {
  if (options.speed)
    return {rpm(shaft_rate(*options.speed)) + " was given", shaft_rate(*options.speed),
            options.speed_tolerance};
  const double low =
      options.speed_low ? options.speed_low->value() : 0.5 * options.speed_high->value();
  const double high = options.speed_high ? options.speed_high->value() : 2 * low;
  return {fmt::format("{:.5g} to {:.5g} rpm was given", low, high),
          shaft_rate(Rpm{(low + high) / 2}), std::min(0.49, (high - low) / (high + low))};
}

/// The ways for which lines of the shaft itself speak. A family of the bearing alone fits several
/// speeds, with another component or a slip.
std::vector<Reading> readings_of(Hz tacho, const Given& given, std::span<const SignalView> axes,
                                 const DiagnoseOptions& options, FftPlans& plans) {
  const TachoModel& m = options.model.tacho;
  const double pulses = options.pulses_per_revolution;
  std::vector<Reading> all;
  const auto add_exact = [&](TachoTrust trust, double n) {
    const Hz rate = (pulses / n) * tacho;
    const SpeedEstimate e = lines_near(axes, rate, m.looked_around, options, plans);
    const double slack = std::max(m.same_rate, 3 * e.best.relative_uncertainty);
    if (e.best.method != SpeedMethod::given_refined || std::abs(e.best.rate / rate - 1) > slack)
      return;
    all.push_back({trust, n, score_of(e), rate});
  };
  add_exact(TachoTrust::tacho, pulses);
  const SpeedEstimate e =
      lines_near(axes, given.rate, std::max(given.tolerance, m.looked_around), options, plans);
  if (e.best.method != SpeedMethod::given_refined) return all;
  const double slack = std::max(m.same_rate, 3 * e.best.relative_uncertainty);
  if (const auto n = other_pulses(tacho, e.best.rate, pulses, slack, m))
    all.push_back({TachoTrust::recounted, *n, score_of(e), (pulses / *n) * tacho});
  else
    all.push_back({TachoTrust::given, pulses, score_of(e), e.best.rate});
  return all;
}

}  // namespace

TachoChecked check_tacho(const TachoReading& reading, std::span<const SignalView> axes,
                         const DiagnoseOptions& options, bool uneven, FftPlans& plans,
                         Findings& findings) {
  if (!options.speed && !options.speed_low && !options.speed_high) return {};
  if (agrees(reading.speed, options)) return {};
  const Hz tacho = reading.speed.rate;
  // However many pulses a revolution has, their rhythm is the shaft's.
  const EvenAxes even =
      evened(axes, uneven ? std::optional{reading.track} : std::optional<PhaseTrack>{});
  const Given given = given_by(options);
  const double pulses = options.pulses_per_revolution;
  const std::string both = fmt::format("the tacho says {} at {:g} pulse{} per revolution, but {}",
                                       rpm(tacho), pulses, pulses == 1 ? "" : "s", given.words);
  const auto report = [&](const std::string& seen, std::string consequence, std::string advice) {
    findings.push_back({FindingKind::speed_disagrees, Weight::caution, options.tacho_channel,
                        both + seen, std::move(consequence), std::move(advice)});
  };
  const auto advice = [&](std::optional<double> n) {
    return n ? fmt::format(
                   "if the shaft marker has {:g} pulses per revolution, give that (--pulses "
                   "{:g}; pulses_per_revolution in a machine file)",
                   *n, *n)
             : std::string{"check which channel is the tacho, its trigger, and the speed given"};
  };
  const auto all = readings_of(tacho, given, even.views, options, plans);
  const auto best = std::max_element(
      all.begin(), all.end(), [](const Reading& a, const Reading& b) { return a.score < b.score; });
  const double sure = best == all.end() ? 0 : probability(*best, all, options.model.speed);
  if (sure < options.model.tacho.clearly) {
    report("; the vibration does not decide which is right",
           "all frequencies of the bearing scale with the speed: which component is damaged cannot "
           "be judged",
           advice(other_pulses(tacho, given.rate, pulses, given.tolerance, options.model.tacho)));
    return {TachoTrust::neither, pulses, 0, both};
  }
  const std::string seen = fmt::format("; the lines of the vibration fit {}", rpm(best->rate));
  if (best->trust == TachoTrust::tacho)
    report(seen, "the tacho's speed is used", "correct the given speed, or leave it out");
  else if (best->trust == TachoTrust::recounted)
    report(seen, fmt::format("the tacho is read with {:g} pulses per revolution", best->pulses),
           advice(best->pulses));
  else
    report(seen, "the tacho is not used", advice(std::nullopt));
  return {best->trust, best->pulses, sure, {}};
}

}  // namespace bearingdsp
