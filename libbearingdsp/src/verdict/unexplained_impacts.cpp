#include "verdict/unexplained_impacts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "bearingdsp/evidence/family_search.hpp"
#include "bearingdsp/speed/estimate.hpp"
#include "bearingdsp/verdict/judgement.hpp"

namespace bearingdsp {
namespace {

constexpr int harmonics = 8;
// A load that rises and falls once a revolution makes one or two lines; impacts make many.
constexpr int fewest_of_impacts = 4;
// Slip scatters a bearing's impacts; a shaft's lines are sharp. Both count here.
constexpr double play = 0.003;

// An interval is what somebody thinks the speed is: this far beyond it another shaft is still
// likelier than that nothing is wrong.
constexpr double margin = 0.25;
// Slip moves the cage by this share [randall2011].
constexpr double slip = 0.02;
// The shaft's own lines meet one or two of a cage's first eight, so that six are the cage's.
constexpr int most_of_a_train = 6;

/// Is there another shaft rate in the interval whose bearing would make impacts at this one?
bool of_another_shaft(Hz rate, const DiagnoseOptions& options,
                      const std::optional<DefectOrders>& orders) {
  const SpeedInterval usual;
  const Hz low = options.speed_low ? (1 - margin) * shaft_rate(*options.speed_low) : usual.low;
  const Hz high = options.speed_high ? (1 + margin) * shaft_rate(*options.speed_high) : usual.high;
  // Without a bearing: rings of motor bearings strike from three to eight times a revolution, or
  // so.
  const std::array families{orders ? orders->bpfo : Order{3}, orders ? orders->bpfi : Order{5},
                            orders ? 2 * orders->bsf : Order{4}, orders ? orders->ftf : Order{0.4}};
  return std::any_of(families.begin(), families.end(), [&](Order q) {
    const Hz other{rate.value() / q.value()};
    return other >= low && other <= high;
  });
}

}  // namespace

std::optional<Finding> impacts_at_assumed_rate(const EnvelopeSpectrum& whole,
                                               const ShaftSpeed& speed,
                                               const DiagnoseOptions& options,
                                               const std::optional<DefectOrders>& orders,
                                               const std::vector<Hz>& mains) {
  if (options.speed || speed.method == SpeedMethod::tacho) return std::nullopt;
  if (!of_another_shaft(speed.rate, options, orders)) return std::nullopt;
  const FamilyTemplate train{Order{1}, harmonics, play, Order{0}, false, mains};
  const FamilyScore score = score_family(whole, speed.rate, train);
  const JudgementModel model;
  if (score.standing < fewest_of_impacts || score.strength() < strength_at(model.fault_from, model))
    return std::nullopt;
  return Finding{
      FindingKind::impacts_unexplained,
      Weight::caution,
      "",
      fmt::format("impacts repeat {:.2f} times a second, which was taken for the shaft's rate "
                  "because no speed was given",
                  speed.rate.value()),
      "they may as well be a damaged bearing's, at another speed",
      "Give the speed, or record with a tacho"};
}

std::optional<Finding> impacts_at_cage_rate(const EnvelopeSpectrum& whole, const ShaftSpeed& speed,
                                            const DefectOrders& orders,
                                            const std::vector<Hz>& mains) {
  const double tolerance = slip + 2 * speed.relative_uncertainty;
  const FamilyTemplate train{orders.ftf, harmonics, tolerance, Order{0}, false, mains};
  const FamilyScore score = score_family(whole, speed.rate, train);
  const JudgementModel model;
  if (score.standing < most_of_a_train || score.strength() < strength_at(model.fault_from, model))
    return std::nullopt;
  return Finding{FindingKind::impacts_unexplained,
                 Weight::caution,
                 "",
                 fmt::format("impacts repeat at the rate of the cage ({:.2f} Hz), beside lines of "
                             "the shaft that are as strong",
                             at_speed(orders.ftf, speed.rate).value()),
                 "a damaged cage or rolling element does this: damage cannot be ruled out",
                 "Record again for 10 s or more, and compare with the other end"};
}

}  // namespace bearingdsp
