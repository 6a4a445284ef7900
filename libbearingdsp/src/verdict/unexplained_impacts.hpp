#pragma once
/// Trains of impacts that the verdict "no fault" would leave unexplained.
#include <optional>
#include <vector>

#include "bearingdsp/core/basis.hpp"
#include "bearingdsp/core/finding.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/spectra/envelope_spectrum.hpp"
#include "bearingdsp/speed/shaft_speed.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

/// A bearing's impacts at 88 Hz look like a shaft at 88 Hz that knocks once a revolution. Where
/// nobody gave the speed and no tacho fixes it, a train of impacts at the assumed rate, as strong
/// as one that is called damage elsewhere, leaves open which of the two it is.
/// Shape: whole: envelope spectrum of the whole band; options: orders, and what was said of the
/// speed. Nothing where no such train is there, or no other rate in the interval has a bearing that
/// makes it
std::optional<Finding> impacts_at_assumed_rate(const EnvelopeSpectrum& whole,
                                               const ShaftSpeed& speed,
                                               const DiagnoseOptions& options,
                                               const std::optional<DefectOrders>& orders,
                                               const Basis& basis);

/// A long train of impacts at the cage's rate. Near 0.4 orders its second and third line are mirror
/// images about 1x and its fifth falls on 2x: what keeps the shaft's lines out of the evidence
/// takes most of a cage's. The shaft makes one or two of eight, no train.
std::optional<Finding> impacts_at_cage_rate(const EnvelopeSpectrum& whole, const ShaftSpeed& speed,
                                            const DefectOrders& orders, const Basis& basis);

}  // namespace bearingdsp
