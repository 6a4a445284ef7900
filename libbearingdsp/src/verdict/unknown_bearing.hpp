#pragma once
/// What a harmonic series says where the bearing that makes it is not the one given, or none is
/// given.
#include <optional>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/evidence/unknown_family.hpp"
#include "bearingdsp/verdict/judgement.hpp"

namespace bearingdsp {

/// Impacts near, but not at, an order of the bearing given.
struct NearComponent {
  Part part{Part::outer_ring};
  double deviation{0};  ///< order of the impacts over that of the bearing given, less 1
  Judgement judgement;
};
/// Damage of a bearing that is not the one given: a strong series far from all of that one's
/// orders. Nothing where the series is too weak for so rare a case, or where it may be the
/// supply's. The place is Place::another_bearing.
/// Source: Bayes' rule with `foreign.another` as prior odds
[[nodiscard]] std::optional<Judgement> another_bearing(const UnknownFamily& series,
                                                       const ModelParameters& model);

/// A bearing of the same type with another inside, or one that runs without load, has its defect
/// orders some per cent off. Nothing where no ring's order lies within that, or the series is too
/// weak for so rare a case.
/// Source: cage lag of 3-4 % without load, measured on an insert bearing (docs/theory/diagnosis.md)
std::optional<NearComponent> near_component(const UnknownFamily& series, const DefectOrders& orders,
                                            const ModelParameters& model);

/// Without a bearing: the components by where the series lies among the defect orders of all
/// bearings that motors carry, and by what the cage's own lines show. cage: the strongest series
/// between 0.36 and 0.44 orders.
Judgement judge_without_bearing(const UnknownFamily& series, const FamilyScore& cage,
                                const ModelParameters& model);

/// The series of the cage of a bearing that is not known.
/// Units: shaft in Hz, > 0
FamilyScore unknown_cage(const EnvelopeSpectrum& whole, Hz shaft, const Basis& basis);

}  // namespace bearingdsp
