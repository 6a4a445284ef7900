#pragma once
/// What "no fault found" excludes: the smallest damage that this recording would have shown.
#include <optional>
#include <vector>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/core/basis.hpp"
#include "bearingdsp/spectra/envelope_spectrum.hpp"

namespace bearingdsp {

/// The smallest modulation depth (1 is 100 %) that would have been called damage in nine of ten
/// cases, or "cannot tell" where its lines lie at a shaft harmonic, of the component that shows
/// worst of both rings and an element. Impacts are put into the recording's own envelope spectrum,
/// at the noise that it has, and judged as all others are. Empty where not even twice full
/// modulation is called.
/// Shape: whole: pooled over the axes, the whole frequency range.
/// Units: shaft in Hz, > 0; tolerance as for bearing_evidence().
/// Source: a line in noise is Rice-distributed [rice1945]; docs/theory/diagnosis.md
[[nodiscard]] std::optional<double> excluded_depth(const EnvelopeSpectrum& whole, Hz shaft,
                                                   const DefectOrders& orders, double tolerance,
                                                   double order_resolution, const Basis& basis);

}  // namespace bearingdsp
