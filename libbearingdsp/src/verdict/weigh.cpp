#include "verdict/weigh.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>

namespace bearingdsp {
namespace {

/// Strength of the strongest part, less the farther its slip is from zero: two speeds explain the
/// same lines, one of them by a slip that bearings do not have. `open`: how far the speed itself
/// is, for what looks like slip may as well be its error.
double plausible_strength(const Weighed& w, double open, const SlipModel& slip) {
  const double spread = std::hypot(slip.spread, open);
  double best = 0;
  for (const auto& part : w.evidence.parts)
    best = std::max(best, w.judgement.own_strength[static_cast<std::size_t>(part.part)] *
                              std::exp(-0.5 * std::pow(part.score.slip / spread, 2)));
  return best;
}

/// What each speed that was tried says of the place. Where two say different parts and neither
/// speaks clearly louder, the place is open: the recording does not fix the speed.
class SpeedsWeighed {
 public:
  explicit SpeedsWeighed(const JudgementModel& model) : model_{model} {}
  void add(const Weighed& w, double plausible) {
    const double weight = std::pow(plausible, model_.place_power);
    total_ += weight;
    for (std::size_t p = 0; p < part_.size(); ++p)
      if (w.judgement.damage > 0) part_[p] += weight * w.judgement.part[p] / w.judgement.damage;
  }
  void share_out(Judgement& j) const {
    if (j.verdict != Verdict::fault || j.place == Place::several || !(total_ > 0)) return;
    for (std::size_t p = 0; p < part_.size(); ++p) j.part[p] = j.damage * part_[p] / total_;
    name_place(j, model_);
  }

 private:
  const JudgementModel& model_;
  std::array<double, part_count> part_{};
  double total_{0};
};

}  // namespace

Weighed weigh(const BandSpectra& bands, const SpeedEstimate& speed, const DefectOrders& orders,
              Seconds duration, const Basis& basis) {
  const ModelParameters& model = basis.model;
  const TriedModel& m = model.tried;
  const Hz narrowest = band_needs(speed.best.rate, orders, model).narrowest;
  const auto under = [&](const ShaftSpeed& assumed, double least) {
    Weighed w;
    w.speed = assumed;
    w.tolerance = std::min(m.max_tolerance,
                           model.slip.reach + m.uncertainty_reach * assumed.relative_uncertainty);
    w.evidence =
        bearing_evidence(bands, assumed.rate, orders, w.tolerance, basis, least, narrowest);
    w.judgement = judge(w.evidence, orders, 1 / (assumed.rate.value() * duration.value()), model);
    return w;
  };
  Weighed best = under(speed.best, m.min_strength);
  SpeedsWeighed all{model.judgement};
  all.add(best, plausible_strength(best, speed.best.relative_uncertainty, model.slip));
  // A nominal speed is only good to some per cent. Speeds that the recording itself is evidence
  // for, each good to a few hundredths of a per cent, are tried beside it: a family shows much more
  // clearly at the right one.
  if (speed.best.method != SpeedMethod::given) return best;
  int tried = 0;
  for (const auto& candidate : speed.candidates) {
    if (candidate.probability < m.min_probability || tried == m.max_speeds) break;
    ++tried;
    ShaftSpeed assumed = speed.best;
    assumed.method = SpeedMethod::defect_comb;
    assumed.rate = candidate.rate;
    assumed.relative_uncertainty = candidate.relative_uncertainty;
    assumed.confidence = candidate.probability;
    assumed.why = "the speed near the given one at which a defect family fits best";
    // A look at the strong families first: most candidates have none. Two of them may be joined.
    const double least = model.judgement.even_strength;
    if (under(assumed, least / std::numbers::sqrt2).judgement.strength <= least) continue;
    Weighed w = under(assumed, m.min_strength);
    // Damage that shows at the given speed stays there unless a candidate explains it better, the
    // given speed being only nominal.
    const bool nominal = best.speed.method == SpeedMethod::given;
    const double open =
        nominal && best.judgement.strength > least ? speed.best.relative_uncertainty : 0.0;
    if (w.judgement.strength <= least) continue;
    const double plausible = plausible_strength(w, 0, model.slip);
    all.add(w, plausible);
    if (plausible <= m.clearly_better * plausible_strength(best, open, model.slip)) continue;
    best = std::move(w);
  }
  all.share_out(best.judgement);
  // A family alone cannot part speed from slip: what is reported is no better than the slip.
  if (best.speed.method == SpeedMethod::defect_comb)
    best.speed.relative_uncertainty =
        std::hypot(best.speed.relative_uncertainty, model.slip.spread);
  return best;
}

}  // namespace bearingdsp
