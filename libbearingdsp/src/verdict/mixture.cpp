#include "verdict/mixture.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "verdict/odds.hpp"

namespace bearingdsp {
namespace {

/// How plausible the slip of the strongest component is.
double plausible(const Weighed& w, const ModelParameters& model) {
  const auto& own = w.judgement.own_strength;
  const auto p = static_cast<std::size_t>(std::max_element(own.begin(), own.end()) - own.begin());
  return slip_plausibility(w.evidence.parts[p], model);
}

/// Shares the damage among the components of all candidates. That the lines are of none of them, as
/// another bearing's are, is one hypothesis however many candidates there are: its weight is not
/// shared out among them, so that their number is paid for.
void share_out(Judgement& j, std::span<const Weighed> weighed, std::span<const double> priors,
               std::span<const double> counts) {
  double none = 0;
  double total = 0;
  std::array<double, part_count> part{};
  for (std::size_t h = 0; h < weighed.size(); ++h) {
    const Judgement& own = weighed[h].judgement;
    if (!(own.damage > 0)) continue;
    for (std::size_t p = 0; p < part.size(); ++p) part[p] += counts[h] * own.part[p] / own.damage;
    total += counts[h] * (1 - own.elsewhere);
    none = std::max(none, counts[h] / priors[h] * own.elsewhere);
  }
  total += none;
  for (std::size_t p = 0; p < part.size(); ++p)
    j.part[p] = total > 0 ? j.damage * part[p] / total : 0.0;
}

}  // namespace

Mixture mix(std::span<const Weighed> weighed, std::span<const BearingCandidate> candidates,
            const ModelParameters& parameters) {
  const JudgementModel& model = parameters.judgement;
  Mixture out;
  if (weighed.size() == 1) return {weighed[0].judgement, 0, {1.0}};
  double all = 0;
  for (const auto& c : candidates) all += c.weight;
  double joint = 0;
  std::vector<double> priors;
  std::vector<double> counts;
  for (std::size_t h = 0; h < weighed.size(); ++h) {
    const double prior = candidates[h].weight / all;
    const double o = odds_of(weighed[h].judgement.strength, model);
    joint += prior * o;
    priors.push_back(prior);
    counts.push_back(prior * o * plausible(weighed[h], parameters));
    // Without damage nothing but the weights parts the candidates.
    out.share.push_back(prior * (1 + o * plausible(weighed[h], parameters)));
  }
  out.best = static_cast<std::size_t>(std::max_element(out.share.begin(), out.share.end()) -
                                      out.share.begin());
  const double shares = std::accumulate(out.share.begin(), out.share.end(), 0.0);
  for (double& s : out.share) s /= shares;
  Judgement& j = out.judgement;
  j = weighed[out.best].judgement;
  const bool several = j.place == Place::several;
  j.damage = model.unseen + (1 - model.unseen) * joint / (1 + joint);
  j.strength = strength_at(j.damage, model);
  share_out(j, weighed, priors, counts);
  decide(j, several, model);
  return out;
}

}  // namespace bearingdsp
