#include "verdict/tacho_check.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "verdict/shaft_motion.hpp"

namespace bearingdsp {
namespace {

/// A tacho's rate is exact but for its scatter; the vibration's lines are known to a few hundredths
/// of a per cent. Rates that differ by more are not the same.
constexpr double same_rate = 0.003;
/// A range is meant roughly.
constexpr double range_slack = 0.02;
/// Marks a revolution: a key, bolts of a coupling, blades, a toothed wheel.
constexpr double most_pulses = 200;
/// One speed is believed over the other from this probability on.
constexpr double clearly = 0.9;
/// Lines are no independent witnesses: tempering of the log likelihood and the score that chance
/// reaches half the time, as in speed/estimate.cpp.
constexpr double tempering = 0.5;
constexpr double crowded = 30;
constexpr double chance = 10;

/// A speed that changes is given as it was at some moment of the record.
bool agrees(const ShaftSpeed& tacho, const DiagnoseOptions& options) {
  const double change = tacho.relative_variation;
  if (options.speed)
    return std::abs(tacho.rate / shaft_rate(*options.speed) - 1) <=
           std::max(options.speed_tolerance, same_rate) + change;
  const double slack = range_slack + change;
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
  wanted.orders = options.orders;
  wanted.line_frequency = options.line_frequency;
  return estimate_speed(axes, plans, wanted);
}

double score_of(const SpeedEstimate& e) {
  // One that stands elsewhere is put in front of the candidates and is not meant here.
  const std::size_t own = e.disagrees_with_given ? 1 : 0;
  return e.candidates.size() > own ? e.candidates[own].score : 0.0;
}

/// Probability of the first of two speeds, or of neither where both score no better than chance.
double probability(double score, double other) {
  const double most = std::max({score, other, chance});
  const double heat = tempering / (1 + std::max(most, 0.0) / crowded);
  const auto weight = [&](double s) { return std::exp(heat * (s - most)); };
  return weight(score) / (weight(score) + weight(other) + weight(chance));
}

std::string rpm(Hz rate) { return fmt::format("{:.5g} rpm", 60 * rate.value()); }

/// Pulses per revolution that make the tacho's rate the wanted one, if they are a whole number.
std::optional<double> other_pulses(Hz tacho, Hz wanted, double pulses, double tolerance) {
  const double n = pulses * (tacho / wanted);
  const double whole = std::round(n);
  if (whole < 1 || whole > most_pulses || whole == pulses) return std::nullopt;
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
  return {fmt::format("{:.5g} to {:.5g} rpm was given", low, high), shaft_rate(Rpm{(low + high) / 2}),
          std::min(0.49, (high - low) / (high + low))};
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
  const double own = score_of(lines_near(even.views, tacho, same_rate, options, plans));
  const SpeedEstimate near_given =
      lines_near(even.views, given.rate, std::max(given.tolerance, same_rate), options, plans);
  const double others = score_of(near_given);
  const std::string both = fmt::format("the tacho says {} at {:g} pulse{} per revolution, but {}",
                                       rpm(tacho), options.pulses_per_revolution,
                                       options.pulses_per_revolution == 1 ? "" : "s", given.words);
  const auto report = [&](const std::string& seen, std::string consequence, std::string advice) {
    findings.push_back({FindingKind::speed_disagrees, Weight::caution, options.tacho_channel,
                        both + seen, std::move(consequence), std::move(advice)});
  };
  const auto likely = other_pulses(tacho, given.rate, options.pulses_per_revolution,
                                   options.speed ? given.tolerance : same_rate);
  const std::string pulses_advice =
      likely ? fmt::format(
                   "if the shaft marker has {:g} pulses per revolution, give that "
                   "(--pulses {:g}; pulses_per_revolution in a machine file)",
                   *likely, *likely)
             : std::string{"check which channel is the tacho, and the speed"};
  const double for_tacho = probability(own, others);
  const double for_given = probability(others, own);
  if (for_tacho >= clearly) {
    report("; the vibration has its lines at the tacho's speed", "the tacho's speed is used",
           "correct the given speed, or leave it out");
    return {TachoTrust::tacho, options.pulses_per_revolution, for_tacho, {}};
  }
  if (for_given >= clearly) {
    const Hz shown = near_given.candidates[near_given.disagrees_with_given ? 1 : 0].rate;
    const double loose = std::max(same_rate, 3 * near_given.best.relative_uncertainty);
    const auto pulses =
        other_pulses(tacho, shown, options.pulses_per_revolution, std::min(loose, given.tolerance));
    if (pulses) {
      report(fmt::format("; the vibration has its lines at {}", rpm(shown)),
             fmt::format("the tacho is read with {:g} pulses per revolution", *pulses),
             pulses_advice);
      return {TachoTrust::recounted, *pulses, for_given, {}};
    }
    report(fmt::format("; the vibration has its lines at {}", rpm(shown)), "the tacho is not used",
           "check which channel is the tacho, and its trigger");
    return {TachoTrust::given, options.pulses_per_revolution, for_given, {}};
  }
  report("; the vibration does not decide which is right",
         "all frequencies of the bearing scale with the speed: which component is damaged cannot "
         "be judged",
         pulses_advice);
  return {TachoTrust::neither, options.pulses_per_revolution, 0, both};
}

}  // namespace bearingdsp
