#pragma once
/// From evidence to probabilities: is the bearing damaged, and which part.
#include <array>
#include <optional>
#include <vector>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/core/model.hpp"
#include "bearingdsp/evidence/bearing_evidence.hpp"
#include "bearingdsp/verdict/place.hpp"

namespace bearingdsp {

/// Probabilities of one measuring point.
struct Judgement {
  double damage{0};                       ///< that the bearing is damaged
  std::array<double, part_count> part{};  ///< that this part is; they sum to at most damage
  double strength{0};                     ///< of everything that is evidence for damage
  std::array<double, part_count>
      own_strength{};  ///< by part, without what a stronger part explains
  Verdict verdict{Verdict::indeterminate};
  Place place{Place::cannot_tell};
  double place_probability{0};
  /// Where no single component can be named but two of them can: those two, likelier one first.
  /// Empty otherwise.
  std::vector<Part> set{};
  /// Share of the damage that is of none of these components: lines that another bearing, or chance,
  /// leaves at one of their orders. 0 .. 1
  double elsewhere{0};
  /// Its lines cannot be separated from the shaft's in so few revolutions, and lines are present:
  /// why the verdict is open and not "no fault".
  std::optional<Part> unresolved{};
};

/// Probability that the bearing is damaged, 0 .. 1, from the strength of everything that is
/// evidence for it (>= 0, modulation depth weighted as in PartEvidence::strength).
/// Source: own model, docs/theory/diagnosis.md
[[nodiscard]] double damage_probability(double strength, const JudgementModel& model) noexcept;
/// The strength at which damage_probability() reaches that value: 0 up to JudgementModel::unseen,
/// infinite from 1 on.
[[nodiscard]] double strength_at(double probability, const JudgementModel& model) noexcept;

/// How plausible a family's fitted slip is for its component, 0 .. 1: slip is small, and a speed
/// that is only nominal is mostly right to half of what is allowed for. The wider the order may lie,
/// the less plausible is each place of it: a Gaussian of area SlipModel::spread, 1 at its middle
/// where only slip moves the order.
/// Source: slip of 1-2 % [randall2011]
[[nodiscard]] double slip_plausibility(const PartEvidence& evidence,
                                       const ModelParameters& model = {}) noexcept;

/// The verdict and the place that the probabilities of a judgement give. several: both rings show
/// families of one cage speed. Judgement::unresolved turns "no fault" into "cannot tell".
void decide(Judgement& judgement, bool several, const JudgementModel& model) noexcept;

/// Names the place of a damaged bearing from its parts' probabilities: the likeliest one from
/// JudgementModel::name_from on, unclear below; then Judgement::set holds two that reach it
/// together.
void name_place(Judgement& judgement, const JudgementModel& model) noexcept;

/// Weighs the evidence. Lines of a weaker family that fall on the lattice of the strongest one (its
/// harmonics with sidebands at 1x) are the stronger one's and do not count twice. Cage-rate lines
/// are evidence for a rolling element or the cage; only lines at the element's own rate tell the
/// two apart.
/// Source: logistic calibration [platt1999]; physics of the families [randall2011] section 2
[[nodiscard]] Judgement judge(const BearingEvidence& evidence, const DefectOrders& orders,
                              double order_resolution, const ModelParameters& model = {});

}  // namespace bearingdsp
