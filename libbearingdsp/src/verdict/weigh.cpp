#include "verdict/weigh.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>

namespace bearingdsp {
namespace {

// Slip of 1-2 % from the kinematic orders is common [randall2011].
constexpr double slip_tolerance = 0.02;
constexpr double slip_spread = 0.01;
constexpr double max_tolerance = 0.08;
// Speeds less likely than this are not tried, nor more than this many.
constexpr double least_candidate = 0.05;
constexpr int most_candidates = 3;
// A part weaker than this in every band is left at what the whole band shows of it: it moves the
// probability of damage by less than 0.00001.
constexpr double least_strength = 0.03;

/// Strength of the strongest part, less the farther its slip is from zero: two speeds explain the
/// same lines, one of them by a slip that bearings do not have. `open`: how far the speed itself
/// is, for what looks like slip may as well be its error.
double plausible_strength(const Weighed& w, double open) {
  const double spread = std::hypot(slip_spread, open);
  double best = 0;
  for (const auto& part : w.evidence.parts)
    best = std::max(best, w.judgement.own_strength[static_cast<std::size_t>(part.part)] *
                              std::exp(-0.5 * std::pow(part.score.slip / spread, 2)));
  return best;
}

/// What each speed that was tried says of the place. Where two say different parts and neither
/// speaks clearly louder, the place is open: the record does not fix the speed.
class SpeedsWeighed {
 public:
  void add(const Weighed& w, double plausible) {
    const double weight = std::pow(plausible, JudgementModel{}.place_power);
    total_ += weight;
    for (std::size_t p = 0; p < part_.size(); ++p)
      if (w.judgement.damage > 0) part_[p] += weight * w.judgement.part[p] / w.judgement.damage;
  }
  void share_out(Judgement& j) const {
    if (j.verdict != Verdict::fault || j.place == Place::several || !(total_ > 0)) return;
    for (std::size_t p = 0; p < part_.size(); ++p) j.part[p] = j.damage * part_[p] / total_;
    name_place(j, {});
  }

 private:
  std::array<double, part_count> part_{};
  double total_{0};
};

}  // namespace

Weighed weigh(const BandSpectra& bands, const SpeedEstimate& speed, const DefectOrders& orders,
              Seconds duration, const std::vector<Hz>& mains) {
  const Hz narrowest = band_needs(speed.best.rate, orders).narrowest;
  const auto under = [&](const ShaftSpeed& assumed, double least) {
    Weighed w;
    w.speed = assumed;
    w.tolerance = std::min(max_tolerance, slip_tolerance + 2 * assumed.relative_uncertainty);
    w.evidence =
        bearing_evidence(bands, assumed.rate, orders, w.tolerance, mains, least, narrowest);
    w.judgement = judge(w.evidence, orders, 1 / (assumed.rate.value() * duration.value()));
    return w;
  };
  Weighed best = under(speed.best, least_strength);
  SpeedsWeighed all;
  all.add(best, plausible_strength(best, speed.best.relative_uncertainty));
  // A nominal speed is only good to some per cent. Speeds that the record itself speaks for, each
  // good to a few hundredths of a per cent, are tried beside it: a family shows much more clearly
  // at the right one.
  if (speed.best.method != SpeedMethod::given) return best;
  int tried = 0;
  for (const auto& candidate : speed.candidates) {
    if (candidate.probability < least_candidate || tried == most_candidates) break;
    ++tried;
    ShaftSpeed assumed = speed.best;
    assumed.method = SpeedMethod::defect_comb;
    assumed.rate = candidate.rate;
    assumed.relative_uncertainty = candidate.relative_uncertainty;
    assumed.confidence = candidate.probability;
    assumed.why = "the speed near the given one at which a defect family fits best";
    // A look at the strong families first: most candidates have none. Two of them may be joined.
    const double least = JudgementModel{}.even_strength;
    if (under(assumed, least / std::numbers::sqrt2).judgement.strength <= least) continue;
    Weighed w = under(assumed, least_strength);
    // Damage that shows at the given speed stays there unless a candidate explains it better, the
    // given speed being only nominal.
    const bool nominal = best.speed.method == SpeedMethod::given;
    const double open =
        nominal && best.judgement.strength > least ? speed.best.relative_uncertainty : 0.0;
    if (w.judgement.strength <= least) continue;
    all.add(w, plausible_strength(w, 0));
    if (plausible_strength(w, 0) <= 1.05 * plausible_strength(best, open)) continue;
    best = std::move(w);
  }
  all.share_out(best.judgement);
  // A family alone cannot part speed from slip: what is reported is no better than the slip.
  if (best.speed.method == SpeedMethod::defect_comb)
    best.speed.relative_uncertainty = std::hypot(best.speed.relative_uncertainty, slip_spread);
  return best;
}

}  // namespace bearingdsp
