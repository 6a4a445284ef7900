#include "bearingdsp/verdict/together.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>
#include <vector>

#include "bearingdsp/core/percent.hpp"
#include "bearingdsp/verdict/assessment.hpp"
#include "bearingdsp/verdict/judgement.hpp"
#include "verdict/words.hpp"

namespace bearingdsp {
namespace {

/// Why a recording does not count; empty if it does.
std::string why_not_counted(const Diagnosis& d) {
  const auto open = std::find_if(d.findings.begin(), d.findings.end(), wording::leaves_open);
  if (open != d.findings.end() && d.verdict == Verdict::indeterminate) return open->what;
  if (!d.speed.found()) return "the shaft speed is not known";
  const bool judged = d.verdict != Verdict::indeterminate ||
                      std::any_of(d.probability_of_part.begin(), d.probability_of_part.end(),
                                  [](double p) { return p > 0; });
  return judged ? "" : "it cannot tell by itself";
}

double logit(double p) { return std::log(p / (1 - p)); }

/// Logarithm of the odds that damage is visible, bounded by what one recording may say.
double voice(const Diagnosis& d, const TogetherModel& model, const JudgementModel& judgement) {
  const double visible = std::clamp(
      (d.probability_of_damage - judgement.unseen) / (1 - judgement.unseen), 1e-6, 1 - 1e-6);
  return std::clamp(logit(visible), std::log(model.miss), -std::log(model.false_call));
}

/// The components' shares of the damage, from all recordings.
std::array<double, part_count> shares_of(const std::vector<const Diagnosis*>& counted,
                                         double weight, const TogetherModel& model) {
  std::array<double, part_count> log_share{};
  for (const Diagnosis* d : counted) {
    const double damage = std::max(d->probability_of_damage, 1e-9);
    for (std::size_t p = 0; p < part_count; ++p)
      // A recording that hardly shows damage hardly says of which component.
      log_share.at(p) += weight * std::log(model.other_component +
                                           std::min(1.0, d->probability_of_part.at(p) / damage));
  }
  const double highest = *std::max_element(log_share.begin(), log_share.end());
  std::array<double, part_count> share{};
  double all = 0;
  for (std::size_t p = 0; p < part_count; ++p)
    all += share.at(p) = std::exp(log_share.at(p) - highest);
  // What no component explained stays unexplained.
  double explained = 0;
  for (const Diagnosis* d : counted) {
    double own = 0;
    for (const double p : d->probability_of_part) own += p;
    explained = std::max(explained, own / std::max(d->probability_of_damage, 1e-9));
  }
  for (double& s : share) s *= std::min(1.0, explained) / all;
  return share;
}

/// Contradicts the joint answer, and is not merely silent.
bool contradicts(const Diagnosis& d, const Judgement& joint) {
  if (d.verdict != Verdict::fault) return false;
  if (joint.verdict != Verdict::fault) return true;
  constexpr std::array named{Place::outer_ring, Place::inner_ring, Place::rolling_element,
                             Place::cage};
  const bool both_named = std::find(named.begin(), named.end(), d.place) != named.end() &&
                          std::find(named.begin(), named.end(), joint.place) != named.end();
  return both_named && d.place != joint.place;
}

/// Damage of which most recordings say that it is not the given bearing's.
void name_another_bearing(Judgement& joint, const std::vector<const Diagnosis*>& counted) {
  if (joint.verdict != Verdict::fault || joint.place != Place::unclear || !joint.set.empty())
    return;
  std::ptrdiff_t faults = 0;
  std::ptrdiff_t others = 0;
  for (const Diagnosis* d : counted) {
    if (d->verdict != Verdict::fault) continue;
    ++faults;
    if (d->place == Place::another_bearing) ++others;
  }
  if (2 * others <= faults) return;
  joint.place = Place::another_bearing;
  joint.place_probability = joint.damage;
}

/// The velocity that counts is the worst; other faults are as probable as on average.
void take_machine(Diagnosis& out, const std::vector<const Diagnosis*>& counted) {
  std::vector<CauseEvidence> causes;
  for (const Diagnosis* d : counted) {
    for (const CauseEvidence& c : d->other_causes) {
      const auto known = std::find_if(causes.begin(), causes.end(),
                                      [&](const CauseEvidence& k) { return k.cause == c.cause; });
      const double part = c.probability / static_cast<double>(counted.size());
      if (known == causes.end())
        causes.push_back({c.cause, part, c.why});
      else
        known->probability += part;
    }
    if (d->machine && out.machine &&
        (!out.machine->vibration.velocity ||
         (d->machine->vibration.velocity &&
          *d->machine->vibration.velocity > *out.machine->vibration.velocity)))
      out.machine->vibration = d->machine->vibration;
  }
  std::sort(causes.begin(), causes.end(), [](const CauseEvidence& a, const CauseEvidence& b) {
    return a.probability > b.probability;
  });
  out.other_causes = std::move(causes);
}

void explain(Diagnosis& out, const Diagnosis& clearest) {
  const auto faults = std::count_if(
      out.recordings.begin(), out.recordings.end(),
      [](const RecordingShare& r) { return r.counted && r.verdict == Verdict::fault; });
  const auto counted = std::count_if(out.recordings.begin(), out.recordings.end(),
                                     [](const RecordingShare& r) { return r.counted; });
  const std::string seen = fmt::format("{} of {} recordings show{} damage by itself.", faults,
                                       counted, faults == 1 ? "s" : "");
  if (out.verdict == clearest.verdict) {
    if (out.verdict == Verdict::fault) out.headline = wording::fault_headline(out);
  } else {
    out.reasons.clear();
    out.advice.clear();
    wording::explain(out, std::nullopt, std::nullopt);
    if (out.verdict == Verdict::indeterminate)
      out.headline = fmt::format(
          "Cannot tell, because {} of {} recordings show{} damage and the others do not.", faults,
          counted, faults == 1 ? "s" : "");
  }
  out.reasons.push_back(seen);
  for (const RecordingShare& r : out.recordings)
    if (r.contradicts) out.reasons.push_back(r.source + " contradicts the others.");
}

/// What one recording contributed.
RecordingShare share_of(const Diagnosis& d, const Judgement& joint) {
  RecordingShare r;
  r.source = d.source;
  r.verdict = d.verdict;
  r.place = d.place;
  r.place_set = d.place_set;
  r.probability_of_damage = d.probability_of_damage;
  r.why_not_counted = why_not_counted(d);
  r.counted = r.why_not_counted.empty();
  r.contradicts = r.counted && contradicts(d, joint);
  return r;
}

}  // namespace

Result<Diagnosis> judge_together(std::span<const Diagnosis> diagnoses, const TogetherModel& model) {
  if (diagnoses.empty())
    return Error{Errc::bad_argument, "recordings", "there is none", "give two or more"};
  std::vector<const Diagnosis*> counted;
  for (const Diagnosis& d : diagnoses)
    if (why_not_counted(d).empty()) counted.push_back(&d);
  if (counted.empty())
    return Error{Errc::bad_argument, diagnoses.front().source,
                 "none of the recordings can be judged: " + why_not_counted(diagnoses.front()),
                 "diagnose them one by one, and record again"};
  const JudgementModel judgement;
  const auto n = static_cast<double>(counted.size());
  const double weight = 1 / (1 + (n - 1) * model.dependence);
  double odds = 0;
  for (const Diagnosis* d : counted) odds += weight * voice(*d, model, judgement);
  // One alone keeps its own probability, beyond what it may say among others.
  Judgement joint;
  joint.damage = counted.size() == 1
                     ? counted.front()->probability_of_damage
                     : judgement.unseen + (1 - judgement.unseen) / (1 + std::exp(-odds));
  const auto share = shares_of(counted, weight, model);
  for (std::size_t p = 0; p < part_count; ++p) joint.part.at(p) = joint.damage * share.at(p);
  const auto several = std::count_if(counted.begin(), counted.end(),
                                     [](const Diagnosis* d) { return d->place == Place::several; });
  decide(joint, 2 * several > static_cast<std::ptrdiff_t>(counted.size()), judgement);

  name_another_bearing(joint, counted);

  const auto says = [&](const Diagnosis* d) {
    if (joint.place == Place::another_bearing)
      return d->place == joint.place ? d->probability_of_damage : 0.0;
    const auto at = std::max_element(joint.part.begin(), joint.part.end()) - joint.part.begin();
    return joint.verdict == Verdict::fault ? d->probability_of_part.at(static_cast<std::size_t>(at))
                                           : d->probability_of_damage;
  };
  const Diagnosis& clearest =
      **std::max_element(counted.begin(), counted.end(),
                         [&](const Diagnosis* a, const Diagnosis* b) { return says(a) < says(b); });
  Diagnosis out = clearest;
  out.source = fmt::format("{} recordings together, shown: {}", diagnoses.size(), clearest.source);
  out.verdict = joint.verdict;
  out.place = joint.place;
  out.place_set = joint.set;
  out.probability_of_damage = joint.damage;
  out.probability_of_part = joint.part;
  out.probability_of_place = joint.place_probability;
  for (const Diagnosis& d : diagnoses) out.recordings.push_back(share_of(d, joint));
  take_machine(out, counted);
  explain(out, clearest);
  return out;
}

}  // namespace bearingdsp
