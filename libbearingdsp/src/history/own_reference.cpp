#include "bearingdsp/history/own_reference.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>
#include <utility>
#include <vector>

#include "bearingdsp/core/percent.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/dsp/statistics.hpp"
#include "bearingdsp/history/growth.hpp"
#include "bearingdsp/verdict/assessment.hpp"
#include "bearingdsp/verdict/judgement.hpp"

namespace bearingdsp {
namespace {

/// Density of a Student distribution at t, less its constant factor.
double student_log(double t, double freedom) {
  return std::lgamma((freedom + 1) / 2) - std::lgamma(freedom / 2) -
         0.5 * std::log(freedom * std::numbers::pi) -
         (freedom + 1) / 2 * std::log1p(t * t / freedom);
}

std::vector<double> logs_of(std::span<const double> strengths, double weakest) {
  std::vector<double> logs;
  for (const double s : strengths) logs.push_back(std::log(std::max(s, weakest)));
  return logs;
}

/// Whether the reading says something of its harmonic series that a reference can be used on.
bool open_to_reference(const Reading& r, const JudgementModel& judgement) {
  const bool blocked = first_blocking(r.findings) != nullptr;
  // "Cannot tell" for another reason than the strength of the signs has no probability of its own.
  const bool undecided =
      r.verdict == Verdict::indeterminate && std::abs(r.probability_of_damage - 0.5) < 1e-9;
  // Of a series at no order of this bearing the strength is not kept.
  if (r.place == Place::another_bearing) return false;
  return !blocked && !undecided && r.speed && !r.bearing.variants.empty() &&
         r.probability_of_damage > judgement.unseen;
}

bool same_variants(const FittedBearing& a, const FittedBearing& b) {
  return a.variants.size() == b.variants.size() &&
         std::equal(a.variants.begin(), a.variants.end(), b.variants.begin(),
                    [](const BearingCandidate& x, const BearingCandidate& y) {
                      return x.orders.bpfo == y.orders.bpfo && x.orders.bpfi == y.orders.bpfi;
                    });
}

/// The point's healthy readings before that one, oldest first.
std::vector<const Reading*> healthy_before(const PointHistory& history, std::size_t index,
                                           const TrendOptions& options,
                                           const OwnReferenceModel& model) {
  const Reading& now = history.readings[index];
  const UtcTime start = baseline_start(history);
  std::vector<const Reading*> healthy;
  for (std::size_t i = 0;
       i < index && healthy.size() < static_cast<std::size_t>(model.max_readings); ++i) {
    const Reading& r = history.readings[i];
    if (r.taken < start || !same_variants(r.bearing, now.bearing)) continue;
    // What was damaged before it was known as healthy has no healthy state to compare with.
    if (r.verdict == Verdict::fault) break;
    if (r.verdict != Verdict::no_fault || !r.speed) continue;
    TrendPoint a;
    TrendPoint b;
    a.speed = r.speed;
    b.speed = now.speed;
    a.load_percent = r.load_percent;
    b.load_percent = now.load_percent;
    if (ran_alike(a, b, options)) healthy.push_back(&r);
  }
  return healthy;
}

/// Of one component. Strengths that rise steadily are no normal state: only the first of them are.
std::vector<double> strengths_of(const std::vector<const Reading*>& healthy, std::size_t part,
                                 const OwnReferenceModel& model) {
  std::vector<double> strengths;
  for (const Reading* r : healthy) strengths.push_back(r->parts.at(part).strength);
  const std::vector<double> logs = logs_of(strengths, model.weakest);
  constexpr double rare = 0.01;  // as DriftLimits::false_alarm
  const auto least = static_cast<std::size_t>(model.min_readings);
  if (strengths.size() > least && rising_by_chance(logs) < rare) strengths.resize(least);
  return strengths;
}

std::string reference_words(const ReferenceShare& s) {
  return fmt::format(
      "harmonic series of the {}: strength {:.2f}, {:.2f} in {} healthy readings of this point; "
      "that "
      "{} the probability of damage",
      words(s.part), s.strength, s.before, s.readings, s.log_odds < 0 ? "lowers" : "raises");
}

/// The components' shares of the damage, as far as a reading keeps them.
void share_parts(Judgement& j, const Reading& r, const JudgementModel& judgement) {
  double total = std::pow(judgement.unplaced, judgement.place_power);
  for (const PartReading& p : r.parts) total += std::pow(p.strength, judgement.place_power);
  for (std::size_t p = 0; p < part_count; ++p)
    j.part.at(p) = j.damage * std::pow(r.parts.at(p).strength, judgement.place_power) / total;
}

void apply_reference(Reading& r, const ReferenceShare& share, const JudgementModel& judgement) {
  const double visible = std::clamp(
      (r.probability_of_damage - judgement.unseen) / (1 - judgement.unseen), 1e-6, 1 - 1e-6);
  const double odds = visible / (1 - visible) * std::exp(share.log_odds);
  Judgement j;
  j.damage = judgement.unseen + (1 - judgement.unseen) * odds / (1 + odds);
  share_parts(j, r, judgement);
  decide(j, r.place == Place::several, judgement);
  const bool still = r.verdict == j.verdict;
  const double was = r.probability_of_damage;
  r.probability_of_damage = j.damage;
  if (still && j.verdict == Verdict::fault) {
    // Which component it is, the reading itself knows best.
    r.probability_of_place *= j.damage / was;
    return;
  }
  if (still) return;
  r.verdict = r.stage.verdict = j.verdict;
  r.place = j.place;
  r.place_set = j.set;
  r.probability_of_place = j.place_probability;
  if (j.verdict == Verdict::fault) {
    r.headline = fmt::format("{} damaged ({}).", damaged_subject(r.place, r.place_set),
                             percent(r.probability_of_place));
    r.stage.parts = std::max(1, r.stage.parts);
  } else if (j.verdict == Verdict::no_fault) {
    r.headline = full_stop(std::string{nothing_found});
  } else {
    r.headline = full_stop("Cannot tell, because of the " + share.why);
  }
  if (j.verdict != Verdict::fault) r.advice = {"Measure again at the same speed and load."};
}

}  // namespace

double reference_log_odds(double strength, std::span<const double> healthy,
                          const OwnReferenceModel& m) {
  if (healthy.empty()) throw std::invalid_argument{"reference_log_odds: no healthy reading"};
  const std::vector<double> logs = logs_of(healthy, m.weakest);
  const double x = std::log(std::max(strength, m.weakest));
  const auto n = static_cast<double>(logs.size());
  // The point's own level: what its readings say, drawn towards what is usual while they are few.
  const double own = n / (m.spread * m.spread);
  const double usual = 1 / (m.all_spread * m.all_spread);
  const double level = (own * median(logs) + usual * std::log(m.all_median)) / (own + usual);
  const double expected = std::sqrt(m.spread * m.spread + 1 / (own + usual));
  const double among_all = std::hypot(m.all_spread, m.spread);
  const double of_this = student_log((x - level) / expected, m.tails) - std::log(expected);
  const double of_all =
      student_log((x - std::log(m.all_median)) / among_all, m.tails) - std::log(among_all);
  const double change =
      std::clamp(of_all - of_this, -std::log(m.max_lowered), std::log(m.max_raised));
  const bool grown = x > median(logs) + std::log(m.grown);
  if (grown) return std::max(0.0, change);
  // Weaker than it was: less than usual is no sign of damage.
  return x < level ? std::min(0.0, change) : change;
}

std::optional<ReferenceShare> own_reference(const PointHistory& history, std::size_t index,
                                            const TrendOptions& options,
                                            const ModelParameters& parameters) {
  const Reading& r = history.readings.at(index);
  const OwnReferenceModel& model = parameters.own_reference;
  if (!open_to_reference(r, parameters.judgement)) return std::nullopt;
  const auto strongest = std::max_element(
      r.parts.begin(), r.parts.end(),
      [](const PartReading& a, const PartReading& b) { return a.strength < b.strength; });
  if (!(strongest->strength > model.weakest)) return std::nullopt;
  const auto healthy = healthy_before(history, index, options, model);
  if (healthy.size() < static_cast<std::size_t>(model.min_readings)) return std::nullopt;
  const auto part = static_cast<std::size_t>(strongest - r.parts.begin());
  const std::vector<double> before = strengths_of(healthy, part, model);
  ReferenceShare share;
  share.part = static_cast<Part>(part);
  share.strength = strongest->strength;
  share.before = median(before);
  share.readings = before.size();
  share.log_odds = reference_log_odds(share.strength, before, model);
  share.by_itself = r.verdict;
  share.place_by_itself = r.place;
  share.probability_by_itself = r.probability_of_damage;
  share.why = reference_words(share);
  return share;
}

Reading with_reference(const PointHistory& history, std::size_t index, const TrendOptions& options,
                       const ModelParameters& parameters) {
  Reading r = history.readings.at(index);
  if (const auto share = own_reference(history, index, options, parameters))
    apply_reference(r, *share, parameters.judgement);
  return r;
}

PointHistory with_references(PointHistory history, const TrendOptions& options,
                             const ModelParameters& parameters) {
  std::vector<Reading> judged;
  judged.reserve(history.readings.size());
  for (std::size_t i = 0; i < history.readings.size(); ++i)
    judged.push_back(with_reference(history, i, options, parameters));
  history.readings = std::move(judged);
  return history;
}

}  // namespace bearingdsp
