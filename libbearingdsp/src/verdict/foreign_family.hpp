#pragma once
/// Lines of a bearing that is not the one given: the other end's, or this one's under a wrong
/// number.
#include <optional>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/evidence/bearing_evidence.hpp"
#include "bearingdsp/evidence/unknown_family.hpp"
#include "bearingdsp/verdict/judgement.hpp"

namespace bearingdsp {

/// Whether a family's order is one of this bearing's: a small multiple of BPFO, BPFI or BSF, all of
/// them off by the slip of the strongest part and by what elements slip beside it. `resolution`:
/// width of a line in orders.
[[nodiscard]] bool of_this_bearing(Order family, const BearingEvidence& evidence,
                                   const DefectOrders& orders, double resolution,
                                   const ModelParameters& model);

/// What is left of the strength of everything that is evidence for damage, once a foreign family at
/// least as strong has explained what it can. A part whose order is a multiple of the foreign one
/// has no line of its own. Where the foreign family is twice as strong, lines that stand whole
/// shaft rates beside its multiples are its own too, a cage's do not count (it turns at about 0.4
/// orders in any bearing), and the rest counts less, as beside a much stronger shaft. `whole_turn`:
/// by what share the shaft's rate itself may be off.
[[nodiscard]] double strength_beside(const UnknownFamily& foreign, const BearingEvidence& evidence,
                                     const Judgement& judgement, const DefectOrders& orders,
                                     double resolution, double whole_turn,
                                     const ModelParameters& model);

}  // namespace bearingdsp
